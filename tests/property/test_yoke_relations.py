"""Yoke relations: no span is the straight cable, swapped legs mirror, the strap's own limits."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sample_line import INCH, LBF, unknowns
from sample_yoke import FRAME, model
from strandwright.line.yoke.settle import settle
from strandwright.line.yoke.turns import exchange, states_with
from strandwright.planning.makings.yoke import least_leg_turns, leg_turns
from strandwright.workshop.makings import SplitYoke
from yoke_jobs import strap_plan

LOAD = np.array([100 * LBF])


@settings(max_examples=15, deadline=None)
@given(turns=st.floats(0.5, 4.0), span=st.floats(1.0, 4.0))
def test_turns_moved_over_are_odd_in_moment_and_even_in_length(turns: float, span: float) -> None:
    """Whatever the span: what is moved one way leans as the other way leans it back."""
    made, q = model(frame=replace(FRAME, span=span * INCH)), unknowns()
    found = exchange(made, q, made.naturals(q), LOAD, [turns, -turns]).value
    assert found.moment[0, 0] == pytest.approx(-found.moment[0, 1], abs=1e-6)
    assert found.length[0, 0] == pytest.approx(found.length[0, 1], abs=1e-9)
    assert found.length[0, 0] <= 1e-9


@settings(max_examples=10, deadline=None)
@given(first=st.floats(2.0, 9.0), second=st.floats(2.0, 9.0))
def test_swapped_legs_mirror_the_y(first: float, second: float) -> None:
    """Turns of one leg given to the other: the same length, the opposite moment."""
    made, q = model(), unknowns()
    naturals = made.naturals(q)
    changes = [(first - 6.0, second - 6.0, 0.0), (second - 6.0, first - 6.0, 0.0)]
    state = states_with(made, q, naturals, LOAD, changes).value
    assert state.overall[0] == pytest.approx(state.overall[1], abs=1e-9)
    assert state.side_moment[0] == pytest.approx(-state.side_moment[1], abs=1e-6)


def test_equal_legs_give_no_moment_and_each_half_over_the_cosine() -> None:
    """By statics."""
    made, q = model(), unknowns()
    state = settle(made.tripod(q, made.naturals(q)), LOAD).value
    assert state.side_moment[0] == pytest.approx(0.0, abs=1e-6)
    half = 0.5 * LOAD[0] / math.cos(state.leg_angles[0, 0])
    assert state.pulls[0, :2] == pytest.approx(half, rel=1e-6)


@given(length=st.floats(3.0, 14.0), across=st.floats(0.04, 0.12))
def test_usual_turns_always_hold_a_usual_correction(length: float, across: float) -> None:
    """However long or thick the leg; a thicker one needs fewer, a longer one more."""
    yoke = SplitYoke.model_validate({"leg": f"{length:.3f} in"})
    least = least_leg_turns(yoke.leg.si, across * INCH)
    assert leg_turns(yoke, across * INCH) >= least - 1e-9
    assert least_leg_turns(2.0 * yoke.leg.si, across * INCH) > least
    assert least_leg_turns(yoke.leg.si, 2.0 * across * INCH) < least


def test_the_strap_holds_the_ratio_of_a_rope_round_a_post() -> None:
    """E to the friction times the angle it turns by (Euler and Eytelwein), shares that add up."""
    yoke = strap_plan().yoke
    assert yoke is not None
    strap = yoke.strap
    assert strap is not None
    span = 2.375 * INCH
    angle = math.asin(0.5 * span / (yoke.leg - INCH / 8.0))
    assert strap.ratio == pytest.approx(math.exp(0.15 * (math.pi - 2.0 * angle)), rel=2e-3)
    tight, loose = strap.shares
    assert tight / loose == pytest.approx(strap.ratio)
    assert (tight + loose) * math.cos(angle) == pytest.approx(1.0, rel=1e-3)
    by_hand = 0.5 * span * 100 * LBF * (strap.ratio - 1.0) / (strap.ratio + 1.0)
    assert strap.most_moment == pytest.approx(by_hand, rel=1e-3)
