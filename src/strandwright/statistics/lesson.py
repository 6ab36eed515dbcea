"""Lesson: what one finished build says of its own unknowns, as readings laid straight.

.. math:: y = A x + \\varepsilon, \\qquad \\varepsilon \\sim N(0, R)

A lesson is linearised once, at a point that belongs to its own build, and its noise already holds
what readings that do not fit are worth less. Nothing in it depends on other builds, so that builds
may be learned from in any order.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import InputError

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Lesson:
    """Readings of one build, each a weighted sum of the build's unknowns and noise.

    Arrays are copied and made read-only.

    Attributes
    ----------
    groups : tuple of (str, str)
        Level and key of each group the build belongs to, e.g. ``("lot", "B7")``; no level twice.
    slopes : ndarray, shape (m, p)
        Of the readings by working coordinate [reading's unit per working unit].
    value : ndarray, shape (m,)
        The readings, less what they would be with all unknowns at zero [reading's unit].
    noise : ndarray, shape (m, m)
        Covariance of what the readings have of their own [product of reading units].

    Raises
    ------
    InputError
        If shapes disagree, a number is not finite, or a level is named twice.
    """

    groups: tuple[tuple[str, str], ...]
    slopes: Floats
    value: Floats
    noise: Floats

    def __post_init__(self) -> None:
        """Copy, freeze and check."""
        levels = [level for level, _ in self.groups]
        if len(set(levels)) != len(levels):
            raise InputError(
                "lesson.groups", self.groups, "names a level twice", "give one key for each level"
            )
        for field in ("slopes", "value", "noise"):
            array = np.array(getattr(self, field), dtype=np.float64)
            if not np.isfinite(array).all():
                raise InputError(
                    f"lesson.{field}", "not finite", "must hold numbers", "leave the reading out"
                )
            array.setflags(write=False)
            object.__setattr__(self, field, array)
        count = self.value.size
        if self.slopes.ndim != 2 or self.value.ndim != 1 or len(self.slopes) != count:
            raise InputError(
                "lesson.slopes",
                self.slopes.shape,
                f"needs one row for each of {count} readings",
                "give the slopes of every reading",
            )
        if self.noise.shape != (count, count):
            raise InputError(
                "lesson.noise",
                self.noise.shape,
                f"must be {count} by {count}",
                "give one row and column for each reading",
            )

    def whitened(self, mean: Floats, variance: Floats) -> tuple[Floats, Floats]:
        """Scale the readings so that all they have of their own is standard normal.

        Parameters
        ----------
        mean : ndarray, shape (p,)
            Of the unknowns [working unit].
        variance : ndarray, shape (p,)
            Of what the build's unknowns have of their own, >= 0 [working unit squared].

        Returns
        -------
        slopes : ndarray, shape (m, p)
            Of the scaled readings [1 per working unit].
        residual : ndarray, shape (m,)
            Scaled readings less what the mean expects of them [-].

        Raises
        ------
        InputError
            If noise and variance together are not positive definite.
        """
        total = self.noise + (self.slopes * variance) @ self.slopes.T
        try:
            root = np.linalg.cholesky(total)
        except np.linalg.LinAlgError:
            raise InputError(
                "lesson.noise",
                self.noise.tolist(),
                "must be positive definite",
                "give every reading an uncertainty above 0",
            ) from None
        given = np.column_stack([self.slopes, self.value - self.slopes @ mean])
        scaled = np.asarray(np.linalg.solve(root, given), dtype=np.float64)
        return scaled[:, :-1], scaled[:, -1]
