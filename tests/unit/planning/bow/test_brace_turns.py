"""Brace height against turns: relations, the bow's and the line's bend, and what trials do."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from asked_bow import Asked

from strandwright.planning.bow.answers import BowAnswers, answer_bow
from strandwright.planning.bow.brace_turns import BraceTurns
from strandwright.planning.bow.braces import braces_of
from strandwright.planning.examples import example
from strandwright.planning.line_on_bow import limb_nocks, line_on_bow
from strandwright.planning.plan_line import plan_line
from strandwright.planning.result import Plan
from strandwright.reference import practice
from strandwright.workshop.job import job_from_table

INCH = 0.0254


def answered(name: str, **bow: Any) -> tuple[Plan, BowAnswers, BraceTurns]:
    """An example's bow with other entries, answered."""
    table = example(name).model_dump(mode="json", exclude_defaults=True)
    table["bow"] |= {"draw_length": "28 in"} | bow
    job = job_from_table(table)
    plan = plan_line(job)
    answers = answer_bow(job, plan)
    assert answers.turning.braces is not None
    return plan, answers, answers.turning.braces


@pytest.fixture(scope="module", params=["MERE-1", "TARN-1"])
def low(request: pytest.FixtureRequest) -> tuple[Plan, BowAnswers, BraceTurns]:
    """A bow that stands a quarter inch too low with its new string."""
    now = "8 1/8 in +- 1/32" if request.param == "MERE-1" else "6 1/4 in +- 1/32"
    return answered(request.param, now={"brace_height": now})


def test_it_starts_where_the_bow_was_read(low: tuple[Plan, BowAnswers, BraceTurns]) -> None:
    """Without a turn put in it stands as measured, known as well as that was read."""
    plan, _, braces = low
    here = int(np.argmin(np.abs(braces.put)))
    assert braces.put[here] == 0.0
    assert braces.brace[here] == pytest.approx(braces.start.brace.value, abs=1e-9)
    assert braces.u[here] == pytest.approx(INCH / 64, rel=1e-6)
    assert braces.longer[here] == 0.0
    assert braces.start.turns == plan.twist.turns


def test_turns_raise_it_each_a_little_more(low: tuple[Plan, BowAnswers, BraceTurns]) -> None:
    """Higher with every turn, and each adds more than the last, for take-up goes by the square."""
    _, _, braces = low
    even = np.arange(-20.0, 12.6, 2.5)
    height = np.interp(even, braces.put, braces.brace)
    assert np.all(np.diff(braces.brace) > 0.0)
    assert np.all(np.diff(height, 2) > 0.0)


def test_the_first_turn_is_nearly_that_of_the_table(
    low: tuple[Plan, BowAnswers, BraceTurns],
) -> None:
    """The table of one turn is of the measuring load and the straight slope: a few per cent."""
    _, answers, braces = low
    table = answers.turning.passing
    row = table.figures.index("brace_height")
    assert braces.one_turn == pytest.approx(float(table.mean[row, 0]), rel=0.1)
    assert braces.one_turn_u == pytest.approx(float(table.uncertainty[row, 0]), rel=0.6)


def test_turns_and_length_give_the_same_brace(low: tuple[Plan, BowAnswers, BraceTurns]) -> None:
    """A string shorter by what the turns take up braces the bow as the turns do."""
    _, answers, braces = low
    curve = braces_of(answers.model.question)
    at, reached = curve.longer_for(curve.brace, braces.start.brace.value)
    assert reached.all()
    path = curve.read(curve.path, at)
    for put, longer, height in zip(braces.put, braces.longer, braces.brace, strict=True):
        other, _ = curve.longer_for(curve.path, path + longer)
        # The mean of what each bow's own string does is not quite that of the mean string.
        assert curve.read(curve.brace, other).mean() == pytest.approx(height, abs=2e-4), put


