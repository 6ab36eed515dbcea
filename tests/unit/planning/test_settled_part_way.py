"""The stop part way of a line that is served first: in its order, once, and never by undoing."""

from __future__ import annotations

import pytest

from bench_work import Work
from strandwright.planning import cautions
from strandwright.planning.hearing.standing import STATE_AT
from strandwright.planning.watching.refusals import stage_of_stretch, standing_steps


def served() -> Work:
    """Give a line of that order, served and not twisted yet."""
    work = Work("MERE-1", route={"order": "serve, then twist"}).wound()
    work.read("bare")
    for step in ("loops", "serve"):
        work.did("step-done", step=step)
    return work


def act(work: Work) -> str:
    """Give the identity of the next act."""
    return work.advice.act.step.id


@pytest.fixture
def work() -> Work:
    """Give a served line of one's own."""
    return served()


def test_turns_are_settled_before_the_reading_part_way(work):
    """Twist, pull with the caution of a pull, then read; the rest of the turns come after."""
    assert "twist-half" == act(work)
    work.did("turned", turns=work.advice.act.step.turns)
    assert "settle-part" == act(work)
    assert cautions.STRETCH == work.advice.act.step.caution
    work.did("step-done", step="settle-part")
    assert "read-half" == act(work)
    work.read("half")
    assert "twist-full" == act(work)


def test_an_older_log_is_not_sent_back_to_settle(work):
    """Read part way before there was the step: the line goes on to its full turns."""
    work.did("turned", turns=work.advice.act.step.turns)
    work.read("half")
    assert "twist-full" == act(work)
    assert all(s.done for s in work.advice.steps if s.id in ("twist-half", "settle-part"))


def test_once_all_turns_are_settled_none_are_settled_part_way(work):
    """A line twisted on without the stop is not pulled twice for it."""
    work.did("turned", turns=work.advice.plan.twist.turns)
    work.did("step-done", step="settle")
    assert next(s.done for s in work.advice.steps if s.id == "settle-part")


def test_a_line_past_the_stop_is_not_turned_back_to_it(work):
    """More turns than the stop asks for stay in: they are settled and read as they are."""
    work.did("turned", turns=work.advice.act.step.turns + 2.0)
    assert "settle-part" == act(work)
    work.did("step-done", step="settle-part")
    assert "read-half" == act(work)


def test_the_line_stands_in_the_state_it_is_in(work):
    """Watched while its turns part way are settled, it is the line with those turns in."""
    steps = [s.id for s in standing_steps(work.advice.plan)]
    stages = {step: (stage_of_stretch(step), STATE_AT[step]) for step in steps}
    assert ("half", "half") == stages["settle-part"]
    assert all(watched == heard for watched, heard in stages.values())


def test_short_of_the_stop_it_says_what_is_in(work):
    """A count in all and a count to put in are never mistaken for each other."""
    whole = work.advice.act.step.turns
    work.did("turned", turns=whole - 3.0)
    step = work.advice.act.step
    assert ("twist-half", "Twist on", "3 turns more") == (step.id, step.title, step.headline)
    assert "are in" in step.lines[0]
