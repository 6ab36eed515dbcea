"""Following along the draw: near the states of rest, and no bow of a batch hurts another."""

import numpy as np
import pytest
from sample_bows import FULL, INCH, bow, drawn, sizes

from strandwright.bow.equilibrium import stand
from strandwright.bow.following import between, follow, steady, tangent
from strandwright.bow.systems import SYSTEMS, System, lay_out


@pytest.mark.parametrize("system", SYSTEMS)
def test_states_followed_are_nearly_at_rest(system: System) -> None:
    """Every state followed lies within a few thousandths of a radian of the state of rest."""
    standing = bow(system)
    found = follow(standing.rig, standing.brace, standing.directions, np.array([FULL]))
    assert found.ok.tolist() == [True]
    out = stand(standing.rig, found.q[0], found.direction[0], hold_draw=True).raise_for_failure()
    assert np.abs(out.value.q - found.q[0]).max() < 2e-3
    force = out.value.potential.gradient[:, standing.rig.draw]
    np.testing.assert_allclose(found.force[0], force, atol=2e-3 * force.max())
    assert found.draw[0, 0] == standing.brace[0, standing.rig.draw]
    assert found.draw[0, -1] == FULL


@pytest.mark.parametrize("system", SYSTEMS)
def test_tangent_and_stiffness_are_slopes(system: System) -> None:
    """The tangent is how the states of rest move with the draw, the stiffness how their force."""
    standing = bow(system)
    cycle = drawn(standing, 5)
    at = cycle.potential(2)
    ends = []
    for step in (-1e-5, 1e-5):
        q = np.array(cycle.q[:, 2])
        q[:, cycle.rig.draw] += step
        out = stand(standing.rig, q, cycle.direction[:, 2], hold_draw=True).raise_for_failure()
        ends.append((out.value.q, out.value.potential.gradient[:, cycle.rig.draw]))
    slope = (ends[1][0] - ends[0][0]) / 2e-5
    along = tangent(at, cycle.rig.draw)
    np.testing.assert_allclose(along, slope, atol=1e-4)
    stiffness = np.einsum("bn,bn->b", at.hessian[:, cycle.rig.draw], along)
    np.testing.assert_allclose(stiffness, (ends[1][1] - ends[0][1]) / 2e-5, rtol=1e-5)


def test_a_slack_state_foretold_is_corrected_as_if_lines_pushed() -> None:
    """A line left slack by half a per cent: from there the step is lost, and pushing it is not."""
    standing = bow("two-cam")
    rig, draw = standing.rig, standing.rig.draw
    at_rest = drawn(standing, 5)
    q, ways = np.array(at_rest.q[:, 2]), at_rest.direction[:, 2]
    q[:, : rig.wheels.start] += 0.05
    slack = rig.potential(q, ways)
    pushing = rig.potential(q, ways, pushing=True)
    assert np.any(slack.tension == 0.0)
    assert np.all(pushing.tension[slack.tension == 0.0] < 0.0)
    assert np.all(pushing.rate > 0.0)
    np.testing.assert_array_equal(
        pushing.tension[slack.tension > 0.0], slack.tension[slack.tension > 0.0]
    )
    free = np.arange(rig.freedoms) != draw
    for _ in range(5):
        at = rig.potential(q, ways, pushing=True)
        inner = at.hessian[:, free][:, :, free]
        q[:, free] -= np.linalg.solve(inner, at.gradient[:, free, None])[..., 0]
    np.testing.assert_allclose(q, at_rest.q[:, 2], atol=1e-9)


def test_a_bow_that_falls_slack_leaves_the_others_alone() -> None:
    """One bow of four whose wheels come loose on the way: the rest are followed as if alone."""
    lag = np.array([0.5, 0.0, 0.6, 0.55])
    many = lay_out("slaved two-cam", sizes("slaved two-cam", cable_lag=lag, cable_throw=0.8))
    full = np.full(4, 26.5 * INCH)
    found = follow(many.rig, many.brace, many.directions, full)
    assert found.ok.tolist() == [True, False, True, True]
    for i in (0, 2, 3):
        changed = sizes("slaved two-cam", cable_lag=float(lag[i]), cable_throw=0.8)
        one = lay_out("slaved two-cam", changed)
        alone = follow(one.rig, one.brace, one.directions, full[:1])
        # The number of strides goes by the longest way, and they are alike in all of these.
        np.testing.assert_allclose(found.q[i], alone.q[0], atol=1e-8)


def test_what_has_no_stiffness_left_has_no_tangent() -> None:
    """A bow with all its lines slack is not steady, and nothing is said of how it would move."""
    standing = bow("two-cam")
    loose = standing.rig.taken(np.array([0]), 1.2 * standing.rig.natural)
    at = loose.potential(standing.brace, standing.directions)
    assert not steady(at)[0]
    along = tangent(at, loose.draw)
    assert along[0, loose.draw] == 1.0
    assert np.all(np.delete(along[0], loose.draw) == 0.0)
    assert steady(standing.rig.potential(standing.brace, standing.directions))[0]


def test_a_singular_case_is_its_own_matter() -> None:
    """One bow of three with all its lines slack: the tangents of the others are their own."""
    standing = bow("two-cam")
    natural = np.repeat(standing.rig.natural, 3, axis=0)
    natural[1] *= 1.2
    rig = standing.rig.taken(np.arange(3), natural)
    at = rig.potential(np.repeat(standing.brace, 3, axis=0), standing.directions)
    free = np.arange(rig.freedoms) != rig.draw
    assert np.linalg.matrix_rank(at.hessian[1][np.ix_(free, free)]) < free.sum()
    along = tangent(at, rig.draw)
    alone = tangent(standing.rig.potential(standing.brace, standing.directions), rig.draw)
    np.testing.assert_allclose(along[[0, 2]], np.repeat(alone, 2, axis=0), rtol=1e-12)
    assert np.abs(alone[0, free]).max() > 0.1
    assert np.all(along[1, free] == 0.0)


@pytest.mark.parametrize("system", SYSTEMS)
def test_states_between_those_followed(system: System) -> None:
    """Interpolated with the tangents, states lie near the states of rest, draws exactly."""
    standing = bow(system)
    found = follow(standing.rig, standing.brace, standing.directions, np.array([FULL]))
    cycle = drawn(standing, 33)
    q, ways = between(found, cycle.draw, standing.rig.draw)
    np.testing.assert_array_equal(q[..., standing.rig.draw], cycle.draw)
    assert np.abs(q - cycle.q).max() < 5e-3
    assert np.abs(ways - cycle.direction).max() < 0.1
