"""Pooling: what finished builds teach about a shop, its benches, fibres, lots and builders.

The unknowns of one build are a sum,

.. math:: x = m + e_{shop} + e_{bench} + e_{fibre} + e_{lot} + e_{builder} + e_{build}

each effect normal about 0 with variances of its own: a mixed model with known variances [1]_. All
effects are estimated together, each drawn towards 0 the more, the less its builds say. A level
without spread is not carried at all.

References
----------
.. [1] Robinson, G. K., That BLUP is a good thing: the estimation of random effects, Statistical
   Science 6 (1991) 15-32 (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError
from strandwright.statistics.lesson import Lesson
from strandwright.statistics.spreads import Groups, Spreads
from strandwright.statistics.stacked import Floats, Group, Stack


@dataclass(frozen=True, eq=False)
class Pool:
    """What all builds so far have taught; never changed, only followed by another.

    Attributes
    ----------
    spreads : Spreads
        Variances of the effects.
    mean : ndarray, shape (p,)
        Of the unknowns before any build [working unit].
    counts : mapping of (str, str) to int
        Builds behind each level and key; the widest level's key is ``WHOLE`` [-].
    stack : Stack
        Information on the effects, not to be changed.
    """

    spreads: Spreads
    mean: NDArray[np.float64]
    counts: Mapping[tuple[str, str], int]
    stack: Stack

    def with_build(self, lesson: Lesson) -> Pool:
        """Learn from one more build.

        Parameters
        ----------
        lesson : Lesson
            What it says.

        Returns
        -------
        Pool
            The same as from scratch with all lessons, but for rounding.

        Raises
        ------
        InputError
            If the lesson names an unknown level, is of other parameters or has no noise.
        """
        stack, counts = self.stack.copy(), dict(self.counts)
        _learn(self.spreads, self.mean, lesson, stack, counts)
        return replace(self, counts=MappingProxyType(counts), stack=stack)

    def prior_for(self, groups: Groups) -> tuple[Floats, Floats]:
        """Tell what is known of the unknowns of a new build.

        Parameters
        ----------
        groups : iterable of (str, str)
            Level and key of its groups; for a key never met, or a level left out, that level's
            own spread stands.

        Returns
        -------
        mean : ndarray, shape (p,)
            Of its unknowns [working unit].
        covariance : ndarray, shape (p, p)
            Of its unknowns [product of working units].
        """
        named = self.spreads.members(groups)
        mean, covariance = self.shared_for(named.items())
        known = [level for level, key in named.items() if (level, key) in self.counts]
        return mean, covariance + np.diag(self.spreads.own(known))

    def shared_for(self, groups: Groups) -> tuple[Floats, Floats]:
        """Tell the mean of a build's unknowns and how uncertain that is, its own spread left out.

        Parameters
        ----------
        groups : iterable of (str, str)
            Level and key of its groups; those never met are left out with their spread.

        Returns
        -------
        mean : ndarray, shape (p,)
            Of its unknowns [working unit].
        covariance : ndarray, shape (p, p)
            Of that mean [product of working units].
        """
        mean, covariance = self._sum_of(self.spreads.members(groups))
        return self.mean + mean, covariance

    def effect(self, level: str, key: str) -> tuple[Floats, Floats]:
        """Tell what is known of the effect of one group.

        Parameters
        ----------
        level : str
            Any but the last; for the widest, any key serves.
        key : str
            Met or not.

        Returns
        -------
        mean : ndarray, shape (p,)
            Difference the group makes [working unit].
        covariance : ndarray, shape (p, p)
            Its uncertainty, the prior of the level for a key never met [product of working units].
        """
        key = self.spreads.members([(level, key)])[level]
        if (level, key) not in self.counts:
            variance = self.spreads.variance[self.spreads.levels.index(level)]
            return np.zeros_like(self.mean), np.diag(variance)
        return self._sum_of({level: key})

    def count(self, level: str, key: str) -> int:
        """Tell how many builds stand behind what is known of a group.

        Parameters
        ----------
        level : str
            Any but the last; for the widest, any key serves.
        key : str
            Met or not.

        Returns
        -------
        int
            Builds, 0 for a key never met [-].
        """
        return self.counts.get((level, self.spreads.members([(level, key)])[level]), 0)

    def _sum_of(self, named: Mapping[str, str]) -> tuple[Floats, Floats]:
        """Mean and covariance of the sum of the effects of those groups that are known."""
        stack, count = self.stack, self.mean.size
        weights = np.zeros((count, stack.width))
        arm, arm_weights = None, None
        for level, key in named.items():
            places, deviation = self.spreads.active[level]
            place = stack.place((level, key))
            if place is not None:
                weights[places, place] = np.diag(deviation)
            elif level == self.spreads.many and stack.has_arm(key):
                arm, arm_weights = key, np.zeros((count, places.size))
                arm_weights[places] = np.diag(deviation)
        return stack.read(weights, arm, arm_weights)


def pool_of(spreads: Spreads, mean: ArrayLike, lessons: Iterable[Lesson] = ()) -> Pool:
    """Learn from all builds at once.

    Parameters
    ----------
    spreads : Spreads
        Variances of the effects.
    mean : array_like, shape (p,)
        Of the unknowns before any build [working unit].
    lessons : iterable of Lesson
        One a build, in any order.

    Returns
    -------
    Pool
        What they teach together.

    Raises
    ------
    InputError
        If a lesson names an unknown level, is of other parameters or has no noise.
    """
    start = np.array(mean, dtype=np.float64)
    if start.shape != (len(spreads.names),):
        raise InputError(
            "mean", start.shape, f"needs {len(spreads.names)} numbers", "give one a parameter"
        )
    start.setflags(write=False)
    stack, counts = Stack(), dict[Group, int]()
    for lesson in lessons:
        _learn(spreads, start, lesson, stack, counts)
    return Pool(spreads, start, MappingProxyType(counts), stack)


def _learn(
    spreads: Spreads, mean: Floats, lesson: Lesson, stack: Stack, counts: dict[Group, int]
) -> None:
    """Add one lesson to a stack and to the counts."""
    if lesson.slopes.shape[1] != mean.size:
        raise InputError(
            "lesson.slopes",
            lesson.slopes.shape,
            f"needs {mean.size} columns",
            "give the slope by every parameter",
        )
    named = spreads.members(lesson.groups)
    if lesson.value.size == 0:
        return
    slopes, residual = lesson.whitened(mean, spreads.own(named))
    arm, arm_slopes = named.get(spreads.many), None
    for level, key in named.items():
        counts[level, key] = counts.get((level, key), 0) + 1
        places, deviation = spreads.active[level]
        if level == spreads.many:
            arm_slopes = slopes[:, places] * deviation
        else:
            stack.make_room((level, key), places.size)
    rest = np.zeros((residual.size, stack.width))
    for level, key in named.items():
        place = stack.place((level, key))
        if place is not None:
            places, deviation = spreads.active[level]
            rest[:, place] = slopes[:, places] * deviation
    stack.add(rest, residual, arm, arm_slopes)
