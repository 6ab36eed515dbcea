"""Next reading: said where it pays, of what is at hand, and never of what is asked for."""

from __future__ import annotations

import numpy as np
import pytest

from bench_work import Work
from strandwright.planning.desk.advice_data import advice_data
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import example
from strandwright.planning.worth import next_reading as place
from strandwright.planning.worth.candidates import Candidate
from strandwright.planning.worth.grounds import Evidence


def by_ear():
    """Give a build of a line that stretches much, at a bench that hears its loads."""
    tables = tables_of(example("TARN-1"))
    return Work("TARN-1", bench=tables["bench"] | {"gauge": "by ear"})


def kinds_at_hand(work):
    """Give the kinds of readings that could be taken now beside those asked for."""
    advice = work.advice
    grounds = advice.plan.landing.grounds
    at_hand = place._at_hand(advice.plan, advice.state, advice.act.step, grounds)
    return [each.key for each in at_hand]


def test_spools_are_weighed_before_anything_is_wound():
    """At the posts it is offered, told once, and gone with the first round."""
    work = by_ear()
    said = advice_data("x", work.advice)["worth_reading"]
    assert said["kind"] == "masses"
    assert said["title"] == "weigh the spools before and after"
    assert "of 100 lines would" in said["said"]
    assert said["gain_first"] + said["gain"] >= 0.01
    assert said["cost_text"] == "2 min a line"
    posts = work.advice.plan.winding.posts_outside.value
    work.did("posts-set", outside=f"{posts * 1000:.3f} mm")
    assert work.advice.worth_reading is not None
    work.did("rounds-laid", run=0, halves=1)
    assert "masses" not in kinds_at_hand(work)
    assert work.advice.worth_reading is None


def test_what_can_be_read_follows_where_the_line_stands():
    """The diameter while it is bare; one more look while it stands as it was read."""
    work = Work().wound()
    assert kinds_at_hand(work) == ["diameter"]
    work.read("bare")
    assert kinds_at_hand(work) == ["diameter", "again"]
    work.did("diameter-read", of="bare", diameter="0.109 in")
    assert kinds_at_hand(work) == ["again"]
    work.did("step-done", step="loops")
    assert kinds_at_hand(work) == []


def test_a_third_look_is_not_offered():
    """Read twice, a stage is read."""
    work = Work().wound()
    work.read("bare")
    work.read("bare")
    assert "again" not in kinds_at_hand(work)


def test_a_good_bench_is_left_alone():
    """Where a line is as good as sure nothing is suggested, at no step of the build."""
    tables = tables_of(example("RIDGE-1"))
    work = Work(line=tables["line"] | {"tolerance": "1/8 in"}).wound()
    assert work.advice.plan.landing.chance_first > 0.99
    assert work.advice.worth_reading is None
    work.read("bare")
    assert work.advice.worth_reading is None
    assert advice_data("x", work.advice)["worth_reading"] is None


def test_nothing_is_suggested_while_a_reading_is_in_question():
    """First the reading is taken again."""
    work = by_ear().wound()
    work.read("bare", 0.08)
    assert work.advice.question is not None
    assert work.advice.worth_reading is None


def test_the_best_that_pays_is_named(monkeypatch):
    """Of two that pay the one that saves more over its cost; one that costs too much is not."""
    work = by_ear()
    advice = work.advice
    grounds = advice.plan.landing.grounds
    row = grounds.spread.jacobian[[grounds.spread.index("finished")]]

    def made(title, u, time):
        return Candidate("again", title, "", Evidence(row, np.array([u**2])), time)

    offers = [made("good", 6e-3, 60.0), made("better", 1e-3, 60.0), made("dear", 1e-5, 1e5)]
    monkeypatch.setattr(place, "_at_hand", lambda *_: offers)
    best = place.next_reading(advice.plan, advice.state, advice.act.step)
    assert best is not None and best.title == "better"
    monkeypatch.setattr(place, "_at_hand", lambda *_: offers[2:])
    assert place.next_reading(advice.plan, advice.state, advice.act.step) is None


def test_an_ended_build_and_an_accepted_line_are_left_alone():
    """The advice of a build that is over suggests nothing."""
    work = by_ear()
    work.did("put-aside", why="another day")
    assert work.advice.worth_reading is None
    assert work.advice.plan.landing.chance_first == pytest.approx(
        work.advice.first.landing.chance_first
    )
