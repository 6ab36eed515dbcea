"""Phrases of the steps: places a short tape can lay off, rests, loads no finer than they are."""

from __future__ import annotations

import re

import pytest

from sample_job import ORDERS, example_plan, plan_of
from strandwright.planning import cautions
from strandwright.planning.estimate import Estimate
from strandwright.planning.steps.phrases import place_said, reach_of, rest_line
from strandwright.planning.steps.words import Words

INCH, LBF = 0.0254, 4.4482216152605
RIDGE, TARN, FELL = "ridge-string", "tarn-string", "fell-string"
PULLS = ("even", "stretch", "serve")


@pytest.mark.parametrize("name", [RIDGE, TARN, FELL])
def test_places_are_told_from_the_pin_of_their_own_half(name: str) -> None:
    """Nothing is laid off from inside an open loop, nor over more than half the line."""
    plan = example_plan(name)
    half = 0.5 * plan.stage("marking").length.value
    for serving in plan.servings:
        reach = reach_of(plan, serving.now_start, serving.now_stop)
        middle = 0.5 * (serving.now_start + serving.now_stop)
        ends = plan.job.line.far_end, plan.job.line.zero_end
        assert reach.pin == ends[middle <= half].name
        is_last = serving in (plan.servings[0], plan.servings[-1])
        assert (reach.start == "the throat") is is_last
    serve = next(s for s in plan.steps if s.id == "serve")
    assert not any(re.search(r"(^|\s)0 in\b", line) for line in serve.lines)


def test_the_far_edge_is_what_is_left_to_the_far_pin() -> None:
    """A serving told from the far pin stops as far from it as its start is from there."""
    plan = example_plan(RIDGE)
    last, stage = plan.servings[-1], plan.stage("marking")
    reach = reach_of(plan, last.now_start, last.now_stop)
    assert reach.stop == Words(plan).written.length(stage.length.value - last.now_start)


def test_nock_and_peep_are_marked_with_the_servings() -> None:
    """Each at its place of now, from the nearer pin."""
    plan = example_plan(RIDGE)
    words = Words(plan)
    serve = next(s for s in plan.steps if s.id == "serve")
    for mark in plan.marks:
        assert f"mark {mark.name} at {place_said(words, mark.now)}" in serve.lines


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("name", [RIDGE, TARN])
def test_every_pull_that_a_reading_follows_tells_its_rest(name: str, order: str) -> None:
    """The last pull before a reading says how long to rest, as the plan reckons it."""
    plan = plan_of(name, {"route.order": order})
    rest, last = rest_line(Words(plan)), None
    for step in plan.steps:
        if step.key in ("read", "proof") and last is not None:
            assert rest in last.lines, (step.id, last.id)
            last = None
        if step.key in PULLS:
            last = step


@pytest.mark.parametrize("order", ORDERS)
def test_turns_go_in_with_the_line_let_down(order: str) -> None:
    """Both twists say so, and their caution forbids a loaded line."""
    twists = [s for s in plan_of(RIDGE, {"route.order": order}).steps if s.key == "twist"]
    assert len(twists) == 2
    for step in twists:
        assert any("let right down" in line for line in step.lines)
        assert step.caution == cautions.TURNING


@pytest.mark.parametrize("order", ORDERS)
def test_the_first_pull_on_turns_is_no_more_than_the_number_counts_on(order: str) -> None:
    """Settled where the route reckons so; elsewhere the reading's own load is the first."""
    plan = plan_of(RIDGE, {"route.order": order})
    stage, ids = plan.route.stage("half"), [s.id for s in plan.steps]
    read = next(s for s in plan.steps if s.id == "read-half")
    no_further = any("no further" in line for line in read.lines)
    assert no_further is (stage.highest_twisted == stage.load)
    assert no_further is not ("settle-part" in ids)


def test_a_settling_pull_lasts_as_long_as_its_clock() -> None:
    """What is told and what is timed are one, and as long as the route reckons."""
    plan = plan_of(RIDGE, {"route.order": ORDERS[0]})
    pulled = plan.route.stage("half").pulls[-1]
    for step in plan.steps:
        if step.id in ("settle", "settle-part"):
            assert (step.load, step.dwell) == (pulled.load, pulled.dwell)
            assert step.headline.endswith("for 2 min")


@pytest.mark.parametrize(
    ("value", "u", "said"),
    [
        (0.1, 0.8, "no more than 2 lbf either way"),
        (-0.1, 0.8, "no more than 2 lbf either way"),
        (4.0, 1.5, "up to 7 lbf more"),
        (-4.0, 0.2, "4.0 ± 0.4 lbf less"),
    ],
)
def test_a_number_that_its_doubt_swamps_is_a_bound(value: float, u: float, said: str) -> None:
    """A change of load is written no finer than it is known."""
    assert Words(example_plan(RIDGE)).either_way(Estimate(value * LBF, u * LBF, "N")) == said


def test_rough_lengths_are_rough() -> None:
    """A quarter inch is near enough for a shift; the least of a tail is rounded up."""
    words = Words(example_plan(RIDGE))
    assert words.roughly(6.0625 * INCH) == "6 in"
    assert words.at_least(2.01 * INCH) == "2 1/4 in"


def test_a_trial_wrap_has_the_outside_of_each_thread() -> None:
    """Measured before anything is served, with what to do where it is off."""
    plan = example_plan(RIDGE)
    serve = next(s for s in plan.steps if s.id == "serve")
    (trial,) = [line for line in serve.lines if line.startswith("a trial first")]
    written = Words(plan).written
    for serving in plan.servings:
        assert f"{written.small_estimate(serving.outside)} over {serving.thread}" in trial


def test_tails_that_hold_are_not_cut() -> None:
    """Only ends that stick out of a serving they are tied off under; married tails stay whole."""
    for name, told in ((RIDGE, "what lies under a serving"), ("heath-string", "cut none")):
        tag = next(s for s in example_plan(name).steps if s.key == "tag")
        assert any(told in line for line in tag.lines)
        assert not any("trimmed" in line for line in tag.lines)


def test_a_crossbows_centre_is_not_waxed_against_its_maker() -> None:
    """The bare strands alone; the maker's manual decides about the rest."""
    tag = next(s for s in example_plan(FELL).steps if s.key == "tag")
    assert any("maker's manual decides" in line for line in tag.lines)


def test_rail_marks_stand_on_the_finished_serving() -> None:
    """They come after the step that serves it."""
    ids = [s.id for s in example_plan(FELL).steps]
    assert ids.index("rail-marks") == ids.index("serve") + 1
    steps = {s.id: s for s in example_plan(FELL).steps}
    rest = rest_line(Words(example_plan(FELL)))
    assert rest not in steps["serve"].lines
    assert steps["rail-marks"].lines[-1] == rest
