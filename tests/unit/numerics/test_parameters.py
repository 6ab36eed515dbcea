"""Promises of the parameter vector."""

import math

import numpy as np
import pytest

from strandwright.errors import InputError, SpecError
from strandwright.numerics.parameters import Parameter, ParameterVector


def three(correlations=None) -> ParameterVector:
    """A linear, a positive and a share parameter."""
    return ParameterVector.from_parameters(
        [
            Parameter("offset", -2.0, 0.5, unit="mm", source="stated", label="offset of the tape"),
            Parameter("stiffness", 400.0, 0.3, "log", unit="kN"),
            Parameter("share", 0.25, 0.8, "logit"),
        ],
        correlations,
    )


def test_natural_values_come_back_from_the_working_mean():
    """The working mean maps back to the natural values it was made from."""
    natural = three().natural(three().mean[None, :])
    assert natural["offset"] == pytest.approx([-2.0])
    assert natural["stiffness"] == pytest.approx([400.0], rel=1e-14)
    assert natural["share"] == pytest.approx([0.25], rel=1e-14)
    assert three().value("stiffness") == pytest.approx(400.0, rel=1e-14)


def test_natural_values_stay_in_their_range_far_out():
    """However wide the sample, positive stays positive and a share stays between 0 and 1."""
    far = three().mean + np.array([[1e3, -300.0, -700.0], [1e3, 300.0, 30.0]])
    natural = three().natural(far)
    assert (natural["stiffness"] > 0.0).all()
    assert ((natural["share"] >= 0.0) & (natural["share"] <= 1.0)).all()


def test_one_log_step_is_a_relative_change():
    """The uncertainty of a positive parameter is relative: one step multiplies by exp(u)."""
    vector = three()
    rows = vector.natural(vector.stencil(1.0))["stiffness"]
    assert rows[2] / rows[0] == pytest.approx(math.exp(0.3))
    assert rows[5] / rows[0] == pytest.approx(math.exp(-0.3))


def test_uncorrelated_directions_are_coordinates():
    """A diagonal covariance gives one pair of rows for each parameter, moving it alone."""
    vector = three()
    moved = vector.stencil(1.0) - vector.mean
    assert moved.shape == (7, 3)
    assert moved[1:4] == pytest.approx(np.diag([0.5, 0.3, 0.8]))
    assert moved[4:] == pytest.approx(-np.diag([0.5, 0.3, 0.8]))


def test_exact_parameters_cost_no_rows():
    """A parameter without uncertainty is in the model but not on the stencil."""
    vector = three().joined(ParameterVector.from_parameters([Parameter("count", 24.0, 0.0)]))
    assert vector.stencil().shape == (7, 4)
    assert (vector.stencil()[:, 3] == 24.0).all()
    assert vector.standard_uncertainty("count") == 0.0


@pytest.mark.parametrize("value", [0.9, -0.4, 1.0, -1.0])
def test_the_factor_rebuilds_the_covariance(value):
    """L times its transpose is the covariance, even for a perfect correlation."""
    vector = three({("offset", "share"): value})
    factor = vector.factor
    assert factor @ factor.T == pytest.approx(vector.covariance, abs=1e-12)
    assert factor.shape[1] == (2 if abs(value) == 1.0 else 3)


def test_an_uncorrelated_parameter_keeps_its_own_direction_beside_correlated_ones():
    """Correlation of two parameters does not mix a third into their directions."""
    factor = three({("offset", "share"): 0.6}).factor
    assert factor[:, 1] == pytest.approx([0.0, 0.3, 0.0])


def test_samples_have_the_mean_and_covariance_of_the_vector():
    """Draws reproduce mean and covariance within five of their own standard errors."""
    vector = three({("offset", "stiffness"): -0.7})
    count = 20_000
    draws = vector.sample(7, count)
    deviation = vector.deviations
    error = (draws.mean(axis=0) - vector.mean) / deviation
    assert np.abs(error).max() < 5.0 / math.sqrt(count)
    scaled = (np.cov(draws.T) - vector.covariance) / np.outer(deviation, deviation)
    assert np.abs(scaled).max() < 5.0 * math.sqrt(2.0 / count)


