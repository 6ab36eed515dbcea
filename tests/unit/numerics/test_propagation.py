"""Promises of propagation, budget and Monte Carlo."""

import math

import numpy as np
import pytest

from strandwright.errors import InputError, OutsideValidRange
from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.numerics.propagation import monte_carlo, propagate


def pair(correlation: float = 0.0) -> ParameterVector:
    """Two linear parameters, x = 3 +- 0.2 and y = -1 +- 0.5."""
    return ParameterVector.from_parameters(
        [Parameter("x", 3.0, 0.2, source="table"), Parameter("y", -1.0, 0.5, source="reading")],
        {("x", "y"): correlation},
    )


def test_a_linear_model_gives_the_textbook_variance():
    """u^2 = a^2 u_x^2 + b^2 u_y^2 + 2 a b r u_x u_y, and no curvature."""
    result = propagate(lambda q: {"z": 2.0 * q["x"] - 3.0 * q["y"]}, pair(0.4))
    expected = 4 * 0.04 + 9 * 0.25 - 2 * 6 * 0.4 * 0.2 * 0.5
    assert result.first_order**2 == pytest.approx([expected], rel=1e-12)
    assert result.second_order == pytest.approx(result.first_order, rel=1e-12)
    assert result.value == pytest.approx([9.0])
    assert result.mean == pytest.approx([9.0])
    assert result.jacobian == pytest.approx(np.array([[2.0, -3.0]]))


def test_a_quadratic_model_is_exact_with_cross_terms():
    """Mean and variance of a quadratic in normal inputs follow from their moments."""
    result = propagate(
        lambda q: {"square": q["x"] ** 2, "product": q["x"] * q["y"]}, pair(), cross_terms=True
    )
    assert result.mean == pytest.approx([9.0 + 0.04, -3.0], rel=1e-12)
    variance = [4 * 9 * 0.04 + 2 * 0.04**2, 9 * 0.25 + 1 * 0.04 + 0.04 * 0.25]
    assert result.second_order**2 == pytest.approx(variance, rel=1e-11)


def test_without_cross_terms_the_interaction_is_left_out():
    """The cheap call neglects h_xy and nothing else."""
    result = propagate(lambda q: {"product": q["x"] * q["y"]}, pair())
    assert result.second_order**2 == pytest.approx([9 * 0.25 + 0.04], rel=1e-11)


def test_the_mean_is_exact_to_the_fifth_degree_in_one_direction():
    """Three-point quadrature integrates x^4 exactly: mean m^4 + 6 m^2 u^2 + 3 u^4."""
    result = propagate(lambda q: {"z": q["x"] ** 4}, pair())
    assert result.mean == pytest.approx([81 + 6 * 9 * 0.04 + 3 * 0.0016], rel=1e-12)


def test_the_step_catches_the_third_derivative():
    """For a cubic about 0 the slope is 3 u^2, where the derivative at the mean is nought."""
    vector = ParameterVector.from_parameters([Parameter("x", 0.0, 0.5)])
    felt = propagate(lambda q: {"z": q["x"] ** 3}, vector)
    assert felt.jacobian == pytest.approx(np.array([[0.75]]))
    plain = propagate(lambda q: {"z": q["x"] ** 3}, vector, step=1e-3)
    assert plain.jacobian == pytest.approx(np.array([[0.0]]), abs=1e-6)


def test_the_model_is_called_once_with_one_batch():
    """One call of 1 + 2 r rows, or of all corners too, whatever the number of parameters."""
    batches: list[int] = []

    def model(q):
        batches.append(q["x"].size)
        return {"z": q["x"] + q["y"]}

    propagate(model, pair())
    propagate(model, pair(), cross_terms=True)
    assert batches == [5, 9]


def test_array_outputs_are_numbered():
    """A model may give columns instead of names."""
    result = propagate(lambda q: np.stack([q["x"], q["y"]], axis=1), pair(0.3))
    assert result.outputs == ("0", "1")
    assert result.correlation[0, 1] == pytest.approx(0.3)


def test_outputs_keep_the_covariance_of_the_inputs():
    """Passing the inputs through gives their covariance back."""
    result = propagate(lambda q: q, pair(-0.6))
    assert result.covariance == pytest.approx(pair(-0.6).covariance)


def test_the_jacobian_is_in_working_coordinates():
    """For z = x^2 with x positive, one logarithmic unit changes z by 2 z."""
    vector = ParameterVector.from_parameters([Parameter("x", 5.0, 1e-4, "log")])
    result = propagate(lambda q: {"z": q["x"] ** 2}, vector)
    assert result.jacobian == pytest.approx(np.array([[50.0]]), rel=1e-6)


def test_perfectly_correlated_inputs_share_the_slope():
    """What cannot be told apart still gives the right variance and a finite Jacobian."""
    result = propagate(lambda q: {"z": q["x"] + q["y"]}, pair(1.0))
    assert result.first_order == pytest.approx([0.7])
    assert np.isfinite(result.jacobian).all()
    assert sum(row.share for row in result.budget("z")) == pytest.approx(1.0)


