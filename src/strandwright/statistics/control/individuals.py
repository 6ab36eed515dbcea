"""Individuals chart: each value between limits that the scatter of neighbours sets.

References
----------
.. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (from memory): limits at
   mean +- 3 MR/1.128, ranges under 3.267 MR.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strandwright.errors import InputError
from strandwright.statistics.control.scatter import D2, D4, short_term
from strandwright.statistics.control.series import Floats, Series

#: Limits lie so many standard deviations from the centre [-]
LIMITS_AT = 3.0


@dataclass(frozen=True, eq=False)
class IndividualsChart:
    """Values with their centre, scatter and limits.

    Attributes
    ----------
    centre : float
        Mean of the values, or the centre that was given [unit of the series].
    sigma : ndarray, shape (n,)
        Standard deviation expected of each value; all alike unless they are standardised
        [unit of the series].
    scores : ndarray, shape (n,)
        Each value's distance from the centre in its own standard deviations [-].
    ranges : ndarray, shape (n - 1,)
        Moving ranges of two, between each value and the one before it [unit of the series].
    range_limits : ndarray, shape (n - 1,)
        Their upper limits [unit of the series].
    by : str
        ``mean`` or ``median`` of the ranges, or ``known``.
    standardised : bool
        Whether values known unlike well have each their own standard deviation.
    """

    centre: float
    sigma: Floats
    scores: Floats
    ranges: Floats
    range_limits: Floats
    by: str
    standardised: bool

    @property
    def low(self) -> Floats:
        """Lower control limit at each value [unit of the series]."""
        return self.centre - LIMITS_AT * self.sigma

    @property
    def high(self) -> Floats:
        """Upper control limit at each value [unit of the series]."""
        return self.centre + LIMITS_AT * self.sigma

    @property
    def typical_sigma(self) -> float:
        """Root mean square of the standard deviations [unit of the series]."""
        return math.sqrt(float((self.sigma**2).mean()))


def individuals_chart(
    series: Series,
    *,
    by: str = "mean",
    standardised: bool = False,
    centre: float | None = None,
    sigma: float | None = None,
) -> IndividualsChart:
    """Chart values one by one.

    Parameters
    ----------
    series : Series
        The values.
    by : str
        ``mean`` or ``median`` of the ranges.
    standardised : bool
        True to give values known unlike well each their own standard deviation; the centre is then
        the mean weighted by it.
    centre : float or None
        Centre known beforehand; None for the mean of the values [unit of the series].
    sigma : float or None
        Standard deviation known beforehand, > 0, the readings' own included; None for that of the
        ranges [unit of the series].

    Returns
    -------
    IndividualsChart
        Centre, scatter and limits.

    Raises
    ------
    InputError
        If the values do not scatter at all, or the sigma given is not above 0.

    Notes
    -----
    Limits from few values are themselves uncertain: by 20 values the standard deviation is known
    to about 20 %. Values are taken as near normal and independent.
    """
    if sigma is None:
        deviations = short_term(series, by, standardised=standardised)
    elif math.isfinite(sigma) and sigma > 0.0:
        deviations, by, standardised = np.full(len(series), sigma), "known", False
    else:
        raise InputError("sigma", sigma, "must be above 0", "leave it out to have it worked out")
    # Weights are one exactly where all are alike, so that the mean is the plain mean.
    weights = (deviations.min() / deviations) ** 2
    middle = float(np.average(series.values, weights=weights)) if centre is None else centre
    of_a_range = np.hypot(deviations[1:], deviations[:-1]) / math.sqrt(2.0)
    return IndividualsChart(
        centre=middle,
        sigma=deviations,
        scores=(series.values - middle) / deviations,
        ranges=np.abs(np.diff(series.values)),
        range_limits=D4 * D2 * of_a_range,
        by=by,
        standardised=standardised,
    )
