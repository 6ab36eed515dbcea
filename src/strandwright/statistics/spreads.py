"""Spreads: how the variance of each parameter is parted over shop, bench, lot and so on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import InputError, SpecError

Floats = NDArray[np.float64]
Groups = Iterable[tuple[str, str]]

#: Key of the widest level, which has one member: the shop itself.
WHOLE = ""


@dataclass(frozen=True, eq=False)
class Spreads:
    """How the variance of each parameter is parted over the levels.

    Attributes
    ----------
    levels : tuple of str
        From the widest, which all builds have in common, to what a build has of its own.
    names : tuple of str
        Of the parameters.
    variance : ndarray, shape (levels, p)
        Each >= 0; zero where a parameter does not differ at that level [working unit squared].
    many : str
        The level with by far the most keys; any choice gives the same answers, a bad one later.

    Raises
    ------
    SpecError
        If shapes disagree, names repeat or a variance is negative or not finite.
    """

    levels: tuple[str, ...]
    names: tuple[str, ...]
    variance: NDArray[np.float64]
    many: str = "lot"

    def __post_init__(self) -> None:
        """Copy, freeze and check."""
        variance = np.array(self.variance, dtype=np.float64)
        shape = (len(self.levels), len(self.names))
        if variance.shape != shape or shape[0] < 2:
            raise SpecError(
                "spreads.variance",
                variance.shape,
                f"must be {shape[0]} by {shape[1]}, with two levels or more",
                "give one row for each level and one column for each parameter",
            )
        if len(set(self.levels)) != shape[0] or len(set(self.names)) != shape[1]:
            raise SpecError(
                "spreads.levels", self.levels, "names must differ", "rename what repeats"
            )
        if not (np.isfinite(variance).all() and (variance >= 0.0).all()):
            raise SpecError(
                "spreads.variance",
                variance.tolist(),
                "must be finite and not negative",
                "give 0 where nothing differs",
            )
        variance.setflags(write=False)
        object.__setattr__(self, "variance", variance)

    @cached_property
    def active(self) -> Mapping[str, tuple[NDArray[np.intp], Floats]]:
        """Positions and deviations of the parameters that differ at each level [working unit]."""
        found: dict[str, tuple[NDArray[np.intp], Floats]] = {}
        for level, variance in zip(self.levels, self.variance, strict=True):
            places = np.flatnonzero(variance)
            found[level] = (places, np.sqrt(variance[places]))
        return found

    def members(self, groups: Groups) -> dict[str, str]:
        """Sort the groups of a build by level.

        Parameters
        ----------
        groups : iterable of (str, str)
            Level and key; the widest level need not be named, and any key names it.

        Returns
        -------
        dict
            Key by level, in the order of the levels, the widest always among them.

        Raises
        ------
        InputError
            If a level is unknown or is the build itself.
        """
        named = dict(groups)
        for level in named:
            if level not in self.levels[:-1]:
                raise InputError(
                    "groups", level, "is not a level of groups", f"choose from {self.levels[:-1]}"
                )
        named[self.levels[0]] = WHOLE
        return {level: named[level] for level in self.levels if level in named}

    def own(self, named: Iterable[str]) -> Floats:
        """Variance of what a build shares with no other: its own, and all levels it does not name.

        Parameters
        ----------
        named : iterable of str
            Levels at which its group is known.

        Returns
        -------
        ndarray, shape (p,)
            Variances [working unit squared].
        """
        known = set(named)
        left = [level not in known for level in self.levels]
        return self.variance[left].sum(axis=0)
