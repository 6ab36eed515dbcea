"""Drift: a slope over the order of the builds, or over time, with its +-.

References
----------
.. [1] P. K. Sen, Estimates of the regression coefficient based on Kendall's tau, Journal of the
   American Statistical Association 63 (1968) 1379-1389 (from memory): the median of all slopes
   between pairs, and its range.
.. [2] M. G. Kendall, Rank correlation methods, 1948: variance of the count of rising pairs
   n (n - 1)(2 n + 5)/18 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from strandwright.errors import InputError
from strandwright.statistics.control.series import Floats
from strandwright.statistics.control.shuffled import chance_of, shuffled_orders
from strandwright.statistics.quantiles import normal_quantile

#: Fewer values leave nothing to tell the +- by [-]
FEWEST_FOR_SLOPE = 3


@dataclass(frozen=True)
class Drift:
    """A straight line through the series.

    Attributes
    ----------
    slope : float
        Rise for each build, or for each unit of what it was held against
        [unit of the series per build].
    u : float
        Its standard uncertainty [unit of the series per build].
    level : float
        The line's value at its middle [unit of the series].
    middle : float
        Where that is, from the first build, 0, or in the unit of what it was held against [-].
    chance : float
        Chance of as steep a slope if there were none, 0 to 1 [-].
    left : float
        What the line leaves of the weighted sum of squares, 0 to 1 [-].
    """

    slope: float
    u: float
    level: float
    middle: float
    chance: float
    left: float

    def along(self, places: ArrayLike) -> Floats:
        """Value on the line.

        Parameters
        ----------
        places : array_like
            Numbers of builds from 0, or what the line was held against [-].

        Returns
        -------
        ndarray
            Values, of the shape of the places [unit of the series].
        """
        return self.level + self.slope * (np.asarray(places, dtype=np.float64) - self.middle)


def drift(
    values: ArrayLike, sigma: ArrayLike = 1.0, along: ArrayLike | None = None
) -> Drift | None:
    """Lay a straight line by least squares.

    Parameters
    ----------
    values : array_like
        Oldest first, shape (n,) [any unit].
    sigma : array_like
        Standard deviation of each, or of all alike; only how they compare matters
        [unit of the series].
    along : array_like or None
        What it is held against, such as moments; None for the order, shape (n,) [any unit].

    Returns
    -------
    Drift or None
        None with fewer than three values, or where nothing differs.

    Notes
    -----
    The +- is by the scatter about the line. The chance is by the values in shuffled orders, which
    needs no normal scatter; one wild value at an end still tilts the line: see
    :func:`robust_drift`.
    """
    read, over = _taken(values, along)
    if len(read) < FEWEST_FOR_SLOPE or np.ptp(read) == 0.0 or np.ptp(over) == 0.0:
        return None
    weights = np.broadcast_to(np.asarray(sigma, dtype=np.float64), read.shape) ** -2.0
    weights = weights / weights.max()
    middle, level = (float(np.average(part, weights=weights)) for part in (over, read))
    away, off = over - middle, read - level
    length = float((weights * away**2).sum())
    total = float((weights * off**2).sum())
    slope = float((weights * away * off).sum()) / length
    left = max(total - slope**2 * length, 0.0)
    return Drift(
        slope=slope,
        u=math.sqrt(left / (len(read) - 2) / length),
        level=level,
        middle=middle,
        chance=_chance(off, weights, over, abs(slope)),
        left=left / total,
    )


def robust_drift(values: ArrayLike, along: ArrayLike | None = None) -> Drift | None:
    """Take the median of the slopes between all pairs, which a few wild values do not move.

    Parameters
    ----------
    values : array_like
        Oldest first, shape (n,) [any unit].
    along : array_like or None
        What it is held against; None for the order, shape (n,) [any unit].

    Returns
    -------
    Drift or None
        None with fewer than three values, or where nothing differs.

    Notes
    -----
    The +- is the 95 % range of the ranks' normal approximation over 2 x 1.96; ties are not allowed
    for. It is rough below ten values.
    """
    read, over = _taken(values, along)
    if len(read) < FEWEST_FOR_SLOPE or np.ptp(read) == 0.0 or np.ptp(over) == 0.0:
        return None
    first, second = np.triu_indices(len(read), 1)
    run, rise = over[second] - over[first], read[second] - read[first]
    slopes = np.sort(rise[run != 0.0] / run[run != 0.0])
    slope = float(np.median(slopes))
    count = len(read)
    spread = math.sqrt(count * (count - 1) * (2 * count + 5) / 18.0)
    reach = 0.5 * normal_quantile(0.975) * spread
    half = 0.5 * (len(slopes) - 1)
    low, high = np.interp([half - reach, half + reach], np.arange(len(slopes)), slopes)
    rising = abs(float(np.sign(rise * run).sum()))
    chance = math.erfc(max(rising - 1.0, 0.0) / spread / math.sqrt(2.0))
    middle = float(over.mean())
    level = float(np.median(read - slope * (over - middle)))
    left = read - level - slope * (over - middle)
    return Drift(
        slope=slope,
        u=float(high - low) / (2.0 * normal_quantile(0.975)),
        level=level,
        middle=middle,
        chance=min(chance, 1.0),
        left=float((left**2).sum() / ((read - read.mean()) ** 2).sum()),
    )


def _taken(values: ArrayLike, along: ArrayLike | None) -> tuple[Floats, Floats]:
    read = np.asarray(values, dtype=np.float64)
    over = np.arange(len(read), dtype=np.float64) if along is None else np.asarray(along, float)
    if over.shape != read.shape:
        raise InputError("along", over.tolist(), f"must be {len(read)}", "give one for each value")
    return read, over


def _chance(off: Floats, weights: Floats, over: Floats, seen: float) -> float:
    """Share of shuffled orders with as steep a slope; a value takes its weight along."""
    order = shuffled_orders(len(off))
    mixed = weights[order]
    middle = (mixed * over).sum(axis=1, keepdims=True) / weights.sum()
    away = over - middle
    slopes = (mixed * away * off[order]).sum(axis=1) / (mixed * away**2).sum(axis=1)
    return chance_of(seen, np.abs(slopes))
