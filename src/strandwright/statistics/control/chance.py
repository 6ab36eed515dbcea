"""Chance alone: how often a bench that is in control would trip a rule all the same.

Limits that are worked out from the same few values are met and passed more often than the normal
tail says, and four rules together pass oftener than one. For normal values the chance depends on
their number alone, so it is found by letting benches in control run, always the same ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from strandwright.statistics.control.rules import RULES, tripped
from strandwright.statistics.control.scatter import D2, MEDIAN_DIVISOR
from strandwright.statistics.control.series import Floats

_ROWS = 4000
_SEED = 20180
#: Most numbers that are drawn; longer series are shown fewer rows [-]
_MOST = 2_000_000


@dataclass(frozen=True, eq=False)
class ChanceAlone:
    """What benches in control do.

    Attributes
    ----------
    any_trip : float
        Share of series in which at least one rule trips [-].
    largest : ndarray
        Largest distance from the centre in each series, rising [standard deviations].
    """

    any_trip: float
    largest: Floats

    def of_largest(self, score: float) -> float:
        """Chance of a value as far out as this, or further, anywhere in the series.

        Parameters
        ----------
        score : float
            Its distance from the centre, of either sign [standard deviations].

        Returns
        -------
        float
            Chance, never quite 0 [-].
        """
        further = len(self.largest) - int(np.searchsorted(self.largest, abs(score)))
        return (1.0 + further) / (1.0 + len(self.largest))


@lru_cache(maxsize=64)
def chance_alone(count: int, by: str = "mean") -> ChanceAlone:
    """Let benches in control run over as many builds.

    Parameters
    ----------
    count : int
        Builds in a series, >= 2 [-].
    by : str
        How the limits come about: ``mean`` or ``median`` of the ranges, or ``known`` beforehand.

    Returns
    -------
    ChanceAlone
        How often a rule trips, and how far out the furthest value lies.
    """
    rows = max(400, min(_ROWS, _MOST // count))
    drawn = np.random.default_rng(_SEED).standard_normal((rows, count))
    if by == "known":
        scores = drawn
    else:
        ranges = np.abs(np.diff(drawn, axis=1))
        if by == "mean":
            sigma = ranges.mean(axis=1) / D2
        else:
            sigma = np.median(ranges, axis=1) / MEDIAN_DIVISOR
        scores = (drawn - drawn.mean(axis=1, keepdims=True)) / sigma[:, None]
    trips = np.zeros(rows, dtype=bool)
    for rule in RULES:
        for side in (1, -1):
            trips |= tripped(scores, rule, side).any(axis=1)
    largest = np.sort(np.abs(scores).max(axis=1))
    largest.flags.writeable = False
    return ChanceAlone(float(trips.mean()), largest)
