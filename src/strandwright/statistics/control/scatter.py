"""Scatter: the short-term standard deviation of a series, from ranges between neighbours.

A neighbour shares the bench, the lot and the day, so what lies between neighbours is the scatter
that the bench cannot help; a drift or a step over many builds hardly enters it.

.. math:: \\hat\\sigma = \\overline{MR}/d_2

Values known unlike well are handled alike, unless it is asked that they be standardised: then each
has :math:`\\sigma_i^2 = \\tau^2 + u_i^2`, with one scatter of the bench :math:`\\tau` such that the
ranges, each over its own deviation, come out as they should on average:

.. math:: \\frac1{n-1}\\sum \\frac{|x_i - x_{i-1}|}{\\sqrt{\\sigma_i^2 + \\sigma_{i-1}^2}}
          = \\frac{d_2}{\\sqrt 2}

With the same u for all that is the first formula again.

References
----------
.. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, individuals control charts:
   d2 = 1.128 and D4 = 3.267 for ranges of two (from memory); d2 is 2/sqrt(pi) to three decimals.
.. [2] Median of the moving range, divisor 0.954: sqrt(2) times the upper quartile of the standard
   normal, to three decimals (common practice; from memory).
"""

from __future__ import annotations

import math

import numpy as np

from strandwright.errors import InputError
from strandwright.statistics.control.series import Floats, Series

#: Mean range of two normal values over their standard deviation [-]
D2 = 1.128
#: Upper limit of the ranges of two over their mean [-]
D4 = 3.267
#: Median range of two over the standard deviation [-]
MEDIAN_DIVISOR = 0.954
WAYS = ("mean", "median")
#: Squared relative spread of a median of n ranges, times n, neighbouring ranges sharing a value;
#: from the joint distribution of two neighbouring ranges (a test works it out anew) [-]
MEDIAN_SPREAD = 1.650
_HALVINGS = 200


def short_term(series: Series, by: str = "mean", *, standardised: bool = False) -> Floats:
    """Short-term standard deviation that belongs to each value.

    Parameters
    ----------
    series : Series
        The values.
    by : str
        ``mean`` or ``median`` of the ranges; one wild value hardly moves the median.
    standardised : bool
        True where values known unlike well are each given their own.

    Returns
    -------
    ndarray, shape (n,)
        Standard deviations, > 0 [unit of the series].

    Raises
    ------
    InputError
        If there is no such way, or the values do not scatter at all.
    """
    if by not in WAYS:
        raise InputError("by", by, "the ways are mean and median", "choose one of these")
    ranges = np.abs(np.diff(series.values))
    if standardised:
        found = np.hypot(_bench(series, ranges, by), series.uncertainties)
    else:
        found = np.full(len(series), _middle(ranges, by) / (D2 if by == "mean" else MEDIAN_DIVISOR))
    if not (found > 0.0).all():
        raise InputError(
            "values", series.values.tolist(), "must differ from one to the next", "read more finely"
        )
    return found


def degrees_of(count: int, by: str = "mean") -> float:
    """Degrees of freedom that a standard deviation from ranges is worth.

    Those of the chi variable with the same relative spread, :math:`\\nu = 1/(2 c^2)`, with for n
    values

    .. math:: c^2 = \\frac{(n-1) v + 2 (n-2) w}{(n-1)^2 d_2^2}, \\quad
              v = 2 - \\frac4\\pi, \\quad w = \\frac4\\pi\\left(\\frac{\\sqrt3}2 + \\frac\\pi{12}
              - 1\\right)

    Neighbouring ranges share a value and are correlated; w is their covariance.

    Parameters
    ----------
    count : int
        Values, >= 2 [-].
    by : str
        ``mean`` or ``median`` of the ranges.

    Returns
    -------
    float
        Degrees of freedom, about 0.6 for each value by the mean and 0.3 by the median [-].

    Notes
    -----
    Valid for normal values; for the median with few values it is an approximation.
    """
    if by == "median":
        return (count - 1) / (2.0 * MEDIAN_SPREAD)
    own = 2.0 - 4.0 / math.pi
    shared = 4.0 / math.pi * (math.sqrt(0.75) + math.pi / 12.0 - 1.0)
    spread = ((count - 1) * own + 2.0 * (count - 2) * shared) / (count - 1) ** 2
    return (4.0 / math.pi) / (2.0 * spread)


def _middle(ranges: Floats, by: str) -> float:
    return float(ranges.mean() if by == "mean" else np.median(ranges))


def _bench(series: Series, ranges: Floats, by: str) -> float:
    """Scatter of the bench beside that of the readings, by halving; 0 where those explain all."""
    wanted = (D2 if by == "mean" else MEDIAN_DIVISOR) / math.sqrt(2.0)
    own = series.uncertainties[1:] ** 2 + series.uncertainties[:-1] ** 2

    def is_too_small(bench: float) -> bool:
        deviation = np.sqrt(own + 2.0 * bench**2)
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = np.where(ranges > 0.0, ranges / deviation, 0.0)
        return _middle(ratio, by) > wanted

    low, high = 0.0, float(ranges.max()) / wanted
    if not is_too_small(0.0):
        return 0.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        low, high = (middle, high) if is_too_small(middle) else (low, middle)
    return 0.5 * (low + high)
