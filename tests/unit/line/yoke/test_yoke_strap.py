"""A strap in the eye: equal pulls up to friction, and the same Y as two legs while it sticks."""

from dataclasses import replace

import numpy as np
import pytest

from sample_line import BLEND, INCH, LBF, THREAD, unknowns
from sample_yoke import BODY, CAM, FRAME, LOOP
from strandwright.line.parts import Hand, Loop
from strandwright.line.yoke.parts import FloatingYoke, Strap
from strandwright.line.yoke.settle import settle
from strandwright.line.yoke.strap import StrapModel, StrapState, settle_strap, turn_round_eye

LOAD = np.array([100 * LBF])
EYE = Loop.from_size("eye", 0.4 * INCH, 0.1 * INCH, 0.0, THREAD)
STRAP = Strap(13 * INCH, LOOP, LOOP, 16, 14.0, Hand.Z, 0.15)


def model(friction: float = 0.15, **frame: float) -> StrapModel:
    """A floating yoke."""
    strap = replace(STRAP, friction=friction)
    body = replace(BODY, length=31 * INCH, loop=CAM)
    return StrapModel(BLEND, FloatingYoke(strap, body, EYE, replace(FRAME, **frame), 100 * LBF))


def settled(made: StrapModel, laid: float = 0.5, lean: float = 0.0) -> StrapState:
    """The state, which must have been found."""
    q = unknowns()
    found = settle_strap(made, q, made.naturals(q), LOAD, laid, lean)
    assert found.ok.all(), found.reason
    return found.value


def test_drawn_lengths_come_back_on_a_narrow_span() -> None:
    """Strap folded over the eye: half its length, less a quarter bend, and the body."""
    made = model(span=0.0)
    state = settled(made).yoke
    half = 0.5 * STRAP.length - 0.5 * FRAME.leg_pin - made.bight
    assert state.throat_run == pytest.approx(half, abs=1e-9)
    np.testing.assert_allclose(state.overall, half + 31 * INCH + 0.5 * FRAME.leg_pin, atol=1e-9)


@pytest.mark.parametrize("laid", [0.47, 0.5, 0.52])
def test_without_friction_both_sides_pull_alike(laid: float) -> None:
    """However it was laid, it slides to equal pulls; in the middle it stays."""
    state = settled(model(friction=0.0), laid)
    pulls = state.yoke.pulls[0]
    assert pulls[0] == pytest.approx(pulls[1], rel=1e-6)
    assert state.share[0] == pytest.approx(0.5, abs=1e-7)
    assert bool(state.slid[0]) is (laid != 0.5)


def test_without_friction_an_axle_that_leans_is_not_righted() -> None:
    """Equal pulls give next to no moment, where two tied legs hold the axle back."""
    free, tied = settled(model(0.0), lean=0.05), settled(model(5.0), lean=0.05)
    assert not tied.slid[0]
    assert abs(free.yoke.side_moment[0]) < 0.15 * abs(tied.yoke.side_moment[0])
    assert tied.yoke.side_moment[0] < 0.0


def test_within_friction_it_sticks_and_is_two_legs() -> None:
    """Laid a little off, the share stays and the state is that of the tied Y."""
    made, q = model(), unknowns()
    state = settled(made, 0.499)
    naturals = made.naturals(q)
    tied = settle(made.tripod(q, naturals, np.array([0.499])), LOAD).value
    assert not state.slid[0]
    assert state.share[0] == 0.499
    np.testing.assert_allclose(state.yoke.pulls, tied.pulls, rtol=1e-12)
    ratio = state.yoke.pulls[0, 0] / state.yoke.pulls[0, 1]
    assert 1.0 < ratio < state.limit[0]


def test_past_friction_the_ratio_is_the_capstan_s() -> None:
    """It slides until the tight side pulls e^(mu theta) of the loose one, on either side."""
    for laid, tight, loose in ((0.48, 0, 1), (0.52, 1, 0)):
        state = settled(model(), laid)
        pulls = state.yoke.pulls[0]
        angle = turn_round_eye(state.yoke)[0]
        assert state.slid[0]
        assert pulls[tight] / pulls[loose] == pytest.approx(np.exp(0.15 * angle), rel=1e-6)
        assert abs(state.share[0] - 0.5) < abs(laid - 0.5)


def test_sides_turn_half_round_less_the_angle_between_them() -> None:
    """The sides' own angles to the pull make up what is missing from a half turn."""
    state = settled(model()).yoke
    expected = np.pi - state.leg_angles.sum(axis=1)
    np.testing.assert_allclose(turn_round_eye(state), expected, rtol=1e-12)


def test_a_batch_may_stick_and_slide_at_once() -> None:
    """Each case is the one it is by itself."""
    made, q = model(), unknowns(2)
    laid = np.array([0.499, 0.48])
    found = settle_strap(made, q, made.naturals(q), LOAD.repeat(2), laid)
    assert found.ok.all()
    assert found.value.slid.tolist() == [False, True]
    for i, share in enumerate(laid):
        alone = settled(made, share)
        np.testing.assert_allclose(found.value.yoke.pulls[i], alone.yoke.pulls[0], rtol=1e-6)
