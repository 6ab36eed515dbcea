"""Lean: which way, how far, and how the yoke itself holds the axle."""

import numpy as np
import pytest

from sample_line import LBF, unknowns
from sample_yoke import model
from strandwright.errors import LimitError
from strandwright.line.yoke.lean import (
    lean_of_moment,
    settle_leaning,
    stiffness_from_lean,
    turns_against,
)
from strandwright.line.yoke.settle import settle
from strandwright.line.yoke.turns import exchange

LOAD = np.array([100 * LBF])
TIP = np.array([60.0])


def leaning(more: float, rest: float = 0.0, tip: np.ndarray = TIP) -> float:
    """Lean with turns moved from leg 2 to leg 1."""
    made, q = model(), unknowns()
    tripod = made.tripod(q, made.naturals(q), made.turns + np.array([more, -more, 0.0]))
    found = settle_leaning(tripod, LOAD, tip, rest)
    assert found.ok.all(), found.reason
    return float(found.value.lean[0])


def test_equal_legs_do_not_lean() -> None:
    """A symmetric yoke on a limb straight at rest stays straight."""
    assert leaning(0.0) == pytest.approx(0.0, abs=1e-9)


def test_a_turn_goes_into_the_leg_opposite_the_lean() -> None:
    """A wheel whose far rim leans to leg 1 is righted by turns in leg 2, odd in the turns."""
    crooked = leaning(0.0, rest=0.02)
    assert 0.0 < crooked < 0.02
    assert abs(leaning(-0.5, rest=0.02)) < crooked
    assert leaning(0.5, rest=0.02) > crooked
    assert leaning(1.0) == pytest.approx(-leaning(-1.0), rel=1e-6)
    assert leaning(1.0) > 0.0


def test_the_far_rim_follows_the_axle() -> None:
    """Geometry of the sign: with leg 1's end nearer the body, the far rim stands over leg 1."""
    lean = 0.05
    axle = np.array([np.cos(lean), np.sin(lean)])  # across, along; along points to the body
    rim = np.array([axle[1], -axle[0]])  # square to the axle, on the side away from the body
    assert axle[1] > 0.0
    assert rim[1] < 0.0 < rim[0]


def test_moment_and_twist_are_even() -> None:
    """At rest the limb's twist takes what the legs give, and the yoke rights the axle too."""
    made, q = model(), unknowns()
    tripod = made.tripod(q, made.naturals(q), made.turns + np.array([1.0, -1.0, 0.0]))
    found = settle_leaning(tripod, LOAD, TIP).value
    np.testing.assert_allclose(found.state.side_moment, TIP * found.lean, rtol=1e-6)
    level = settle(tripod, LOAD).value.side_moment
    assert found.stiffness[0] > 0.0
    np.testing.assert_allclose(found.lean, level / (TIP + found.stiffness), rtol=0.02)


def test_a_stiff_limb_leans_by_moment_over_stiffness() -> None:
    """Where the limb is far stiffer than the yoke, its righting does not count."""
    made, q = model(), unknowns()
    tripod = made.tripod(q, made.naturals(q), made.turns + np.array([1.0, -1.0, 0.0]))
    level = float(settle(tripod, LOAD).value.side_moment[0])
    assert leaning(1.0, tip=np.array([1e6])) == pytest.approx(level / 1e6, rel=1e-3)


def test_another_moment_acts_as_a_lean_at_rest() -> None:
    """A moment of other lines is the same as the lean it would give the limb alone."""
    made, q = model(), unknowns()
    tripod = made.tripod(q, made.naturals(q))
    by_moment = settle_leaning(tripod, LOAD, TIP, other_moment=0.9).value.lean
    np.testing.assert_allclose(by_moment, leaning(0.0, rest=0.9 / 60.0), rtol=1e-6)


def test_a_limb_half_known_gives_a_range() -> None:
    """Bounds by hand: 3 N m on 60 N m/rad give 0.05 rad; half off either way, 0.033 to 0.1."""
    found = lean_of_moment(np.array([3.0, -3.0]), 60.0, 0.5)
    np.testing.assert_allclose(found.angle, [0.05, -0.05])
    np.testing.assert_allclose(found.least, [1 / 30, -1 / 30])
    np.testing.assert_allclose(found.most, [0.1, -0.1])
    held = lean_of_moment(np.array([3.0]), 60.0, 0.5, righting=40.0)
    assert held.angle[0] == pytest.approx(0.03)


@pytest.mark.parametrize(("stiffness", "spread"), [(0.0, 0.1), (60.0, 1.0), (60.0, -0.1)])
def test_a_limb_that_cannot_be_is_refused(stiffness: float, spread: float) -> None:
    """No stiffness, or a spread that reaches none, gives no bound."""
    with pytest.raises(LimitError):
        lean_of_moment(np.array([1.0]), stiffness, spread)


def test_the_turns_found_right_the_wheel() -> None:
    """A limb crooked at rest comes straight with the turns asked for, into the other leg."""
    made, q = model(), unknowns()
    naturals = made.naturals(q)
    crooked = settle_leaning(made.tripod(q, naturals), LOAD, TIP, rest=0.02).value
    moment = exchange(made, q, naturals, LOAD, [1.0]).value.moment[:, 0]
    turns = turns_against(crooked.lean, moment, TIP, crooked.stiffness)
    assert turns[0] < 0.0
    assert abs(leaning(float(turns[0]), rest=0.02)) < 0.01 * crooked.lean[0]


def test_a_limb_s_stiffness_is_learnt_from_a_lean() -> None:
    """Turns moved and the lean read give the stiffness back."""
    made, q = model(), unknowns()
    naturals = made.naturals(q)
    moment = exchange(made, q, naturals, LOAD, [0.5]).value.moment[:, 0]
    righting = settle_leaning(made.tripod(q, naturals), LOAD, TIP).value.stiffness
    learnt = stiffness_from_lean(moment, np.array([leaning(0.5)]), righting)
    np.testing.assert_allclose(learnt, TIP, rtol=0.02)
