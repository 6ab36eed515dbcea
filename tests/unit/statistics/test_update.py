"""Promises of learning from readings."""

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import chi2

from strandwright.errors import InputError, OutsideValidRange
from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.statistics.update import (
    chi_square_chance,
    expected_posterior,
    predicted_uncertainty,
    update,
)


def prior(correlation: float = 0.3) -> ParameterVector:
    """Three linear parameters, one exact besides."""
    return ParameterVector.from_parameters(
        [
            Parameter("a", 1.0, 0.5, source="table"),
            Parameter("b", -2.0, 1.5, source="table"),
            Parameter("c", 0.5, 0.2, source="stated"),
            Parameter("k", 3.0, 0.0, source="counted"),
        ],
        {("a", "b"): correlation},
    )


H = np.array([[1.0, 2.0, -1.0, 0.0], [0.5, 0.0, 4.0, 0.0]])
R = np.array([[0.04, 0.01], [0.01, 0.09]])
Y = np.array([-1.0, 5.5])


def linear(rows):
    """The model H x for some of its rows."""
    return lambda q: np.stack([q["a"], q["b"], q["c"], q["k"]], axis=1) @ H[rows].T


def test_a_linear_gaussian_case_equals_the_closed_form():
    """Posterior precision is the sum of precisions; one step is enough."""
    result = update(prior(), linear([0, 1]), Y, R)
    active = prior().covariance[:3, :3]
    precision = np.linalg.inv(active) + H[:, :3].T @ np.linalg.inv(R) @ H[:, :3]
    covariance = np.linalg.inv(precision)
    mean = covariance @ (
        np.linalg.inv(active) @ prior().mean[:3] + H[:, :3].T @ np.linalg.inv(R) @ Y
    )
    assert result.parameters.mean[:3] == pytest.approx(mean, rel=1e-9)
    assert result.parameters.covariance[:3, :3] == pytest.approx(covariance, rel=1e-9)
    assert result.converged
    assert result.iterations == 1
    assert result.parameters.value("k") == 3.0


def test_the_misfit_of_a_linear_case_is_the_innovation_over_its_covariance():
    """Squared innovation over H P H' + R, with its chi-square chance."""
    result = update(prior(), linear([0, 1]), Y, R)
    innovation = Y - H @ prior().mean
    total = H @ prior().covariance @ H.T + R
    expected = innovation @ np.linalg.solve(total, innovation)
    assert result.innovation == pytest.approx(innovation)
    assert result.normalised_innovation == pytest.approx(innovation / np.sqrt(np.diag(total)))
    assert result.normalised_innovation_squared == pytest.approx(expected)
    assert result.chance == pytest.approx(chi2.sf(expected, 2))


def test_the_order_of_independent_readings_does_not_matter():
    """First, second, or both together: the same posterior."""
    noise = np.diag(R)
    together = update(prior(), linear([0, 1]), Y, noise).parameters
    for order in ([0, 1], [1, 0]):
        known = prior()
        for i in order:
            known = update(known, linear([i]), Y[[i]], noise[[i]]).parameters
        assert known.mean == pytest.approx(together.mean, rel=1e-8)
        assert known.covariance == pytest.approx(together.covariance, rel=1e-7, abs=1e-12)


def test_repeating_a_reading_is_one_reading_with_half_the_variance():
    """Two equal readings weigh as their mean does."""
    model = linear([0, 0])
    twice = update(prior(), model, [-1.0, -1.0], [0.04, 0.04]).parameters
    once = update(prior(), linear([0]), [-1.0], [0.02]).parameters
    assert twice.mean == pytest.approx(once.mean, rel=1e-9)
    assert twice.covariance == pytest.approx(once.covariance, rel=1e-8, abs=1e-12)


def test_a_bent_model_finds_the_mean_of_what_is_left():
    """Nearer than the most probable point to the mean of a fine grid, and never too sure."""
    vector = ParameterVector.from_parameters(
        [Parameter("r", 2.0, 0.4, "log"), Parameter("s", 0.4, 0.7, "logit")],
        {("r", "s"): -0.5},
    )

    def model(q):
        return {"p": q["r"] ** 2 * q["s"], "q": q["r"] + np.exp(q["s"])}

    observed, noise = np.array([4.0, 4.4]), np.diag([0.05, 0.02])
    result = update(vector, model, observed, noise)
    axis = np.linspace(-6.0, 6.0, 601)
    z = np.stack(np.meshgrid(axis, axis), axis=-1).reshape(-1, 2)
    points = vector.mean + z @ vector.factor.T
    expected = model(vector.natural(points))
    gap = observed - np.stack([expected["p"], expected["q"]], axis=1)
    weight = np.exp(-0.5 * ((z**2).sum(axis=1) + (gap**2 / np.diag(noise)).sum(axis=1)))
    weight /= weight.sum()
    mean = weight @ points
    spread = np.sqrt(weight @ (points - mean) ** 2)
    assert result.converged
    def objective(x):
        expected = model(vector.natural(x[None, :]))
        gap = observed - np.array([expected["p"][0], expected["q"][0]])
        away = x - vector.mean
        return away @ np.linalg.solve(vector.covariance, away) + gap @ np.linalg.solve(noise, gap)

    likeliest = minimize(objective, vector.mean, tol=1e-12, method="Nelder-Mead").x
    off, of_mode = ((x - mean) / spread for x in (result.parameters.mean, likeliest))
    assert (np.abs(off) < 0.8 * np.abs(of_mode)).all()
    wider = result.parameters.deviations / spread
    assert ((wider > 0.99) & (wider < 1.25)).all()


