"""One-way variance components: NIST StRD SiRstv and a dyestuff's batches.

NIST, Statistical Reference Datasets, analysis of variance, SiRstv: resistivity of silicon by five
instruments, five readings each; between-instrument and within-instrument mean squares are
certified, and with groups of equal size the components by restricted maximum likelihood follow from
them: (MSB - MSW)/n and MSW. O. L. Davies (ed.), Statistical Methods in Research and Production,
1947: yield of dyestuff, six batches, five samples each; the estimates are those that D. Bates and
others print for these data, Fitting linear mixed-effects models using lme4, Journal of Statistical
Software 67 (2015) 1, and its manual. Data and printed values are quoted from memory; both sets
agree with sums of squares worked out here, and statsmodels 0.15.0 gives the dyestuff's effects,
components and standard error by restricted maximum likelihood to all digits below.

A pool whose widest level is so wide that it says nothing is a mixed model with an unknown mean, and
its spreads fitted with a table of weight 0 are restricted maximum likelihood.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from strandwright.statistics.lesson import Lesson
from strandwright.statistics.pooling import Pool, pool_of
from strandwright.statistics.spread_fit import fit_spreads
from strandwright.statistics.spreads import Spreads

RESISTIVITY = np.array(
    [
        [196.3052, 196.1240, 196.1890, 196.2569, 196.3403],
        [196.3042, 196.3825, 196.1669, 196.3257, 196.0422],
        [196.1303, 196.2005, 196.2889, 196.0343, 196.1811],
        [196.2795, 196.1748, 196.1494, 196.1485, 195.9885],
        [196.2119, 196.1051, 196.1850, 196.0052, 196.2090],
    ]
)
YIELD = np.array(
    [
        [1545, 1440, 1440, 1520, 1580],
        [1540, 1555, 1490, 1560, 1495],
        [1595, 1550, 1605, 1510, 1560],
        [1445, 1440, 1595, 1465, 1545],
        [1595, 1630, 1515, 1635, 1625],
        [1520, 1455, 1450, 1480, 1445],
    ],
    dtype=np.float64,
)


def fitted(table: NDArray[np.float64]) -> Pool:
    """Components by restricted maximum likelihood, and the pool with them."""
    guess = float(table.var())
    spreads = Spreads(("shop", "lot", "build"), ("y",), np.array([[1e6], [1.0], [1.0]]) * guess)
    start = np.array([table[0, 0]])
    lessons = [
        Lesson((("lot", str(group)),), np.eye(1), np.array([value]), np.zeros((1, 1)))
        for group, row in enumerate(table)
        for value in row
    ]
    fit = fit_spreads(spreads, start, lessons, weight=0.0, floor=1e-9)
    assert fit.converged
    return pool_of(fit.spreads, start, lessons)


def mean_squares(table: NDArray[np.float64]) -> tuple[float, float]:
    """Between and within groups."""
    groups, size = table.shape
    middle = table.mean(axis=1)
    within = float(((table - middle[:, None]) ** 2).sum()) / (groups * (size - 1))
    return size * float(middle.var(ddof=1)), within


STRD = "NIST StRD, SiRstv"
WIDTH = "1e-4 of it: width of the widest level, last step of the fit"


def test_the_data_are_the_certified_ones(record):
    """Certified F and residual deviation come out of the data as quoted."""
    between, within = mean_squares(RESISTIVITY)
    record(STRD, "F", "1.18046237440255", between / within, 1e-9, "rounding")
    record(
        STRD, "residual deviation", "0.104076068334656", within**0.5, 1e-12, "rounding", "ohm cm"
    )


def test_components_of_the_certified_set(record):
    """MSW = 0.216636560000000 / 20 and MSB = 0.0511462616000000 / 4 are certified."""
    between, within = 0.0511462616 / 4.0, 0.21663656 / 20.0
    _, lot, build = fitted(RESISTIVITY).spreads.variance[:, 0] * 1e4
    printed = f"{(between - within) / 5.0 * 1e4:.8f}"
    record(STRD, "between instruments x 10^4", printed, lot, 1e-4 * float(printed), WIDTH)
    printed = f"{within * 1e4:.8f}"
    record(STRD, "within x 10^4", printed, build, 1e-4 * float(printed), WIDTH)


DYE, HALF = "Dyestuff, restricted maximum likelihood", "half the last digit"


@pytest.fixture(scope="module")
def dyestuff() -> Pool:
    """The pool of the dyestuff's batches."""
    return fitted(YIELD)


def test_components_of_the_dyestuff(record, dyestuff):
    """Printed: variances 1764 (42.00) and 2451 (49.51)."""
    _, lot, build = dyestuff.spreads.variance[:, 0]
    record(DYE, "variance of batches", "1764", lot, 0.5, HALF)
    record(DYE, "variance within", "2451", build, 0.5, HALF)
    record(DYE, "deviation of batches", "42.00", lot**0.5, 0.005, HALF)
    record(DYE, "deviation within", "49.51", build**0.5, 0.005, HALF)


def test_mean_and_effects_of_the_dyestuff(record, dyestuff):
    """Printed: mean 1527.50 with 19.38; effects of the batches."""
    effect, covariance = dyestuff.effect("shop", "")
    record(DYE, "mean", "1527.50", dyestuff.mean[0] + effect[0], 0.005, HALF)
    record(DYE, "its standard error", "19.38", covariance[0, 0] ** 0.5, 0.005, HALF)
    printed = ("-17.61", "0.39", "28.56", "-23.08", "56.73", "-45.00")
    for batch, value in enumerate(printed):
        ours = dyestuff.effect("lot", str(batch))[0][0]
        record(DYE, f"effect of batch {'ABCDEF'[batch]}", value, ours, 0.005, HALF)
