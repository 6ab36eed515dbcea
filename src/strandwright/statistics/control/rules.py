"""Run rules: patterns about the centre that chance alone seldom brings.

References
----------
.. [1] Western Electric Company, Statistical Quality Control Handbook, 1956: the four rules
   (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.statistics.control.series import Floats


@dataclass(frozen=True)
class Rule:
    """So many of so many in a row beyond so many sigma, all on one side.

    Attributes
    ----------
    needed : int
        How many must lie beyond [-].
    out_of : int
        Of how many in a row [-].
    beyond : float
        Distance from the centre [standard deviations].
    """

    needed: int
    out_of: int
    beyond: float


#: The rules, from the one point that needs no company to the longest run.
RULES = (Rule(1, 1, 3.0), Rule(2, 3, 2.0), Rule(4, 5, 1.0), Rule(8, 8, 0.0))


@dataclass(frozen=True)
class Trip:
    """A pattern that was completed.

    Attributes
    ----------
    rule : Rule
        Which.
    side : int
        1 above the centre, -1 below it [-].
    index : int
        The value that completes it, itself one of them [-].
    members : tuple of int
        The values that lie beyond, that one last [-].
    """

    rule: Rule
    side: int
    index: int
    members: tuple[int, ...]


def tripped(scores: ArrayLike, rule: Rule, side: int) -> NDArray[np.bool_]:
    """Tell at which values a rule is completed.

    Parameters
    ----------
    scores : array_like
        Distances from the centre, shape (..., n) [standard deviations].
    rule : Rule
        Which.
    side : int
        1 above the centre, -1 below it [-].

    Returns
    -------
    ndarray of bool, shape (..., n)
        True where it is completed by a value that itself lies beyond.
    """
    beyond = side * np.asarray(scores, dtype=np.float64) > rule.beyond
    counted = np.cumsum(beyond, axis=-1)
    before = np.zeros_like(counted)
    before[..., rule.out_of :] = counted[..., : -rule.out_of]
    return beyond & (counted - before >= rule.needed)


def rule_trips(scores: Floats, rules: tuple[Rule, ...] = RULES) -> tuple[Trip, ...]:
    """Find every pattern in one series.

    Parameters
    ----------
    scores : ndarray, shape (n,)
        Distances from the centre, oldest first [standard deviations].
    rules : tuple of Rule
        Which are sought.

    Returns
    -------
    tuple of Trip
        In the order in which they are completed; the rules in their order where several are
        completed at once.
    """
    found: list[Trip] = []
    for rule in rules:
        for side in (1, -1):
            for index in np.flatnonzero(tripped(scores, rule, side)):
                window = range(max(0, int(index) - rule.out_of + 1), int(index) + 1)
                members = tuple(i for i in window if side * scores[i] > rule.beyond)
                found.append(Trip(rule, side, int(index), members))
    return tuple(sorted(found, key=lambda trip: trip.index))