def test_steps_that_overshoot_are_halved():
    """A full step from here would diverge, as Newton's does for the arc tangent."""
    vector = ParameterVector.from_parameters([Parameter("x", 0.0, 3.0)])
    model = lambda q: {"z": np.arctan(4.0 * (q["x"] - 2.0))}  # noqa: E731
    result = update(vector, model, [0.0], [1e-6], iterations=60, step=1e-3)
    assert result.converged
    assert result.parameters.value("x") == pytest.approx(2.0, abs=1e-3)


def test_running_out_of_steps_is_told_not_raised():
    """Not converged is a fact about the answer."""
    vector = ParameterVector.from_parameters([Parameter("x", 1.0, 1.0)])
    result = update(vector, lambda q: {"z": q["x"] ** 5}, [40.0], [1e-4], iterations=1)
    assert not result.converged
    assert result.iterations == 1


def test_only_what_was_learned_names_the_reading():
    """A parameter the reading says nothing of keeps its source."""
    after = update(
        prior(0.0), lambda q: {"z": q["a"]}, [1.2], [0.01], reading="this shop's reading"
    ).parameters
    assert after.sources == ("table + this shop's reading", "table", "stated", "counted")
    assert after.standard_uncertainty("b") == pytest.approx(1.5)


def test_a_reading_far_from_expectation_is_questioned():
    """More than three standard deviations asks for a second look, less does not."""
    total = float(np.sqrt(0.25 + 0.01))
    model = lambda q: {"z": q["a"]}  # noqa: E731
    assert update(prior(), model, [1.0 + 3.1 * total], [0.01]).is_questionable
    assert not update(prior(), model, [1.0 - 2.9 * total], [0.01]).is_questionable


def test_the_value_of_a_reading_is_known_before_it_is_taken():
    """In the linear case the expected posterior is the one an actual reading gives."""
    before = expected_posterior(prior(), H, R)
    after = update(prior(), linear([0, 1]), Y, R).parameters
    assert before == pytest.approx(after.covariance, rel=1e-9, abs=1e-13)
    out = np.array([[1.0, 1.0, 1.0, 1.0]])
    expected = np.sqrt(out[0] @ after.covariance @ out[0])
    assert predicted_uncertainty(out, before) == pytest.approx([expected])
    assert predicted_uncertainty(out, before)[0] < predicted_uncertainty(out, prior().covariance)[0]


def test_a_very_fine_reading_leaves_a_usable_covariance():
    """A reading a million times finer than the prior does not break the next propagation."""
    after = update(prior(), linear([0]), [-1.0], [1e-12]).parameters
    assert (np.linalg.eigvalsh(after.covariance) > -1e-12).all()
    again = update(after, linear([1]), [5.5], [1e-12])
    assert again.converged
    assert np.abs(again.residual).max() < 1e-5


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 9, 30])
def test_the_chi_square_tail_is_right(degrees):
    """Against an independent chi-square distribution."""
    for value in (0.0, 1e-3, 0.5, 3.0, 20.0, 80.0):
        assert chi_square_chance(value, degrees) == pytest.approx(
            chi2.sf(value, degrees), rel=1e-11
        )


def test_readings_that_make_no_sense_are_refused():
    """No uncertainty, wrong shapes, no number, or a model that fails where it stands."""
    with pytest.raises(InputError, match="positive definite"):
        update(prior(), linear([0]), [1.0], [0.0])
    with pytest.raises(InputError, match="must be 2 by 2"):
        update(prior(), linear([0, 1]), Y, np.eye(3))
    with pytest.raises(InputError, match="expects 2 readings"):
        update(prior(), linear([0, 1]), [1.0], [0.1])
    with pytest.raises(InputError, match="finite"):
        update(prior(), linear([0]), [np.nan], [0.1])
    with pytest.raises(OutsideValidRange, match="no expected reading"):
        update(prior(), lambda q: {"z": q["a"] * np.nan}, [1.0], [0.1])
