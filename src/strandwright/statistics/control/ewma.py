"""EWMA chart: an average that forgets, which shows small lasting shifts.

.. math:: E_i = \\lambda x_i + (1 - \\lambda) E_{i-1}, \\quad
          V_i = \\lambda^2 \\sigma_i^2 + (1 - \\lambda)^2 V_{i-1}, \\quad V_0 = 0

Where every value has the same sigma that is the closed form
:math:`V_i = \\sigma^2 \\frac{\\lambda}{2-\\lambda}(1 - (1-\\lambda)^{2i})`.

References
----------
.. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4, EWMA control charts (from memory).
.. [2] J. M. Lucas and M. S. Saccucci, Exponentially weighted moving average control schemes,
   Technometrics 32 (1990) 1-12: lambda 0.2 with L 2.962 has a false alarm about once in 500 values
   (from memory; a test lets it run).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strandwright.errors import InputError
from strandwright.statistics.control.individuals import IndividualsChart
from strandwright.statistics.control.series import Floats, Series

#: Share of the newest value [-]
WEIGHT = 0.2
#: Limits lie so many standard deviations from the centre [-]
WIDTH = 2.962


@dataclass(frozen=True, eq=False)
class EwmaChart:
    """The average that forgets, and its limits.

    Attributes
    ----------
    weight : float
        Lambda, share of the newest value, 0 to 1 [-].
    width : float
        L, how many standard deviations the limits lie from the centre [-].
    centre : float
        Where it starts from and is held against [unit of the series].
    averages : ndarray, shape (n,)
        The average after each value [unit of the series].
    deviations : ndarray, shape (n,)
        Its exact standard deviation, which grows from the start [unit of the series].
    steady_deviation : float
        Where that ends for values all known alike well [unit of the series].
    """

    weight: float
    width: float
    centre: float
    averages: Floats
    deviations: Floats
    steady_deviation: float

    @property
    def low(self) -> Floats:
        """Lower limit after each value, exact [unit of the series]."""
        return self.centre - self.width * self.deviations

    @property
    def high(self) -> Floats:
        """Upper limit after each value, exact [unit of the series]."""
        return self.centre + self.width * self.deviations

    @property
    def steady_low(self) -> float:
        """Lower limit after many values [unit of the series]."""
        return self.centre - self.width * self.steady_deviation

    @property
    def steady_high(self) -> float:
        """Upper limit after many values [unit of the series]."""
        return self.centre + self.width * self.steady_deviation

    @property
    def beyond(self) -> tuple[int, ...]:
        """Where the average lies beyond its exact limits, as indices into the series."""
        off = np.abs(self.averages - self.centre) > self.width * self.deviations
        return tuple(int(i) for i in np.flatnonzero(off))

    def since(self, index: int) -> int:
        """Where the average last left the centre for the side it is on.

        Parameters
        ----------
        index : int
            Where it is looked at [-].

        Returns
        -------
        int
            First of the values since, a rough guess at where a shift began [-].
        """
        side = self.averages[index] > self.centre
        first = index
        while first > 0 and (self.averages[first - 1] > self.centre) == side:
            first -= 1
        return first


def ewma_chart(
    series: Series, chart: IndividualsChart, *, weight: float = WEIGHT, width: float = WIDTH
) -> EwmaChart:
    """Average with forgetting, about the centre of an individuals chart.

    Parameters
    ----------
    series : Series
        The values.
    chart : IndividualsChart
        Gives the centre and the standard deviation of each value.
    weight : float
        Lambda, above 0, at most 1; with 1 and L 3 it is the individuals chart [-].
    width : float
        L, > 0 [-].

    Returns
    -------
    EwmaChart
        Averages and limits.

    Raises
    ------
    InputError
        If lambda or L lies outside its range.
    """
    if not 0.0 < weight <= 1.0:
        raise InputError("weight", weight, "must lie above 0 and at most at 1", "try 0.2")
    if not (math.isfinite(width) and width > 0.0):
        raise InputError("width", width, "must be above 0", "try 2.962")
    averages, variances = np.empty(len(series)), np.empty(len(series))
    average, variance = chart.centre, 0.0
    for i, (value, sigma) in enumerate(zip(series.values, chart.sigma, strict=True)):
        average = weight * value + (1.0 - weight) * average
        variance = (weight * sigma) ** 2 + (1.0 - weight) ** 2 * variance
        averages[i], variances[i] = average, variance
    steady = chart.typical_sigma * math.sqrt(weight / (2.0 - weight))
    return EwmaChart(weight, width, chart.centre, averages, np.sqrt(variances), steady)
