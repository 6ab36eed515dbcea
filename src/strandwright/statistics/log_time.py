"""Log-time settling: a straight line in the logarithm of time, laid through readings.

.. math:: y = a + b\\,\\log_{10}(1 + t/t_1)

Most of what settles under a standing load does so by about the same amount in each tenfold of the
time, over the minutes to hours in which it is watched. The fit weighs each reading by its own
scatter. What is common to all readings (a stiffness known to some per cent, a scale) does not
scatter: it is carried through the fit by itself. Weights from the whole covariance would be sharper
where the law is exact; but settling is not quite straight in log-time, and they would take its
bend for an error of the stiffness.

References
----------
.. [1] JCGM 100:2008, Guide to the expression of uncertainty in measurement, 5.2.2 (correlated
   inputs) and H.3 (a straight line by least squares).
.. [2] Birge, R. T., The calculation of errors by the method of least squares, Physical Review 40
   (1932) 207-227: a scatter larger than was stated widens the +- (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

#: Fewer moments than this say nothing of a slope [-]
FEWEST = 2

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class LogTimeFit:
    """A straight line in the logarithm of time.

    Attributes
    ----------
    level : float
        Its value at time 0 [unit of the readings].
    slope : float
        What a tenfold of the time brings, once it is long after ``start``
        [unit of the readings per decade].
    covariance : ndarray, shape (2, 2)
        Of level and slope: scatter and what is common, together [unit squared].
    operator : ndarray, shape (2, n)
        Level and slope as sums over the readings [-].
    chi_square : float
        Residuals over what was stated of them, squared and summed [-].
    degrees : int
        Readings less the two numbers that were fitted [-].
    start : float
        Time from which the logarithm counts, > 0 [s]
    """

    level: float
    slope: float
    covariance: Floats
    operator: Floats
    chi_square: float
    degrees: int
    start: float

    @property
    def widened(self) -> float:
        """By what the +- of the scatter was widened, >= 1 [-]."""
        return _widening(self.chi_square, self.degrees)

    def decades(self, first: float, last: float) -> float:
        """Decades of settling between two moments.

        Parameters
        ----------
        first, last : float
            Moments, >= 0 [s]

        Returns
        -------
        float
            Decades [-]
        """
        return math.log10((self.start + last) / (self.start + first))

    def change(self, first: float, last: float) -> tuple[float, float]:
        """Change from one moment to another, where it goes on as it has.

        Parameters
        ----------
        first, last : float
            Moments, >= 0 [s]

        Returns
        -------
        tuple of float
            Change and its standard uncertainty [unit of the readings]
        """
        decades = self.decades(first, last)
        return self.slope * decades, abs(decades) * math.sqrt(self.covariance[1, 1])

    def at(self, times: ArrayLike) -> tuple[Floats, Floats]:
        """Value on the line at some moments.

        Parameters
        ----------
        times : array_like
            Moments, >= 0, shape (n,) [s]

        Returns
        -------
        tuple of ndarray
            Values and their standard uncertainties, shape (n,) [unit of the readings]
        """
        rows = _design(np.asarray(times, dtype=float), self.start)
        spread = np.einsum("ni,ij,nj->n", rows, self.covariance, rows)
        return rows @ np.array([self.level, self.slope]), np.sqrt(np.maximum(spread, 0.0))


def fit_log_time(
    times: ArrayLike,
    values: ArrayLike,
    variances: ArrayLike,
    common: ArrayLike | None = None,
    *,
    start: float = 60.0,
) -> LogTimeFit | None:
    """Lay a straight line in the logarithm of time through readings.

    .. math:: K = (X^T D^{-1} X)^{-1} X^T D^{-1}, \\quad C = K (s^2 D + \\Sigma) K^T, \\quad
              s^2 = \\max\\left(1, \\chi^2/(n - 2)\\right)

    with D the readings' own variances and the sigma what is common to them.

    Parameters
    ----------
    times : array_like
        Moments since the load came on, >= 0, shape (n,) [s]
    values : array_like
        Readings, shape (n,) [any unit]
    variances : array_like
        Each reading's own variance, > 0, shape (n,) [unit squared]
    common : array_like or None
        Covariance of what is common to the readings, shape (n, n) [unit squared]
    start : float
        Time from which the logarithm counts, > 0 [s]

    Returns
    -------
    LogTimeFit or None
        None where the readings were all taken at one moment, or there is but one.

    Notes
    -----
    Valid where the settling is straight in log-time; where it is not the residuals are larger than
    the stated scatter, and the +- is widened by as much. It is never made smaller.
    """
    moments = np.asarray(times, dtype=float)
    read = np.asarray(values, dtype=float)
    if len(np.unique(moments)) < FEWEST:
        return None
    design = _design(moments, start)
    own = np.diag(np.asarray(variances, dtype=float))
    shared = np.zeros_like(own) if common is None else np.asarray(common, dtype=float)
    weighed = design / np.diagonal(own)[:, None]
    operator = np.asarray(np.linalg.solve(design.T @ weighed, weighed.T), dtype=np.float64)
    found = operator @ read
    left = read - design @ found
    chi_square = float((left**2 / np.diagonal(own)).sum())
    degrees = len(read) - 2
    whole = own * _widening(chi_square, degrees) ** 2 + shared
    covariance = operator @ whole @ operator.T
    return LogTimeFit(
        level=float(found[0]),
        slope=float(found[1]),
        covariance=covariance,
        operator=operator,
        chi_square=chi_square,
        degrees=degrees,
        start=start,
    )


def _design(times: Floats, start: float) -> Floats:
    return np.stack([np.ones_like(times), np.log10(1.0 + times / start)], axis=1)


def _widening(chi_square: float, degrees: int) -> float:
    """Birge's ratio, never below 1."""
    return math.sqrt(max(1.0, chi_square / degrees)) if degrees > 0 else 1.0
