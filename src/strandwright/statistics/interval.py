"""A go/no-go trial as a reading: what "it fits" says about a size, as value and variance."""

from __future__ import annotations

import math

_ROOT_TWO = math.sqrt(2.0)
_ROOT_TWO_PI = math.sqrt(2.0 * math.pi)


def reading_of_interval(
    mean: float, standard_uncertainty: float, low: float, high: float
) -> tuple[float, float]:
    """Reading that carries the same news as "the size lies between low and high".

    The expected size, normal, is cut off at the ends; value and variance are those of the normal
    reading which would lead to the cut distribution's mean and variance (moment matching).

    Parameters
    ----------
    mean : float
        Size expected before the trial [any unit]
    standard_uncertainty : float
        Of the expected size, > 0 [same unit]
    low, high : float
        Ends of the interval, low < high; either may be infinite [same unit]

    Returns
    -------
    value : float
        The reading [same unit]
    variance : float
        Its variance, infinite where the trial says nothing [square of the unit]

    Notes
    -----
    A trial far out in the tail of what was expected is taken at the nearer end of the interval.

    References
    ----------
    .. [1] N. L. Johnson, S. Kotz, N. Balakrishnan, Continuous Univariate Distributions, vol. 1,
       2nd ed., 1994, ch. 13.10.1, truncated normal (from memory).
    """
    a, b = ((end - mean) / standard_uncertainty for end in (low, high))
    chance = _distribution(b) - _distribution(a)
    if chance < 1e-6:
        nearer = low if a > 0.0 else high
        return nearer, (0.25 * standard_uncertainty) ** 2
    first = (_density(a) - _density(b)) / chance
    second = (_times(a) - _times(b)) / chance
    cut_variance = standard_uncertainty**2 * (1.0 + second - first * first)
    cut_mean = mean + standard_uncertainty * first
    gain = 1.0 / cut_variance - 1.0 / standard_uncertainty**2
    if gain <= 1e-12 / standard_uncertainty**2:
        return mean, math.inf
    variance = 1.0 / gain
    return variance * (cut_mean / cut_variance - mean / standard_uncertainty**2), variance


def _density(z: float) -> float:
    return math.exp(-0.5 * z * z) / _ROOT_TWO_PI if math.isfinite(z) else 0.0


def _distribution(z: float) -> float:
    return 0.5 * (1.0 + math.erf(z / _ROOT_TWO))


def _times(z: float) -> float:
    return z * _density(z) if math.isfinite(z) else 0.0
