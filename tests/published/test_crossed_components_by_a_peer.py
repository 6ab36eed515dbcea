"""Crossed variance components by a peer: benches, lots and builders of forty-eight invented builds.

The peer is statsmodels 0.15.0, a general statistics library: its mixed linear model with three
crossed components, restricted maximum likelihood, run once on the readings below. Its four
optimisers (bfgs, lbfgs, powell, cg) agree to the digits quoted, which are held to one of the last;
it is not needed to run this check. Ours are spreads fitted with a table of weight 0, and the pool
with them, its widest level so wide that it says nothing.
"""

from __future__ import annotations

import numpy as np
import pytest

from strandwright.statistics.lesson import Lesson
from strandwright.statistics.pooling import Pool, pool_of
from strandwright.statistics.spread_fit import fit_spreads
from strandwright.statistics.spreads import Spreads

#: One digit a build; six builds to a lot.
BUILDERS = "314400002121433004143022203112124234112033342444"
BENCHES = "103312033130333203203013301320120111203323023222"
READINGS = """
22.53 21.43 18.19 16.18 19.76 19.52 22.54 20.81 21.56 24.80 21.12 23.47 16.56 19.58 20.99 20.43
21.59 18.25 22.32 21.97 20.64 21.76 23.70 21.26 20.23 24.75 25.63 21.61 22.89 24.36 19.95 20.46
19.27 20.51 22.74 17.73 22.47 24.40 21.54 21.89 24.61 24.03 27.65 22.41 22.77 22.97 24.51 22.09
"""
LEVELS = ("shop", "bench", "lot", "builder", "build")
SOURCE, LAST = "statsmodels 0.15.0", "one of the last digit"


@pytest.fixture(scope="module")
def pool() -> Pool:
    """Components by restricted maximum likelihood, and the pool with them."""
    spreads = Spreads(LEVELS, ("y",), np.array([[1e7], [3.0], [3.0], [3.0], [3.0]]))
    lessons = [
        Lesson(
            (("bench", bench), ("lot", str(build // 6)), ("builder", builder)),
            np.eye(1),
            np.array([float(reading)]),
            np.zeros((1, 1)),
        )
        for build, (bench, builder, reading) in enumerate(
            zip(BENCHES, BUILDERS, READINGS.split(), strict=True)
        )
    ]
    fit = fit_spreads(spreads, [20.0], lessons, weight=0.0, floor=1e-9)
    assert fit.converged
    return pool_of(fit.spreads, [20.0], lessons)


def test_components(record, pool):
    """Variances of benches, lots, builders and builds."""
    _, bench, lot, builder, build = pool.spreads.variance[:, 0]
    record(SOURCE, "variance of benches", "1.609", bench, 0.001, LAST)
    record(SOURCE, "variance of lots", "2.973", lot, 0.001, LAST)
    record(SOURCE, "variance of builders", "1.241", builder, 0.001, LAST)
    record(SOURCE, "variance of builds", "0.6918", build, 0.0001, LAST)


def test_mean(record, pool):
    """The mean of all, and its standard error."""
    effect, covariance = pool.effect("shop", "")
    record(SOURCE, "mean", "22.0177", 20.0 + effect[0], 0.0001, LAST)
    record(SOURCE, "its standard error", "1.0187", covariance[0, 0] ** 0.5, 0.0001, LAST)


@pytest.mark.parametrize(
    ("level", "effects"),
    [
        ("bench", "1.029 0.756 -0.068 -1.717"),
        ("builder", "-0.412 0.057 0.245 1.534 -1.424"),
        ("lot", "-1.838 0.762 -1.314 -0.002 1.015 -2.353 1.296 2.434"),
    ],
)
def test_effects(record, pool, level, effects):
    """Best linear unbiased predictions of every group."""
    for key, value in enumerate(effects.split()):
        ours = pool.effect(level, str(key))[0][0]
        record(SOURCE, f"effect of {level} {key}", value, ours, 0.001, LAST)
