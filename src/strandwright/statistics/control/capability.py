"""Capability: how a tolerance compares with the scatter of a bench, and how sure that is.

.. math:: C_p = \\frac{U - L}{6\\sigma}, \\quad
          C_{pk} = \\frac{\\min(U - \\mu, \\mu - L)}{3\\sigma}, \\quad
          C_{pm} = \\frac{U - L}{6\\sqrt{\\sigma^2 + (\\mu - T)^2}}

References
----------
.. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 7.1.6, what is process capability
   (from memory): the indices, and the limits of Cp by chi-square.
.. [2] A. F. Bissell, How reliable is your capability index?, Applied Statistics 39 (1990) 331-340
   (from memory): normal approximation for the limits of Cpk.
.. [3] R. A. Boyles, The Taguchi capability index, Journal of Quality Technology 23 (1991) 17-26
   (from memory): chi-square approximation for the limits of Cpm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from strandwright.errors import InputError
from strandwright.statistics.control.series import Floats
from strandwright.statistics.quantiles import chi_square_quantile, normal_quantile

#: Confidence of the limits [-]
CONFIDENCE = 0.95
_NODES = 64

Limits = tuple[float, float]


@dataclass(frozen=True)
class Tolerance:
    """What is accepted.

    Attributes
    ----------
    low, high : float
        Its ends, low < high [unit of the series].
    target : float
        What is aimed at, between them [unit of the series].
    """

    low: float
    high: float
    target: float

    def __post_init__(self) -> None:
        if not self.low < self.high:
            raise InputError(
                "tolerance", (self.low, self.high), "must end above its beginning", "swap its ends"
            )
        if not self.low <= self.target <= self.high:
            raise InputError(
                "target", self.target, "must lie in the tolerance", "give what is aimed at"
            )

    @classmethod
    def about(cls, target: float, half: float) -> Tolerance:
        """Take a tolerance of the same width either side of its target.

        Parameters
        ----------
        target : float
            What is aimed at [unit of the series].
        half : float
            Half of its width, > 0 [unit of the series].

        Returns
        -------
        Tolerance
            From the target less the half to the target plus it.
        """
        return cls(target - half, target + half, target)


@dataclass(frozen=True)
class Capability:
    """The indices with their 95 % limits.

    Attributes
    ----------
    mean : float
        Level of the bench [unit of the series].
    sigma : float
        Its scatter [unit of the series].
    count : int
        Values they rest on [-].
    degrees : float
        Degrees of freedom of the scatter [-].
    cp, cpk, cpm : float
        The indices [-].
    cp_limits, cpk_limits, cpm_limits : tuple of float
        95 % limits of each [-].
    share : float
        Share of such values within the tolerance, at mean and scatter as found, 0 to 1 [-].
    share_limits : tuple of float
        Its 95 % limits, for what is not known of mean and scatter [-].
    """

    mean: float
    sigma: float
    count: int
    degrees: float
    cp: float
    cpk: float
    cpm: float
    cp_limits: Limits
    cpk_limits: Limits
    cpm_limits: Limits
    share: float
    share_limits: Limits


def capability(
    mean: float, sigma: float, count: int, tolerance: Tolerance, degrees: float | None = None
) -> Capability:
    """Compare a tolerance with mean and scatter.

    Parameters
    ----------
    mean : float
        Mean of the values [unit of the series].
    sigma : float
        Their standard deviation, > 0, short-term or overall [unit of the series].
    count : int
        Values the mean rests on, >= 2 [-].
    tolerance : Tolerance
        What is accepted.
    degrees : float or None
        Degrees of freedom of the standard deviation; None for those of the overall one, count - 1
        [-].

    Returns
    -------
    Capability
        Indices, shares and limits.

    Raises
    ------
    InputError
        If there is no scatter, or there are fewer than two values.

    Notes
    -----
    Valid for normal values of a bench in control. What readings scatter is in sigma: true lines
    lie closer than it says. Limits of the share: mean and scatter as the data leave them by normal
    and chi-square quantiles, evenly over both; they cover the true share about as often as they
    say where the mean lies inside the tolerance.
    """
    if not (math.isfinite(sigma) and sigma > 0.0) or count < 2:
        raise InputError(
            "sigma", (sigma, count), "must be above 0, from two values or more", "add builds"
        )
    free = float(count - 1) if degrees is None else degrees
    width = tolerance.high - tolerance.low
    off = mean - tolerance.target
    cp = width / (6.0 * sigma)
    cpk = min(tolerance.high - mean, mean - tolerance.low) / (3.0 * sigma)
    cpm = width / (6.0 * math.hypot(sigma, off))
    return Capability(
        mean=mean,
        sigma=sigma,
        count=count,
        degrees=free,
        cp=cp,
        cpk=cpk,
        cpm=cpm,
        cp_limits=_by_chi_square(cp, free),
        cpk_limits=_bissell(cpk, count, free),
        cpm_limits=_by_chi_square(cpm, _degrees_about_target(off / sigma, free)),
        share=float(_within(np.array(mean), np.array(sigma), tolerance)),
        share_limits=_share_limits(mean, sigma, count, free, tolerance),
    )


def _by_chi_square(index: float, degrees: float) -> Limits:
    """Limits of an index that goes as one over a standard deviation."""
    tail = 0.5 * (1.0 - CONFIDENCE)
    low, high = (
        index * math.sqrt(chi_square_quantile(chance, degrees) / degrees)
        for chance in (tail, 1.0 - tail)
    )
    return low, high


def _bissell(cpk: float, count: int, degrees: float) -> Limits:
    reach = normal_quantile(0.5 * (1.0 + CONFIDENCE)) * math.sqrt(
        1.0 / (9.0 * count) + cpk**2 / (2.0 * degrees)
    )
    return cpk - reach, cpk + reach


def _degrees_about_target(off: float, degrees: float) -> float:
    """Degrees of freedom of the squares about the target, with one more than about the mean."""
    return (degrees + 1.0) * (1.0 + off**2) ** 2 / (1.0 + 2.0 * off**2)


def _within(mean: Floats, sigma: Floats, tolerance: Tolerance) -> Floats:
    scale = sigma * math.sqrt(2.0)
    high, low = (tolerance.high - mean) / scale, (tolerance.low - mean) / scale
    below = np.vectorize(math.erf, otypes=[np.float64])
    return np.asarray(0.5 * (below(high) - below(low)), dtype=np.float64)


def _share_limits(
    mean: float, sigma: float, count: int, degrees: float, tolerance: Tolerance
) -> Limits:
    normal, chi = _nodes(degrees)
    sigmas = (sigma / chi)[:, None]
    shares = np.sort(_within(mean + normal * sigmas / math.sqrt(count), sigmas, tolerance).ravel())
    tail = 0.5 * (1.0 - CONFIDENCE)
    return float(np.quantile(shares, tail)), float(np.quantile(shares, 1.0 - tail))


@lru_cache(maxsize=64)
def _nodes(degrees: float) -> tuple[Floats, Floats]:
    """Middles of equally likely parts of a normal and of a chi variable over its degrees."""
    chances = (np.arange(_NODES) + 0.5) / _NODES
    normal = np.array([normal_quantile(float(p)) for p in chances])
    chi = np.array([math.sqrt(chi_square_quantile(float(p), degrees) / degrees) for p in chances])
    return normal, chi