def test_turns_for_the_wanted_brace_are_read_back(
    low: tuple[Plan, BowAnswers, BraceTurns],
) -> None:
    """Put in, they bring the height wanted, and the half turns advised are next to them."""
    _, answers, braces = low
    assert braces.turns is not None
    assert braces.wanted is not None
    again = np.interp(braces.turns.value, braces.put, braces.brace)
    assert again == pytest.approx(braces.wanted, abs=1e-9)
    assert braces.turns.u > 0.0
    home = answers.turning.home
    assert home is not None
    assert home.turns[0] == pytest.approx(braces.turns.value, abs=0.75)


def test_the_line_on_the_bow_is_shorter_than_on_the_pins() -> None:
    """A lower load and thicker nocks: it reads shorter, and a turn does a little more."""
    plan, _, braces = answered("MERE-1")
    turns = plan.twist.turns + np.array([0.0, 1.0])
    line = line_on_bow(plan, braces.tension_now.value, turns)
    here = line.length(0, braces.tension_now.value)
    assert 0.05 * INCH < line.measured[0] - here < 0.5 * INCH
    assert braces.length.value == pytest.approx(float(here), abs=1e-4)
    on_pins = line.measured[0] - line.measured[1]
    on_bow = here - line.length(1, braces.tension_now.value)
    assert 1.0 < on_bow / on_pins < 1.1


def test_loops_lie_on_the_pegs_or_on_a_usual_nock() -> None:
    """The bow's pegs where the loops name them."""
    job = example("MERE-1")
    assert limb_nocks(job) == pytest.approx((7 / 16 * INCH, 7 / 16 * INCH))
    bare = job.model_copy(
        update={
            "line": job.line.model_copy(
                update={"zero_end": job.line.zero_end.model_copy(update={"peg": None})}
            )
        }
    )
    assert limb_nocks(bare)[0] == practice("limb_nock.diameter").value


def test_a_loop_too_small_for_its_nock_still_answers() -> None:
    """What does not go over its nock is told among the fits; the turns are still answered."""
    pegs = [{"name": "limb tip", "diameter": "2 1/2 in"}]
    _, _, braces = answered("MERE-1", pegs=pegs)
    assert np.all(np.isfinite(braces.brace))


def test_trials_scale_the_curve() -> None:
    """A bow that answers to turns half as much again is drawn so, and is surer."""
    base = answered("MERE-1", now={"brace_height": "8 1/8 in +- 1/32"})[2]
    trial = {
        "turns": [{"line": "string", "turns": 10.0}],
        "before": {"brace_height": "8 in +- 1/64"},
        "after": {"brace_height": "8 9/32 in +- 1/64"},
    }
    taught = answered(
        "MERE-1", now={"brace_height": "8 1/8 in +- 1/32"}, trials=[trial]
    )[2]  # fmt: skip
    assert taught.one_turn > 1.1 * base.one_turn
    assert taught.one_turn_u / taught.one_turn < base.one_turn_u / base.one_turn


def test_a_wanted_height_that_no_turns_reach_is_said() -> None:
    """Turns can only do so much; then there is no number of them."""
    braces = answered(
        "MERE-1", now={"brace_height": "7 1/2 in"}, wanted={"brace_height": "9 in"}
    )[2]  # fmt: skip
    assert braces.wanted == pytest.approx(9 * INCH)
    assert braces.turns is None


def test_a_length_worked_out_for_a_height_starts_there() -> None:
    """The planned line braces the bow as wanted, with the +- of its length on the bow."""
    plan, _, braces = answered("MERE-1", wanted={"brace_height": "8 3/4 in"})
    assert braces.start.brace.value == pytest.approx(8.75 * INCH)
    assert braces.start.brace.u == pytest.approx(plan.target.length.u, rel=0.2)
    assert not braces.start.measured
    assert braces.turns is not None
    assert braces.turns.value == pytest.approx(0.0, abs=1e-9)


def test_a_bow_with_wheels_has_none(two_cam: Asked) -> None:
    """There the string hardly sets the brace."""
    assert answer_bow(two_cam.job, two_cam.plan).turning.braces is None
