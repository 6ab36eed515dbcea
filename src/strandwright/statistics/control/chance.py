"""Chance alone: how often a bench that is in control would show something all the same.

Limits that are worked out from the same few values are met and passed at other rates than the
normal tail says, and several rules together trip oftener than one. For normal values the chance
depends on their number alone, so it is found by letting benches in control run, always the same.

A value that lies far off widens the very limits it is held to. So each is held, too, to the centre
and the ranges of the others: its distance apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from strandwright.statistics.control.ewma import WEIGHT, WIDTH
from strandwright.statistics.control.rules import RULES, tripped
from strandwright.statistics.control.scatter import D2, MEDIAN_DIVISOR
from strandwright.statistics.control.series import Floats

#: Patterns completed within so many builds from the newest are news [-]
RECENT = 20
#: With fewer values too few ranges are left to hold one to [-]
_FEWEST_APART = 5
_ROWS = 4000
_SEED = 20180
#: Most numbers that are drawn; longer series are shown fewer rows [-]
_MOST = 1_000_000


@dataclass(frozen=True, eq=False)
class ChanceAlone:
    """What benches in control do.

    Attributes
    ----------
    any_recent : float
        Share of series in which a rule trips, or the average that forgets lies past its limits,
        among the newest 20 values [-].
    largest : ndarray
        Largest distance apart in each series, rising [standard deviations].
    """

    any_recent: float
    largest: Floats

    def of_largest(self, distance: float) -> float:
        """Chance of a value as far apart as this, or further, anywhere in the series.

        Parameters
        ----------
        distance : float
            Its distance apart, of either sign [standard deviations].

        Returns
        -------
        float
            Chance, never quite 0 [-].
        """
        further = len(self.largest) - int(np.searchsorted(self.largest, abs(distance)))
        return (1.0 + further) / (1.0 + len(self.largest))


@lru_cache(maxsize=64)
def chance_alone(
    count: int, by: str = "mean", weight: float = WEIGHT, width: float = WIDTH
) -> ChanceAlone:
    """Let benches in control run over as many builds.

    Parameters
    ----------
    count : int
        Builds in a series, >= 2 [-].
    by : str
        How the limits come about: ``mean`` or ``median`` of the ranges, or ``known`` beforehand.
    weight, width : float
        Lambda and L of the average that forgets [-].

    Returns
    -------
    ChanceAlone
        How often something trips, and how far apart the furthest value lies.
    """
    rows = max(400, min(_ROWS, _MOST // count))
    drawn = np.random.default_rng(_SEED).standard_normal((rows, count))
    ones = np.ones_like(drawn)
    if by == "known":
        scores = drawn
    else:
        sigma = _of_ranges(np.abs(np.diff(drawn, axis=1)), by)
        scores = (drawn - drawn.mean(axis=1, keepdims=True)) / sigma[:, None]
    trips = _averages_beyond(scores, weight, width)
    for rule in RULES:
        for side in (1, -1):
            trips |= tripped(scores, rule, side)[:, -RECENT:].any(axis=1)
    largest = np.sort(np.abs(distances_apart(scores, ones, by)).max(axis=1))
    largest.flags.writeable = False
    return ChanceAlone(float(trips.mean()), largest)


def distances_apart(off: Floats, sigma: Floats, by: str) -> Floats:
    """Distance of each value from the others, by their centre and their ranges.

    Parameters
    ----------
    off : ndarray, shape (..., n)
        Values less the centre of the chart [any unit].
    sigma : ndarray, shape (..., n)
        Standard deviation the chart expects of each, > 0 [same unit].
    by : str
        ``mean``: the ranges that the value is no part of are averaged. ``median``: their median,
        which one value hardly moves, stays that of all. ``known``: centre and scatter stay.

    Returns
    -------
    ndarray, shape (..., n)
        Distances [standard deviations].
    """
    count = off.shape[-1]
    if by == "known" or count < _FEWEST_APART:
        return off / sigma
    weights = sigma**-2.0
    whole = weights.sum(axis=-1, keepdims=True)
    others = ((weights * off).sum(axis=-1, keepdims=True) - weights * off) / (whole - weights)
    of_a_range = np.hypot(sigma[..., 1:], sigma[..., :-1]) / np.sqrt(2.0)
    ranges = np.abs(np.diff(off, axis=-1)) / of_a_range
    if by == "median":
        return (off - others) / (sigma * _of_ranges(ranges, by)[..., None])
    own = np.zeros_like(off)
    own[..., :-1] += ranges
    own[..., 1:] += ranges
    left = np.full(count, count - 3.0)
    left[[0, -1]] = count - 2.0
    scale = (ranges.sum(axis=-1, keepdims=True) - own) / left / D2
    # Where all others are alike, the chart's own scatter has to do.
    return (off - others) / (sigma * np.where(scale > 1e-12, scale, 1.0))


def _of_ranges(ranges: Floats, by: str) -> Floats:
    if by == "mean":
        return np.asarray(ranges.mean(axis=-1) / D2, dtype=np.float64)
    return np.asarray(np.median(ranges, axis=-1) / MEDIAN_DIVISOR, dtype=np.float64)


def _averages_beyond(scores: Floats, weight: float, width: float) -> NDArray[np.bool_]:
    """Whether the average that forgets lies past its limits among the newest values."""
    average, variance = np.zeros(len(scores)), 0.0
    found = np.zeros(len(scores), dtype=bool)
    for i in range(scores.shape[1]):
        average = weight * scores[:, i] + (1.0 - weight) * average
        variance = weight**2 + (1.0 - weight) ** 2 * variance
        if i >= scores.shape[1] - RECENT:
            found |= np.abs(average) > width * np.sqrt(variance)
    return found
