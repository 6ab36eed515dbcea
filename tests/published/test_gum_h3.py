"""JCGM 100:2008 (GUM), example H.3: calibration line of a thermometer.

Eleven corrections b against temperature t, reference temperature 20 deg C, give intercept y1 and
slope y2. Data and results are quoted from memory of table H.6 and clause H.3.3; tolerance is half
the last printed digit. A reading update with a prior so wide that it says nothing is the least
squares line, so the example checks the update: its posterior, its residual and a prediction
outside the calibrated span.
"""

import math

import numpy as np
import pytest

from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.numerics.propagation import propagate
from strandwright.statistics.update import Updated, update

TEMPERATURE = np.array(
    [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
)
CORRECTION = -1e-3 * np.array([171, 169, 166, 159, 164, 165, 156, 157, 159, 161, 160])


def line(q):
    """Corrections the line gives at the eleven temperatures."""
    return q["y1"][:, None] + q["y2"][:, None] * (TEMPERATURE - 20.0)


def learn(noise: float) -> Updated:
    """The line from a prior a thousand times wider than the data could use."""
    vague = ParameterVector.from_parameters(
        [Parameter("y1", 0.0, 10.0, unit="degC"), Parameter("y2", 0.0, 10.0)]
    )
    return update(vague, line, CORRECTION, np.full(CORRECTION.size, noise**2))


@pytest.fixture
def learned() -> Updated:
    """The line, with the scatter of the readings about it as their uncertainty."""
    scatter = learn(1.0e-3).residual
    return learn(math.sqrt(float(scatter @ scatter) / (CORRECTION.size - 2)))


SOURCE, HALF = "Example H.3, clause H.3.3", "half the last digit"


def test_scatter_about_the_line(record):
    """Printed s = 0.0035 deg C."""
    scatter = learn(1.0e-3).residual
    ours = math.sqrt(float(scatter @ scatter) / 9.0)
    record(SOURCE, "s", "0.0035", ours, 0.00005, HALF, "degC")


def test_intercept_and_slope(record, learned):
    """Printed y1 = -0.1712, y2 = 0.00218."""
    known = learned.parameters
    record(SOURCE, "y1", "-0.1712", known.value("y1"), 0.00005, HALF, "degC")
    record(SOURCE, "y2", "0.00218", known.value("y2"), 0.000005, HALF)


def test_their_uncertainties(record, learned):
    """Printed u(y1) = 0.0029, u(y2) = 0.00067, r = -0.930."""
    u1, u2 = learned.parameters.deviations
    correlation = learned.parameters.covariance[0, 1] / (u1 * u2)
    record(SOURCE, "u(y1)", "0.0029", u1, 0.00005, HALF, "degC")
    record(SOURCE, "u(y2)", "0.00067", u2, 0.000005, HALF)
    record(SOURCE, "r(y1, y2)", "-0.930", correlation, 0.0005, HALF)


def test_prediction_outside_the_calibrated_span(record, learned):
    """Printed b(30 deg C) = -0.1494 with u = 0.0041."""
    at_30 = propagate(lambda q: {"b": q["y1"] + 10.0 * q["y2"]}, learned.parameters)
    record(SOURCE, "b(30 degC)", "-0.1494", at_30.value[0], 0.00005, HALF, "degC")
    record(SOURCE, "u(b(30 degC))", "0.0041", at_30.first_order[0], 0.00005, HALF, "degC")
