"""The servings of a plan: where they go now and finished, what they take, how they hold."""

from __future__ import annotations

import math

import pytest

from sample_job import EXAMPLE_NAMES, INCH, LBF, ORDERS, RIDGE, example_plan, plan_of, prepared_of
from strandwright.reference import thread

SERVE_FIRST = {"route.order": "serve, then twist"}


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_servings_come_out_where_they_are_drawn(name):
    """Finished edges lie on the drawing, to the rounding of the marks and what length misses."""
    plan = example_plan(name)
    drawn = prepared_of(plan.job).model.line.servings
    missed = abs(plan.landing.blind.value - plan.target.length.value)
    step = INCH / plan.job.paper.fraction
    for serving, wanted in zip(plan.servings, drawn, strict=True):
        assert serving.name == wanted.name
        assert serving.start.value == pytest.approx(wanted.start, abs=step + missed)
        assert serving.stop.value == pytest.approx(wanted.stop, abs=step + missed)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_servings_and_marks_are_in_order(name):
    """From the zero end on, no serving overlaps the next, now or finished."""
    plan = example_plan(name)
    now = [p for s in plan.servings for p in (s.now_start, s.now_stop)]
    done = [p.value for s in plan.servings for p in (s.start, s.stop)]
    assert now == sorted(now)
    assert done == sorted(done)
    assert [m.now for m in plan.marks] == sorted(m.now for m in plan.marks)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_wraps_and_thread_by_hand(name):
    """Wraps lie side by side, flattened: pitch d / f; thread is the helix's own length."""
    plan = example_plan(name)
    for serving, wanted in zip(
        plan.servings, prepared_of(plan.job).model.line.servings, strict=True
    ):
        row = thread(serving.thread)
        pitch = row.diameter.value / row.flattening.value
        assert serving.wraps_per_length == pytest.approx(1.0 / pitch, rel=1e-6)
        # The serving over a loop's legs is drawn over the whole, wound from the throat on.
        last = plan.target.length.value - plan.throats[1]
        body = min(serving.stop.value, last) - max(serving.start.value, plan.throats[0])
        assert serving.wraps.value == pytest.approx(body / pitch, rel=0.05)
        radius = 0.25 * (serving.core.value + serving.outside.value)
        helix = serving.wraps.value * math.hypot(2.0 * math.pi * radius, pitch)
        if plan.job.line.yoke is not None and wanted.start > plan.target.length.value - (
            plan.job.line.yoke.leg.si + 1e-6
        ):
            # Both legs are served.
            helix *= 2.0
        assert serving.thread_length.value == pytest.approx(helix, rel=0.02)
        assert serving.mass.value == pytest.approx(
            serving.thread_length.value * row.linear_density.value
        )


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_outside_is_core_and_two_flattened_threads(name):
    """The diameter over a serving is its core and the thread on both sides."""
    for serving in example_plan(name).servings:
        row = thread(serving.thread)
        over = serving.core.value + 2.0 * row.diameter.value * row.flattening.value
        assert serving.outside.value == pytest.approx(over, rel=0.01)
        assert serving.outside.u > serving.core.u


def test_bobbins_hold_the_thread():
    """Enough bobbins for the far end of the +-, and not one more."""
    plan = plan_of(RIDGE, {"bench.bobbin": "2 yd"})
    for serving in plan.servings:
        most = serving.thread_length.value + serving.thread_length.u95
        assert serving.bobbins * 2.0 * 36.0 * INCH >= most
        assert (serving.bobbins - 1) * 2.0 * 36.0 * INCH < most
    assert max(s.bobbins for s in plan.servings) > 1


@pytest.mark.parametrize("order", ORDERS)
def test_only_twist_after_serving_moves_its_grip(order):
    """Served after the twist, a thread keeps the tension it was laid with."""
    for serving in plan_of(RIDGE, {"route.order": order}).servings:
        if order == "serve, then twist":
            assert serving.locked_by_twist == "tightened"
            assert serving.tension_finished > serving.tension_laid
        else:
            assert serving.locked_by_twist == "untouched"
            # Finished is the mean of a skewed tension, laid its middle.
            assert serving.tension_finished == pytest.approx(serving.tension_laid, rel=0.06)


def test_against_the_twist_a_serving_loosens():
    """Wound the other hand and then twisted, it loses grip, and the plan says so."""
    against = SERVE_FIRST | {"line.servings.0.hand": "S"}
    plan = plan_of(RIDGE, against)
    lower, upper = plan.servings[0], plan.servings[-1]
    assert lower.locked_by_twist == "loosened"
    assert lower.tension_finished < lower.tension_laid < upper.tension_finished
    assert any("the other hand" in w or "loosens it" in w for w in lower.warnings)
    assert not any("hand" in w for w in upper.warnings)
    # Both are equal but for the hand: so is what they hold.
    assert lower.hold.value < upper.hold.value


def test_the_other_hand_is_warned_of_even_after_the_twist():
    """Turns added later would loosen it."""
    served = plan_of(RIDGE, {"line.servings.0.hand": "S"}).servings[0]
    assert any("every turn added later loosens it" in w for w in served.warnings)


def test_a_tighter_serving_holds_more():
    """Hold goes with the tension the thread was laid at."""
    low, high = (
        plan_of(RIDGE, {"line.servings.0.tension": f"{t} lbf"}).servings[0] for t in (5, 10)
    )
    assert low.tension_laid == pytest.approx(5.0 * LBF, rel=0.05)
    assert high.hold.value == pytest.approx(2.0 * low.hold.value, rel=0.01)


def test_a_short_loose_serving_may_slide():
    """A serving with too little grip is warned of."""
    loose = {"line.servings.1.tension": "0.3 lbf"}
    assert any("may slide" in w for w in plan_of(RIDGE, loose).servings[1].warnings)
    assert not any("may slide" in w for w in example_plan(RIDGE).servings[0].warnings)


def test_marks_move_with_the_line():
    """In a marking state under more load than the proof, a mark lies further out than finished."""
    plan = plan_of(RIDGE, SERVE_FIRST)
    drawn = {m.name: m.at.si for m in plan.job.line.marks}
    for mark in plan.marks:
        assert mark.position.value == pytest.approx(drawn[mark.name], abs=INCH / 16.0)
        assert mark.now > mark.position.value
        assert 0.0 < mark.position.u < plan.landing.blind.u
