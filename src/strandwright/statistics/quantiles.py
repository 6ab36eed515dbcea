"""Quantiles of the chi-square distribution, for any degrees of freedom, whole or not.

References
----------
.. [1] M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 1964, 6.5.29 and 6.5.31:
   series and continued fraction of the incomplete gamma function; 26.4.17: the cube-root
   approximation the search begins from (numbers from memory).
"""

from __future__ import annotations

import math
from statistics import NormalDist

from strandwright.errors import InputError

_NORMAL = NormalDist()
_TINY = 1e-300
_CLOSE = 1e-15


def normal_quantile(chance: float) -> float:
    """Value that a standard normal variable stays under with a chance.

    Parameters
    ----------
    chance : float
        Between 0 and 1, neither included [-].

    Returns
    -------
    float
        The quantile [-].
    """
    _refuse_chance(chance)
    return _NORMAL.inv_cdf(chance)


def chi_square_quantile(chance: float, degrees: float) -> float:
    """Value that a chi-square variable stays under with a chance.

    Parameters
    ----------
    chance : float
        Between 0 and 1, neither included [-].
    degrees : float
        Degrees of freedom, > 0, not always whole [-].

    Returns
    -------
    float
        The quantile [-].

    Raises
    ------
    InputError
        If the chance is not between 0 and 1, or the degrees are not above 0.

    Notes
    -----
    By halving on the logarithm of the variable, from 10 units of it either side of the cube-root
    approximation, widened where that does not hold the answer; then relative error is below 1e-10.
    """
    _refuse_chance(chance)
    if not (math.isfinite(degrees) and degrees > 0.0):
        raise InputError("degrees", degrees, "must be above 0", "take more values")
    part = 2.0 / (9.0 * degrees)
    guess = max(1.0 - part + normal_quantile(chance) * math.sqrt(part), 1e-3)
    middle = math.log(degrees * guess**3)
    low, high = middle - 10.0, middle + 10.0
    while chi_square_below(math.exp(low), degrees) > chance and low > -690.0:
        low = max(2.0 * low - high, -690.0)
    while chi_square_below(math.exp(high), degrees) < chance:
        high = 2.0 * high - low
    for _ in range(200):
        middle = 0.5 * (low + high)
        if high - low < 4e-16 * max(1.0, abs(middle)):
            break
        if chi_square_below(math.exp(middle), degrees) < chance:
            low = middle
        else:
            high = middle
    return math.exp(0.5 * (low + high))


def chi_square_below(value: float, degrees: float) -> float:
    """Chance that a chi-square variable stays under a value.

    Parameters
    ----------
    value : float
        The variable, >= 0 [-].
    degrees : float
        Degrees of freedom, > 0 [-].

    Returns
    -------
    float
        Lower tail, 0 to 1 [-].
    """
    a, x = 0.5 * degrees, 0.5 * value
    if x <= 0.0:
        return 0.0
    front = math.exp(a * math.log(x) - x - math.lgamma(a))
    return front * _series(a, x) if x < a + 1.0 else 1.0 - front * _fraction(a, x)


def chi_square_above(value: float, degrees: float) -> float:
    """Chance that a chi-square variable comes out above a value.

    Parameters
    ----------
    value : float
        The variable, >= 0 [-].
    degrees : float
        Degrees of freedom, > 0 [-].

    Returns
    -------
    float
        Upper tail, 0 to 1, as fine as it is small [-].
    """
    a, x = 0.5 * degrees, 0.5 * value
    if x <= 0.0:
        return 1.0
    front = math.exp(a * math.log(x) - x - math.lgamma(a))
    return 1.0 - front * _series(a, x) if x < a + 1.0 else front * _fraction(a, x)


def _series(a: float, x: float) -> float:
    """Sum x^n / (a (a + 1) ... (a + n)); every term is positive."""
    term = total = 1.0 / a
    n = a
    while term > _CLOSE * total:
        n += 1.0
        term *= x / n
        total += term
    return total


def _fraction(a: float, x: float) -> float:
    """Continued fraction of the upper tail, evaluated from its head by Lentz's method."""
    b = x + 1.0 - a
    c, d = 1.0 / _TINY, 1.0 / b
    found = d
    for n in range(1, 10_000):
        step = -n * (n - a)
        b += 2.0
        d = 1.0 / _away_from_zero(step * d + b)
        c = _away_from_zero(b + step / c)
        found *= c * d
        if abs(c * d - 1.0) < _CLOSE:
            break
    return found


def _away_from_zero(number: float) -> float:
    return number if abs(number) > _TINY else _TINY


def _refuse_chance(chance: float) -> None:
    if not 0.0 < chance < 1.0:
        raise InputError("chance", chance, "must lie between 0 and 1", "give a chance, e.g. 0.95")
