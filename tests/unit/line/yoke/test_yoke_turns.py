"""What turns do to a yoke cable, and the reserve its legs need."""

from dataclasses import replace

import numpy as np
import pytest

from sample_line import INCH, LBF, unknowns
from sample_yoke import FRAME, leg, model
from strandwright.errors import SpecError
from strandwright.line.yoke.turns import exchange, reserve_for, states_with, turn_effects

LOAD = np.array([100 * LBF])


def test_a_turn_shortens_wherever_it_goes_in() -> None:
    """A leg's turn is worth half of both legs' nearly, and the two legs are alike."""
    made, q = model(), unknowns()
    found = turn_effects(made, q, made.naturals(q), LOAD)
    assert found.ok.all()
    effect = found.value
    assert (effect.leg_length < 0.0).all()
    assert effect.legs_length[0] < 0.0
    assert effect.body_length[0] < 0.0
    np.testing.assert_allclose(effect.leg_length[:, 0], effect.leg_length[:, 1], rtol=1e-6)
    assert effect.leg_length[0, 0] / effect.legs_length[0] == pytest.approx(0.5, abs=0.03)


def test_both_legs_shorten_by_their_own_over_the_cosine() -> None:
    """Along the pull the Y shortens by what a leg loses, over the cosine of its angle."""
    made, q = model(), unknowns()
    naturals = made.naturals(q)
    states = states_with(made, q, naturals, LOAD, [(0, 0, 0), (0.1, 0.1, 0)])
    assert states.ok.all()
    state = states.value
    own = state.distances[1, 0] - state.distances[0, 0]
    along = state.overall[1] - state.overall[0]
    assert along == pytest.approx(own / np.cos(state.leg_angles[0, 0]), rel=2e-3)


def test_the_body_turns_as_a_straight_line_does() -> None:
    """A turn in the body moves the length by what its own member loses at the load."""
    made, q = model(), unknowns()
    naturals = made.naturals(q)
    body = made.tripod(q, naturals).body
    expected = replace(body, turns=body.turns + 1.0).length(LOAD) - body.length(LOAD)
    effect = turn_effects(made, q, naturals, LOAD).value
    np.testing.assert_allclose(effect.body_length, expected, atol=1e-10)


def test_turns_moved_over_lean_and_hardly_shorten() -> None:
    """Even in length, odd in moment and throat; the length begins with the square."""
    made, q = model(), unknowns()
    naturals = made.naturals(q)
    ks = [-2.0, -1.0, -0.5, 0.5, 1.0, 2.0]
    found = exchange(made, q, naturals, LOAD, ks)
    assert found.ok.all()
    got = found.value
    np.testing.assert_allclose(got.length, got.length[:, ::-1], atol=1e-10)
    np.testing.assert_allclose(got.moment, -got.moment[:, ::-1], atol=1e-6)
    np.testing.assert_allclose(got.throat, -got.throat[:, ::-1], atol=1e-9)
    half, one, two = got.length[0, 3:]
    assert half < 0.0
    assert one / half == pytest.approx(4.0, rel=0.01)
    assert two / one == pytest.approx(4.0, rel=0.01)
    single = turn_effects(made, q, naturals, LOAD).value.leg_length[0, 0]
    assert abs(half) < 0.1 * abs(single)


def test_the_leg_with_the_turn_pulls_its_end_to_the_body() -> None:
    """The sign rule, from the forces: a turn in leg 1 gives a moment towards its pin."""
    made, q = model(), unknowns()
    effect = turn_effects(made, q, made.naturals(q), LOAD).value
    assert effect.leg_moment[0, 0] > 0.0 > effect.leg_moment[0, 1]
    assert effect.exchange_moment[0] == pytest.approx(2.0 * effect.leg_moment[0, 0], rel=0.15)


def test_side_moment_is_force_difference_times_half_the_axle() -> None:
    """Of each pull the part along the body's pull counts, at half the span."""
    made, q = model(), unknowns()
    state = states_with(made, q, made.naturals(q), LOAD, [(1, -1, 0)]).value
    along = -state.toward[:, :2, 1] * state.pulls[:, :2]
    expected = (along[:, 0] - along[:, 1]) * 0.5 * made.cable.frame.span
    np.testing.assert_allclose(state.side_moment, expected, rtol=1e-12)
    np.testing.assert_allclose(along.sum(axis=1), LOAD, rtol=1e-8)


def test_cases_of_a_batch_do_not_touch_each_other() -> None:
    """Two cases at once are the two by themselves."""
    made = model()
    both = unknowns(2, stiffness=np.array([11000.0, 13000.0]))
    naturals = made.naturals(both)
    together = exchange(made, both, naturals, LOAD.repeat(2), [1.0]).value
    for i, stiffness in enumerate(both["stiffness"]):
        q = unknowns(1, stiffness=stiffness)
        alone = exchange(made, q, naturals[i : i + 1], LOAD, [1.0]).value
        np.testing.assert_allclose(together.moment[i], alone.moment[0], rtol=1e-7)


def test_turns_may_not_run_out() -> None:
    """A leg cannot give more turns than it has."""
    made, q = model(second=leg("right", turns=0.5)), unknowns()
    with pytest.raises(SpecError, match="less than no turns"):
        exchange(made, q, made.naturals(q), LOAD, [1.0])


def test_the_reserve_sets_the_legs_just_far_enough_apart() -> None:
    """With that many turns in both, all of one leg's moved over give the difference wanted."""
    made, q = model(), unknowns()
    wanted = INCH / 16
    reserve = float(reserve_for(made, q, made.naturals(q), LOAD, wanted)[0])
    assert 0.5 < reserve < made.turns[0]
    with_reserve = model(first=leg(turns=reserve), second=leg("right", turns=reserve))
    naturals = with_reserve.naturals(q)
    lengths = [
        float(with_reserve.tripod(q, naturals, np.array([n, n, 18.0])).legs[0].length(LOAD / 2)[0])
        for n in (0.0, 2.0 * reserve)
    ]
    assert lengths[0] - lengths[1] == pytest.approx(wanted, rel=0.03)


def test_a_slack_leg_gives_all_the_moment_there_is() -> None:
    """On a narrow span a turn moved over leaves one leg slack: load times half the span."""
    made, q = model(frame=replace(FRAME, span=0.5 * INCH)), unknowns()
    state = states_with(made, q, made.naturals(q), LOAD, [(1, -1, 0), (2, -2, 0)]).value
    assert (state.pulls[:, 1] == 0.0).all()
    np.testing.assert_allclose(state.side_moment, LOAD[0] * 0.25 * INCH, rtol=1e-6)