def test_the_budget_is_ranked_named_and_whole():
    """Largest first, sources beside names, shares summing to 1."""
    rows = propagate(lambda q: {"z": 2.0 * q["x"] - 3.0 * q["y"]}, pair()).budget("z")
    assert [row.parameter for row in rows] == ["y", "x", "curvature"]
    assert rows[0].source == "reading"
    assert rows[0].sensitivity == pytest.approx(-3.0)
    assert rows[0].standard_uncertainty == pytest.approx(1.5)
    assert rows[0].share == pytest.approx(2.25 / 2.41)
    assert sum(row.share for row in rows) == pytest.approx(1.0)


def test_curvature_has_a_row_of_its_own():
    """At the turning point of a square everything is curvature: u = sqrt(2) u_x^2."""
    vector = ParameterVector.from_parameters([Parameter("x", 0.0, 0.5)])
    rows = propagate(lambda q: {"z": q["x"] ** 2}, vector).budget("z")
    assert rows[0].parameter == "curvature"
    assert rows[0].standard_uncertainty == pytest.approx(math.sqrt(2.0) * 0.25)
    assert rows[0].share == pytest.approx(1.0)


def test_shares_of_opposed_inputs_are_never_negative():
    """Two inputs that nearly cancel share equally instead of as a large plus and minus."""
    vector = ParameterVector.from_parameters(
        [Parameter("x", 1.0, 0.3), Parameter("y", 1.0, 0.3), Parameter("w", 0.0, 0.01)],
        {("x", "y"): -0.999},
    )
    shares = {
        row.parameter: row.share
        for row in propagate(lambda q: {"z": q["x"] + q["y"] + q["w"]}, vector).budget("z")
    }
    assert min(shares.values()) >= 0.0
    assert shares["x"] == pytest.approx(shares["y"])
    assert sum(shares.values()) == pytest.approx(1.0)
    assert shares["w"] == pytest.approx(0.0001 / (0.0001 + 0.00018))


def test_an_output_that_depends_on_nothing_has_no_shares():
    """A constant has zero uncertainty and zero shares."""
    result = propagate(lambda q: {"z": q["x"], "pi": np.array(math.pi)}, pair())
    assert result.second_order[1] == 0.0
    assert all(row.share == 0.0 for row in result.budget("pi"))


def test_a_failure_stays_in_its_own_output():
    """An output that fails on the stencil is nan; the others stand; its budget is refused."""

    def model(q):
        return {"good": q["x"], "bad": np.where(q["y"] > -1.2, q["y"], np.inf)}

    result = propagate(model, pair())
    assert result.second_order[0] == pytest.approx(0.2)
    assert math.isnan(result.second_order[1])
    with pytest.raises(OutsideValidRange, match="'bad' has no budget"):
        result.budget("bad")
    assert monte_carlo(model, pair(), 1000, 1).failures.tolist()[0] == 0
    assert monte_carlo(model, pair(), 1000, 1).failures.tolist()[1] > 0


def test_all_inputs_exact_gives_the_value_alone():
    """Without uncertainty there is one row, one value and no spread."""
    vector = ParameterVector.from_parameters([Parameter("x", 2.0, 0.0)])
    result = propagate(lambda q: {"z": q["x"] ** 2}, vector)
    assert result.value == pytest.approx([4.0])
    assert result.second_order == pytest.approx([0.0])
    assert result.jacobian.shape == (1, 1)


def test_an_unknown_output_and_a_lost_batch_axis_are_refused():
    """Misuse is told with what to do."""
    with pytest.raises(InputError, match="choose from z"):
        propagate(lambda q: {"z": q["x"]}, pair()).budget("q")
    with pytest.raises(InputError, match="batch axis first"):
        propagate(lambda q: np.zeros((2, 3)), pair())


def test_monte_carlo_does_not_depend_on_the_block():
    """Blocks bound memory and nothing else."""
    model = lambda q: {"z": np.exp(q["x"]) * q["y"]}  # noqa: E731
    whole = monte_carlo(model, pair(), 500, 11, block=500)
    parts = monte_carlo(model, pair(), 500, 11, block=64)
    assert (whole.draws == parts.draws).all()
    assert whole.quantiles(0.1, 0.5, 0.9).shape == (3, 1)
    assert (np.diff(whole.quantiles(0.1, 0.5, 0.9)[:, 0]) > 0.0).all()


def test_monte_carlo_refuses_too_few_draws():
    """One draw has no spread."""
    with pytest.raises(InputError, match="at least 2"):
        monte_carlo(lambda q: q, pair(), 1, 0)
    with pytest.raises(InputError, match="at least 1"):
        monte_carlo(lambda q: q, pair(), 10, 0, block=0)
