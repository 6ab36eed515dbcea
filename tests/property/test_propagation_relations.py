"""Relations of propagation that hold for every smooth model and every vector."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.numerics.propagation import monte_carlo, propagate
from strandwright.statistics.update import expected_posterior

COUNT = 20_000


@st.composite
def vectors(draw, size=3):
    """Vectors of all scales, moderate uncertainties and any possible correlation."""
    scales = draw(st.lists(st.sampled_from(["linear", "log", "logit"]), min_size=size,
                           max_size=size))  # fmt: skip
    seed = draw(st.integers(0, 10_000))
    rng = np.random.default_rng(seed)
    roots = rng.normal(size=(size, size + 1))
    roots /= np.linalg.norm(roots, axis=1)[:, None]
    correlation = roots @ roots.T if draw(st.booleans()) else np.eye(size)
    names = [f"p{i}" for i in range(size)]
    return ParameterVector.from_parameters(
        [
            Parameter(name, float(rng.uniform(0.2, 0.8)), float(rng.uniform(0.02, 0.25)), scale)
            for name, scale in zip(names, scales, strict=True)
        ],
        {
            (names[i], names[j]): float(correlation[i, j])
            for i in range(size)
            for j in range(i + 1, size)
            if correlation[i, j] != 0.0
        },
    )


@st.composite
def models(draw, size=3):
    """Smooth models: a sum of sines, exponentials and products of random combinations."""
    rng = np.random.default_rng(draw(st.integers(0, 10_000)))
    weights = rng.normal(size=(3, size))
    phase = float(rng.uniform(0.0, 2.0 * math.pi))

    def model(q):
        x = np.stack([q[f"p{i}"] for i in range(size)], axis=1)
        a, b, c = (x @ w for w in weights)
        return {"wave": np.sin(a + phase) + 2.0 * b, "growth": np.exp(0.5 * c), "product": a * b}

    return model


@settings(max_examples=25, deadline=None)
@given(vectors(), models(), st.integers(0, 1000))
def test_propagated_mean_and_variance_are_those_of_chance(vector, model, seed):
    """Within five standard errors of the sample, and the third-degree terms neglected."""
    result = propagate(model, vector, cross_terms=True)
    drawn = monte_carlo(model, vector, COUNT, seed)
    deviation = drawn.standard_deviation
    assert np.abs(result.mean - drawn.mean).max() < (
        5.0 * deviation.max() / math.sqrt(COUNT) + 0.02 * deviation.max()
    )
    centred = (drawn.draws - drawn.mean) / deviation
    kurtosis = (centred**4).mean(axis=0)
    standard_error = np.sqrt((kurtosis - 1.0) / COUNT) / 2.0
    assert (np.abs(result.second_order / deviation - 1.0) < 5.0 * standard_error + 0.03).all()


@settings(max_examples=40, deadline=None)
@given(vectors(), models())
def test_shares_are_never_negative_and_sum_to_one(vector, model):
    """A budget is whole, and its parts are the uncertainty squared."""
    result = propagate(model, vector)
    for output, u in zip(result.outputs, result.second_order.tolist(), strict=True):
        rows = result.budget(output)
        assert min(row.share for row in rows) >= 0.0
        assert sum(row.share for row in rows) == pytest.approx(1.0)
        total = sum(row.standard_uncertainty**2 for row in rows)
        assert total == pytest.approx(u**2, rel=1e-6)


@settings(max_examples=40, deadline=None)
@given(vectors(), models())
def test_slopes_by_name_rebuild_the_first_order_variance(vector, model):
    """J C J' equals the sum over whitened directions."""
    result = propagate(model, vector)
    rebuilt = np.sqrt(np.diag(result.jacobian @ vector.covariance @ result.jacobian.T))
    assert rebuilt == pytest.approx(result.first_order, rel=1e-7)


@settings(max_examples=40, deadline=None)
@given(vectors(), models(), st.permutations([0, 1, 2]))
def test_the_order_of_the_parameters_does_not_matter(vector, model, order):
    """For a small uncertainty, reordering the vector changes no uncertainty."""
    small = vector.with_updated(vector.mean, 1e-6 * vector.covariance)
    pick = np.array(order)
    shuffled = ParameterVector(
        names=tuple(small.names[i] for i in order),
        mean=small.mean[pick],
        covariance=small.covariance[np.ix_(pick, pick)],
        scales=tuple(small.scales[i] for i in order),
        units=tuple(small.units[i] for i in order),
        sources=tuple(small.sources[i] for i in order),
        labels=tuple(small.labels[i] for i in order),
    )
    expected = propagate(model, small).first_order
    assert propagate(model, shuffled).first_order == pytest.approx(expected, rel=1e-4, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(vectors(), models(), st.floats(1e-3, 10.0))
def test_a_reading_never_makes_a_parameter_less_certain(vector, model, noise):
    """Whatever is read, every posterior variance is at most the prior one."""
    jacobian = propagate(model, vector).jacobian
    after = expected_posterior(vector, jacobian, np.full(jacobian.shape[0], noise**2))
    assert (np.diag(after) <= np.diag(vector.covariance) * (1.0 + 1e-9)).all()
    assert np.linalg.eigvalsh(vector.covariance - after).min() > -1e-10
