"""JCGM 100:2008 (GUM), example H.2: simultaneous resistance and reactance.

Five sets of simultaneous readings of voltage V, current I and phase angle phi give R, X and Z.
Data and results are quoted from memory of tables H.2 to H.4; tolerance is half the last printed
digit. H.2 is the guide's case of correlated inputs with several outputs.

One digit differs: the guide's 0.295 ohm for u(X) is what its second approach (H.2.4, spread of
five values of X) gives, 0.29549; the law of propagation on unrounded data (H.2.3) gives 0.29558,
which rounds to 0.296. The law is therefore checked against its own derivatives, by hand, as well.
"""

import numpy as np
import pytest

from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.numerics.propagation import Propagation, monte_carlo, propagate

VOLTAGE = np.array([5.007, 4.994, 5.005, 4.990, 4.999])
CURRENT = np.array([19.663, 19.639, 19.640, 19.685, 19.678]) * 1e-3
PHASE = np.array([1.0456, 1.0438, 1.0468, 1.0428, 1.0433])


def impedance(q):
    """R, X and Z from V, I and phi."""
    z = q["V"] / q["I"]
    return {"R": z * np.cos(q["phi"]), "X": z * np.sin(q["phi"]), "Z": z}


def readings() -> ParameterVector:
    """Means of five readings with the covariance of the means."""
    data = np.stack([VOLTAGE, CURRENT, PHASE])
    correlation = np.asarray(np.corrcoef(data))
    deviation = data.std(axis=1, ddof=1) / np.sqrt(5.0)
    names = ("V", "I", "phi")
    return ParameterVector.from_parameters(
        [
            Parameter(name, float(mean), float(u), source="five readings")
            for name, mean, u in zip(names, data.mean(axis=1), deviation, strict=True)
        ],
        {(names[i], names[j]): float(correlation[i, j]) for i, j in ((0, 1), (0, 2), (1, 2))},
    )


HALF = "half the last digit"
PAIRS = ((0, 1), (0, 2), (1, 2))


@pytest.fixture
def result() -> Propagation:
    """The example, propagated."""
    return propagate(impedance, readings())


def test_table_h2_input_correlations(record):
    """Printed r(V, I) -0.36, r(V, phi) 0.86, r(I, phi) -0.65."""
    covariance = readings().covariance
    scale = readings().deviations
    correlation = covariance / np.outer(scale, scale)
    names = ("V", "I", "phi")
    for (i, j), printed in zip(PAIRS, ("-0.36", "0.86", "-0.65"), strict=True):
        record("Table H.2, readings", f"r({names[i]}, {names[j]})", printed, correlation[i, j],
               0.005, HALF)  # fmt: skip


def test_table_h3_values(record, result):
    """Printed R 127.732, X 219.847, Z 254.260 ohm."""
    assert result.outputs == ("R", "X", "Z")
    for name, printed, ours in zip(
        result.outputs, ("127.732", "219.847", "254.260"), result.value, strict=True
    ):
        record("Table H.3, law of propagation", name, printed, ours, 0.0005, HALF, "ohm")


def test_table_h3_standard_uncertainties(record, result):
    """Printed u(R) 0.071, u(Z) 0.236 ohm; u(X) 0.295 to a whole last digit, see above."""
    source, u = "Table H.3, law of propagation", result.first_order
    record(source, "u(R)", "0.071", u[0], 0.0005, HALF, "ohm")
    record(source, "u(X)", "0.295", u[1], 0.001,
           "the last digit: printed as the second approach gives it", "ohm")  # fmt: skip
    record(source, "u(Z)", "0.236", u[2], 0.0005, HALF, "ohm")


def test_the_law_of_propagation_by_hand(result):
    """The law with the derivatives written out gives the same covariance, all digits."""
    v, i, phi = VOLTAGE.mean(), CURRENT.mean(), PHASE.mean()
    z, c, s = v / i, np.cos(phi), np.sin(phi)
    slopes = np.array(
        [[c / i, -z * c / i, -z * s], [s / i, -z * s / i, z * c], [1.0 / i, -z / i, 0.0]]
    )
    by_hand = slopes @ np.cov(np.stack([VOLTAGE, CURRENT, PHASE])) / 5.0 @ slopes.T
    # the wide step sees a little of the third derivative: relative 1e-6 at this uncertainty
    assert result.whitened @ result.whitened.T == pytest.approx(by_hand, rel=1e-5)
    assert result.jacobian == pytest.approx(slopes, rel=1e-4, abs=1e-4)


def test_table_h4_second_approach(record):
    """Printed u(R) 0.071, u(X) 0.295, u(Z) 0.236 ohm from five values of each output."""
    each = impedance({"V": VOLTAGE, "I": CURRENT, "phi": PHASE})
    for name, printed in (("R", "0.071"), ("X", "0.295"), ("Z", "0.236")):
        spread = float(each[name].std(ddof=1)) / np.sqrt(5.0)
        record("Table H.4, second approach", f"u({name})", printed, spread, 0.0005, HALF, "ohm")


def test_table_h3_output_correlations(record, result):
    """Printed r(R, X) -0.588, r(R, Z) -0.485, r(X, Z) 0.993."""
    names = result.outputs
    for (i, j), printed in zip(PAIRS, ("-0.588", "-0.485", "0.993"), strict=True):
        record("Table H.3, law of propagation", f"r({names[i]}, {names[j]})", printed,
               result.correlation[i, j], 0.0005, HALF)  # fmt: skip


def test_the_example_is_straight_enough_for_first_order(result):
    """The inputs are so well known that curvature moves no printed digit."""
    assert result.second_order == pytest.approx(result.first_order, rel=1e-3)
    assert result.mean == pytest.approx(result.value, abs=0.0005)


def test_chance_agrees_with_the_printed_uncertainties(record):
    """Monte Carlo gives the same, within five of its standard errors and the rounding."""
    count = 20_000
    drawn = monte_carlo(impedance, readings(), count, 20)
    printed = ("0.071", "0.295", "0.236")
    for name, digits, ours in zip("RXZ", printed, drawn.standard_deviation, strict=True):
        tolerance = 5.0 * float(digits) / np.sqrt(2.0 * count) + 0.0005
        record("Table H.3 against 20 000 draws", f"u({name})", digits, ours, tolerance,
               "five standard errors and half the last digit", "ohm")  # fmt: skip


def test_budgets_of_correlated_inputs_are_whole(result):
    """Every output's shares sum to 1 and none is negative, for all their correlation."""
    for output in result.outputs:
        shares = [row.share for row in result.budget(output)]
        assert sum(shares) == pytest.approx(1.0)
        assert min(shares) >= 0.0
