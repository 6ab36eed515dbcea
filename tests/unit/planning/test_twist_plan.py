"""The twist plan: how many turns, what the next one does, and how far both can be trusted."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sample_job import (
    EXAMPLE_NAMES,
    INCH,
    RIDGE,
    chosen_of,
    exact,
    example_plan,
    job_of,
    plan_of,
    prepared_of,
    settings_of,
)
from strandwright.line.build import Settings, build
from strandwright.numerics.sampling import monte_carlo
from strandwright.planning.twist_plan import turns_range


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_parts_of_the_twist_agree(name):
    """Take-up, next turns, shortest and longest tell of one falling, bending curve."""
    twist = example_plan(name).twist
    target = example_plan(name).target.length.value
    assert twist.longest > target > twist.shortest
    # The planned turns are whole halves: the most likely case lies within half a step.
    missed = twist.longest - twist.take_up.value - target
    assert abs(missed) <= -0.55 * twist.next_half.value
    assert twist.next_turn.value < twist.next_half.value < 0.0 < twist.less_turn.value
    # Take-up goes with the square: each turn takes more than the one before.
    assert -twist.next_turn.value > twist.less_turn.value
    assert -twist.next_turn.value > -2.0 * twist.next_half.value
    assert twist.turns_low < twist.turns < twist.turns_high
    assert twist.rate_high * twist.turns == pytest.approx(twist.rate * twist.turns_high)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_slope_is_that_of_a_square(name):
    """The next turn takes about (2 N + 1) / N^2 of the whole take-up.

    Strands that do not share fall slack one after the other, and then it takes some more.
    """
    twist = example_plan(name).twist
    share = (2.0 * twist.turns + 1.0) / twist.turns**2
    assert -twist.next_turn.value == pytest.approx(share * twist.take_up.value, rel=0.15)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_take_up_is_near_the_small_angle_formula(name):
    """Half the mean square of the helix angle: L tan^2(theta) / 4 for the area mean.

    Strands fixed in place share the load unevenly and shorten less at low load, so that only the
    size is held here; the exact curves have their own published tests.
    """
    plan = example_plan(name)
    body = prepared_of(plan.job).model.twisting_length
    tangent = math.pi * plan.bare_diameter.value * plan.twist.turns / body
    assert plan.twist.take_up.value == pytest.approx(body * tangent**2 / 4.0, rel=0.35)


@pytest.mark.parametrize("name", [RIDGE, "scree-at-the-old-mark"])
def test_range_holds_ninety_five_cases_in_a_hundred(name):
    """In about 5 % of simulated builds the turns that would be needed lie outside the range."""
    plan = example_plan(name)
    model, planned = prepared_of(plan.job).model, settings_of(plan)
    short = []
    for turns in (plan.twist.turns_low, plan.twist.turns_high):
        settings = Settings(planned.posts, turns, planned.marks)

        def finished(q, settings=settings):
            return {"finished": build(model, q, settings).finished.length}

        draws = monte_carlo(finished, plan.parameters, 6000, 7).draws[:, 0]
        short.append(float(np.mean(draws < plan.target.length.value)))
    # Length is skewed, so that the two tails are unequal; together they are the 5 %.
    too_many, enough = short
    assert too_many + 1.0 - enough == pytest.approx(0.05, abs=0.012)
    assert 0.0 < too_many < 0.05
    assert 0.0 < 1.0 - enough < 0.06


@given(
    turns=st.floats(5.0, 40.0),
    curve=st.floats(0.5e-5, 3e-5),
    u=st.floats(1e-5, 2e-3),
)
def test_range_solves_the_curve_it_is_given(turns, curve, u):
    """On a pure parabola the ends are where the length lies 1.96 u above and below the target."""
    free = 1.46
    tried = np.array([0.0, turns, 1.5 * turns])
    target = free - curve * turns**2
    low, high = turns_range(target, tried, free - curve * tried**2, u, 100.0)
    assert free - curve * high**2 == pytest.approx(target - 1.959964 * u, abs=1e-8) or high == 100.0
    if low > 0.0:
        assert free - curve * low**2 == pytest.approx(target + 1.959964 * u, abs=1e-8)
    else:
        assert target + 1.959964 * u >= free - 1e-9


def test_a_line_without_twist_is_planned():
    """No turns asked for: only what the posts' rounding needs, and the strength nearly whole."""
    changes = {"makeup.twist": None, "makeup.turns": 0.0}
    free = chosen_of(job_of(RIDGE, changes))
    exactly = changes | {"route.wound_at": exact(free.exact_posts + 1e-8)}
    twist = plan_of(RIDGE, exactly).twist
    assert twist.turns == 0.0
    assert twist.take_up.value == 0.0
    assert twist.next_turn.value < 0.0
    assert twist.turns_low == 0.0 < twist.turns_high
    assert twist.less_turn.value == 0.0
    assert twist.strength_kept.value == pytest.approx(1.0, abs=0.002)


@pytest.mark.parametrize("length", ["57 in", "57 1/24 in", "57 1/12 in"])
def test_rounding_the_posts_never_leaves_a_line_too_short(length):
    """Where the plan itself chooses the posts, it rounds them so that the line can be made."""
    changes = {"makeup.twist": None, "makeup.turns": 0.0, "line.finished": length}
    assert plan_of(RIDGE, changes).twist.turns >= 0.0


def test_most_turns_is_a_turn_an_inch():
    """More than a turn an inch is not advised, and the shortest length is the one with those."""
    plan = example_plan(RIDGE)
    body = plan.target.length.value - sum(plan.throats)
    assert plan.twist.most_turns <= body / INCH < plan.twist.most_turns + 0.51


def test_torque_goes_with_hand_and_turns():
    """More turns ask for more torque to hold a loop off its pin."""
    torque = [
        plan_of(RIDGE, {"makeup.twist": None, "makeup.turns": t}).twist.torque.value
        for t in (10.0, 20.0, 30.0)
    ]
    assert 0.0 < torque[0] < torque[1] < torque[2]


@pytest.mark.parametrize("hand", ["S", "Z"])
def test_hand_is_the_jobs(hand):
    """The plan twists the way the job says."""
    assert plan_of(RIDGE, {"makeup.hand": hand}).twist.hand == hand
