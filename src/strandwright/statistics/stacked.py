"""Stacked effects: what builds have told of the effects of all groups, kept as information.

Effects are scaled by their prior deviations, so that before any build their precision is the unit
matrix. A lesson adds :math:`Z^T Z` to the precision and :math:`Z^T r` to the vector, Z and r being
its scaled slopes and residual: sums, in which no order matters.

One level has many keys (lots, of which a shop has dozens), and a build belongs to one of them only.
So given all other effects r they are independent of each other, and are carried as arms

.. math:: u_k \\mid r \\sim N(B_k^{-1}(\\eta_k - C_k r),\\; B_k^{-1})

beside the information on r with all arms integrated out. A lesson of arm k then tells of r

.. math:: y - Z_k B_k^{-1}\\eta_k = (Z - Z_k B_k^{-1} C_k)\\, r + N(0,\\; I + Z_k B_k^{-1} Z_k^T)

and what is added is never negative, so that nothing cancels.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Group = tuple[str, str]


@dataclass(frozen=True, eq=False)
class Arm:
    """What is known of one key of the level with many keys, given all other effects.

    Attributes
    ----------
    precision : ndarray, shape (a, a)
        B, prior included [-].
    cross : ndarray, shape (a, w)
        C, information shared with the first w of the other effects [-].
    vector : ndarray, shape (a,)
        Right-hand side [-].
    """

    precision: Floats
    cross: Floats
    vector: Floats

    @cached_property
    def root(self) -> Floats:
        """Inverse of the lower factor of the precision, shape (a, a) [-]."""
        return _inverse_root(self.precision)

    def widened(self, width: int) -> Arm:
        """Give the same arm beside more other effects.

        Parameters
        ----------
        width : int
            Their number now, never less than before [-].

        Returns
        -------
        Arm
            With zeros for those it has not met.
        """
        missing = width - self.cross.shape[1]
        if missing == 0:
            return self
        cross = np.pad(self.cross, ((0, 0), (0, missing)))
        return Arm(self.precision, cross, self.vector)


class Stack:
    """Information on all effects: the arms, and all others with the arms integrated out."""

    def __init__(self) -> None:
        self._precision: Floats = np.zeros((0, 0))
        self._vector: Floats = np.zeros(0)
        self._places: dict[Group, slice] = {}
        self._arms: dict[str, Arm] = {}
        self._root: Floats | None = None

    def copy(self) -> Stack:
        """Give a stack that can be added to while this one stays.

        Returns
        -------
        Stack
            The same information.
        """
        other = Stack()
        other._precision = self._precision.copy()
        other._vector = self._vector.copy()
        other._places = dict(self._places)
        other._arms = dict(self._arms)
        return other

    @property
    def width(self) -> int:
        """Number of effects outside the arms [-]."""
        return self._vector.size

    def place(self, group: Group) -> slice | None:
        """Tell where the effects of a group outside the arms stand.

        Parameters
        ----------
        group : tuple of str
            Level and key.

        Returns
        -------
        slice or None
            None for a group no build has told of.
        """
        return self._places.get(group)

    def has_arm(self, key: str) -> bool:
        """Whether a build has told of this key of the level with many keys.

        Parameters
        ----------
        key : str
            The key.

        Returns
        -------
        bool
            Yes or no.
        """
        return key in self._arms

    def make_room(self, group: Group, count: int) -> None:
        """Give a group outside the arms its place, if it has none.

        Parameters
        ----------
        group : tuple of str
            Level and key.
        count : int
            Number of its effects [-].
        """
        if group in self._places:
            return
        start, end = self.width, self.width + count
        precision = np.eye(end)
        precision[:start, :start] = self._precision
        self._precision = precision
        self._vector = np.concatenate([self._vector, np.zeros(count)])
        self._places[group] = slice(start, end)
        self._root = None

    def add(
        self,
        slopes: Floats,
        residual: Floats,
        arm: str | None = None,
        arm_slopes: Floats | None = None,
    ) -> None:
        """Learn from one build.

        Parameters
        ----------
        slopes : ndarray, shape (m, width)
            Of the scaled readings by the scaled effects outside the arms [-].
        residual : ndarray, shape (m,)
            Scaled readings less what was expected before any build [-].
        arm : str, optional
            Key of the level with many keys, where the build names one.
        arm_slopes : ndarray, shape (m, a), optional
            Of the scaled readings by that key's scaled effects [-].
        """
        if arm is not None and arm_slopes is not None:
            old = self._arm(arm, arm_slopes.shape[1])
            self._arms[arm] = Arm(
                old.precision + arm_slopes.T @ arm_slopes,
                old.cross + arm_slopes.T @ slopes,
                old.vector + arm_slopes.T @ residual,
            )
            half = old.root @ arm_slopes.T
            through = half.T @ old.root
            root = np.linalg.cholesky(np.eye(residual.size) + half.T @ half)
            given = np.column_stack([slopes - through @ old.cross, residual - through @ old.vector])
            scaled = np.asarray(np.linalg.solve(root, given), dtype=np.float64)
            slopes, residual = scaled[:, :-1], scaled[:, -1]
        self._precision += slopes.T @ slopes
        self._vector += slopes.T @ residual
        self._root = None

    def read(
        self, weights: Floats, arm: str | None = None, arm_weights: Floats | None = None
    ) -> tuple[Floats, Floats]:
        """Tell what is known of sums of effects.

        Parameters
        ----------
        weights : ndarray, shape (q, width)
            Of the effects outside the arms [unit of each sum].
        arm : str, optional
            Key of the level with many keys.
        arm_weights : ndarray, shape (q, a), optional
            Of that key's effects [unit of each sum].

        Returns
        -------
        mean : ndarray, shape (q,)
            Of the sums [unit of each].
        covariance : ndarray, shape (q, q)
            Of the sums [product of units].
        """
        shift, own = np.zeros(weights.shape[0]), np.zeros((weights.shape[0], 0))
        if arm is not None and arm_weights is not None:
            known = self._arm(arm, arm_weights.shape[1])
            own = arm_weights @ known.root.T
            through = own @ known.root
            shift = through @ known.vector
            weights = weights - through @ known.cross
        root = self._root = _inverse_root(self._precision) if self._root is None else self._root
        half = weights @ root.T
        mean = shift + half @ (root @ self._vector)
        return mean, half @ half.T + own @ own.T

    def _arm(self, key: str, count: int) -> Arm:
        """Give what is known of a key, as wide as the stack; the prior where nothing is."""
        if key not in self._arms:
            return Arm(np.eye(count), np.zeros((count, self.width)), np.zeros(count))
        return self._arms[key].widened(self.width)


def _inverse_root(precision: Floats) -> Floats:
    """Give L of a precision's inverse, whose product ``L.T @ L`` it is."""
    return np.asarray(np.linalg.inv(np.linalg.cholesky(precision)), dtype=np.float64)
