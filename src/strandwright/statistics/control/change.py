"""Step change: at which build a lasting change of level began, if one did.

Of all splits of the series into an earlier and a later level, the most likely is that with the
largest

.. math:: B_k = \\frac{W_k (W - W_k)}{W} (\\bar x_{>k} - \\bar x_{\\le k})^2

with W the sums of the weights :math:`1/\\sigma_i^2`. How often a series without a step would show
as large a one is told by the same values in shuffled orders.

References
----------
.. [1] D. V. Hinkley, Inference about the change-point in a sequence of random variables,
   Biometrika 57 (1970) 1-17 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from strandwright.statistics.control.series import Floats
from strandwright.statistics.control.shuffled import chance_of, shuffled_orders

#: Fewest values on either side: one alone that lies off is no step [-]
FEWEST_SIDE = 2
#: How much less likely, by the logarithm, a beginning may be and still be held possible [-]. Half
#: the 95 % quantile of chi-square with one degree; places are whole and the law is rough for them,
#: so it holds the true one in 86 to 95 of 100 series (a test lets some run).
_HELD = 1.92


@dataclass(frozen=True)
class StepChange:
    """The most likely step.

    Attributes
    ----------
    index : int
        First value at the later level [-].
    first, last : int
        Between these the beginning lies, in about nine of ten series with a step [-].
    size : float
        Later level less the earlier, positive when values rise [unit of the series].
    u : float
        Its standard uncertainty, the place taken as known [unit of the series].
    before, after : float
        The two levels [unit of the series].
    chance : float
        Chance of as large a step if there were none, 0 to 1 [-].
    left : float
        What the step leaves of the weighted sum of squares, 0 to 1 [-].
    """

    index: int
    first: int
    last: int
    size: float
    u: float
    before: float
    after: float
    chance: float
    left: float


def step_change(values: ArrayLike, sigma: ArrayLike = 1.0) -> StepChange | None:
    """Find the most likely step in a series.

    Parameters
    ----------
    values : array_like
        Oldest first, shape (n,) [any unit].
    sigma : array_like
        Standard deviation of each, or of all alike; only how they compare matters
        [unit of the series].

    Returns
    -------
    StepChange or None
        None where there are fewer than four values, or all are the same.

    Notes
    -----
    One step is sought, of the level and not of the scatter. The largest of many splits is picked,
    so its size comes out too large where the step is small beside the scatter. Values are taken as
    independent: where each hangs on the last, as where a bench wanders, chances are too small.
    """
    read = np.asarray(values, dtype=np.float64)
    weights = np.broadcast_to(np.asarray(sigma, dtype=np.float64), read.shape) ** -2.0
    weights = weights / weights.max()
    count = len(read)
    if count < 2 * FEWEST_SIDE or np.ptp(read) == 0.0:
        return None
    off = read - np.average(read, weights=weights)
    total = float((weights * off**2).sum())
    between = _between(off[None, :], weights[None, :])[0]
    best = int(np.argmax(between))
    index = best + FEWEST_SIDE
    left = max(total - float(between[best]), 1e-15 * total)
    # With n/2 times the logarithm of what is left as minus the log-likelihood.
    worse = 0.5 * count * np.log(np.maximum(total - between, 1e-15 * total) / left)
    held = np.flatnonzero(worse <= _HELD) + FEWEST_SIDE
    before, after = (
        float(np.average(read[part], weights=weights[part]))
        for part in (slice(None, index), slice(index, None))
    )
    spread = left / (count - 2) * (1.0 / weights[:index].sum() + 1.0 / weights[index:].sum())
    return StepChange(
        index=index,
        first=int(held[0]),
        last=int(held[-1]),
        size=after - before,
        u=math.sqrt(float(spread)),
        before=before,
        after=after,
        chance=_chance(off, weights, float(between[best])),
        left=left / total,
    )


def _between(off: Floats, weights: Floats) -> Floats:
    """What each split takes from the sum of squares; shape (rows, splits)."""
    some = np.cumsum(weights, axis=1)
    whole = some[:, -1:]
    sums = np.cumsum(weights * off, axis=1)
    kept = slice(FEWEST_SIDE - 1, off.shape[1] - FEWEST_SIDE)
    part = some[:, kept]
    return np.asarray(sums[:, kept] ** 2 * whole / (part * (whole - part)), dtype=np.float64)


def _chance(off: Floats, weights: Floats, seen: float) -> float:
    """Share of shuffled orders with as large a step; a value takes its weight along."""
    order = shuffled_orders(len(off))
    return chance_of(seen, _between(off[order], weights[order]).max(axis=1))
