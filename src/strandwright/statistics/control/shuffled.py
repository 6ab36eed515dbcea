"""Shuffled orders: what a series would show if its order, or its groups, meant nothing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from strandwright.statistics.control.series import Floats

_SHUFFLES = 1999
#: Long series are shuffled fewer times; the least chance that is told is then larger [-]
_FEWEST, _MOST_NUMBERS = 499, 400_000
_SEED = 20181


def shuffled_orders(count: int) -> NDArray[np.intp]:
    """Shuffle a series many times, always in the same ways.

    Parameters
    ----------
    count : int
        Its values, >= 1 [-].

    Returns
    -------
    ndarray of int, shape (shuffles, count)
        Which value comes where.
    """
    rows = max(_FEWEST, min(_SHUFFLES, _MOST_NUMBERS // count))
    order = np.tile(np.arange(count), (rows, 1))
    return np.random.default_rng(_SEED).permuted(order, axis=1)


def chance_of(seen: float, shuffled: Floats) -> float:
    """Chance of a measure as large as was seen.

    Parameters
    ----------
    seen : float
        Measure of the series as it is [any unit].
    shuffled : ndarray, shape (shuffles,)
        The same of its shuffled orders [same unit].

    Returns
    -------
    float
        Share with as large a one, the series itself counted, so never 0 [-].
    """
    # Orders that differ by values that are alike give the same to rounding.
    as_large = int((shuffled >= seen * (1.0 - 1e-12)).sum())
    return (1.0 + as_large) / (1.0 + len(shuffled))