def test_the_same_seed_gives_the_same_draws():
    """A seed fixes the sample."""
    assert (three().sample(3, 5) == three().sample(np.random.default_rng(3), 5)).all()


def test_an_update_keeps_names_and_replaces_what_is_known():
    """with_updated changes mean, covariance and sources only."""
    after = three().with_updated([0.0, 1.0, 2.0], np.diag([1.0, 4.0, 9.0]), ["a", "b", "c"])
    assert after.names == three().names
    assert after.scales == three().scales
    assert after.sources == ("a", "b", "c")
    assert after.deviations == pytest.approx([1.0, 2.0, 3.0])
    assert three().with_updated([0.0, 1.0, 2.0], np.eye(3)).sources == three().sources


def test_joined_vectors_are_independent():
    """Joining puts the blocks side by side with no covariance between them."""
    other = ParameterVector.from_parameters([Parameter("wax", 0.1, 0.02)])
    both = three({("offset", "share"): 0.5}).joined(other)
    assert both.names == ("offset", "stiffness", "share", "wax")
    assert both.covariance[:3, 3] == pytest.approx(np.zeros(3))
    assert both.covariance[0, 2] == pytest.approx(0.5 * 0.5 * 0.8)


def test_a_label_left_out_is_the_name():
    """A parameter without plain words is shown by its name."""
    assert three().labels == ("offset of the tape", "stiffness", "share")


def test_arrays_cannot_be_changed_behind_the_vector():
    """Mean and covariance are read-only copies."""
    mean = np.zeros(3)
    vector = three().with_updated(mean, np.eye(3))
    mean[0] = 5.0
    assert vector.mean[0] == 0.0
    with pytest.raises(ValueError, match="read-only"):
        vector.covariance[0, 0] = 2.0


@pytest.mark.parametrize(
    ("mean", "uncertainty", "scale", "field"),
    [
        (0.0, 0.1, "log", "x"),
        (1.0, 0.1, "logit", "x"),
        (math.nan, 0.1, "linear", "x"),
        (1.0, -0.1, "linear", "x.standard_uncertainty"),
    ],
)
def test_a_value_its_scale_cannot_hold_is_refused(mean, uncertainty, scale, field):
    """The error names the field and the value given."""
    with pytest.raises(InputError) as caught:
        Parameter("x", mean, uncertainty, scale)
    assert caught.value.field == field


def test_repeated_names_are_refused():
    """Two parameters may not share a key."""
    with pytest.raises(SpecError, match="differ"):
        ParameterVector.from_parameters([Parameter("x", 1.0, 0.1), Parameter("x", 2.0, 0.1)])


def test_contradictory_correlations_are_refused():
    """A cannot follow B and C while B and C oppose each other."""
    with pytest.raises(SpecError, match="no set of quantities"):
        three(
            {
                ("offset", "stiffness"): 0.9,
                ("offset", "share"): 0.9,
                ("stiffness", "share"): -0.9,
            }
        )


def test_a_correlation_with_a_stranger_is_refused():
    """Correlations name parameters of the vector."""
    with pytest.raises(SpecError, match="two different parameters"):
        three({("offset", "wax"): 0.1})


def test_an_asymmetric_covariance_is_refused():
    """A covariance is symmetric."""
    with pytest.raises(SpecError, match="symmetric"):
        three().with_updated(np.zeros(3), np.eye(3) + np.triu(np.full((3, 3), 0.1), 1))


def test_an_unknown_name_is_refused_with_the_choices():
    """Asking for a stranger lists who is there."""
    with pytest.raises(InputError, match="offset, stiffness, share"):
        three().index("wax")
