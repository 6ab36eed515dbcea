"""Watched looks: told at the jig, refused where they cannot be meant, answered with the advice."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bench_work import Work
from sample_job import ORDERS, RIDGE, plan_of
from strandwright.errors import LimitError, SpecError
from strandwright.line.build import read_lengths
from strandwright.planning.desk.advice_data import advice_data
from strandwright.planning.prepare import at_mean, prepare
from strandwright.planning.watching.parts import Look
from strandwright.planning.watching.refusals import standing_steps
from strandwright.planning.watching.stretch import looks_at, stand
from strandwright.units import INCH, LBF
from strandwright.workshop.build_state import BuildState
from strandwright.workshop.events import VERSIONS


@pytest.fixture
def work():
    """Give a build whose bare skein is about to be stretched."""
    work = Work()
    work.did("posts-set", outside="57 19/32 in")
    for run, colour in enumerate(work.advice.plan.winding.runs):
        work.did("rounds-laid", run=run, halves=colour.strands)
    for step in ("even", "shift"):
        work.did("step-done", step=step)
    return work


def look(work, **body):
    """Record a look at the line in the bare stretch."""
    return work.did("watched", **{"step": "stretch-bare", "load": "298 lbf", **body})


def told(work):
    """Give what the advice tells of the watch."""
    return advice_data(work.build, work.advice)["watch"]


def test_before_any_look_it_says_what_to_read(work):
    """The step asks for load and posts, and shows no curve."""
    watch = told(work)
    assert watch["step"] == "stretch-bare"
    assert watch["points"] == []
    assert watch["charts"] is None
    assert "outside to outside" in watch["posts_hint"]


def test_a_step_without_a_standing_load_has_no_watch():
    """The posts are set, nothing stands."""
    assert told(Work()) is None


def test_looks_become_a_curve_with_a_verdict_and_charts(work):
    """Four looks: a sentence, places on the curve, a chart for each light."""
    for minute, load, posts in ((1, 300, 57.900), (4, 297, 57.898), (10, 295, 57.896),
                                (20, 293, 57.895)):  # fmt: skip
        look(work, load=f"{load} lbf +- 4 lbf", heard=True, posts=f"{posts} in +- 0.002 in",
             temperature="66 degF", stood=f"{minute} min")  # fmt: skip
    watch = told(work)
    assert watch["verdict"] in ("settled", "still moving", "cannot be told yet")
    assert [place["s"] for place in watch["curve"]["places"]] == [60.0, 240.0, 600.0, 1200.0]
    assert watch["curve"]["name"] == "line alone, at 300 lbf"
    assert watch["curve"]["places"][0]["u_m"] < 0.004 * INCH
    assert set(watch["charts"]) == {"light", "dark", "sun"}
    assert watch["points"][1]["text"] == (
        "after 4 min: 297 lbf +- 4 lbf heard, 57.898 in +- 0.002 in, 66 degF"
    )


def test_a_look_taken_back_counts_no_more(work):
    """The line that was plucked by mistake leaves the curve."""
    look(work, stood="1 min")
    slip = look(work, load="220 lbf", stood="5 min")
    look(work, load="295 lbf", stood="10 min")
    work.did("withdrawn", event=slip.id)
    assert [point["s"] for point in told(work)["points"]] == [60.0, 600.0]


def test_looks_say_nothing_of_the_length(work):
    """A look is no reading of the line: the plan stays as it was."""
    before = work.advice.plan.id
    look(work, posts="57.9 in")
    assert work.advice.plan.id == before
    assert work.advice.readings == ()


def test_moments_stand_in_for_a_clock_that_nobody_started(work):
    """Without a time told, the first look is when the load came on."""
    look(work)
    look(work, after=9.0, load="296 lbf")
    assert [point["s"] for point in told(work)["points"]] == [0.0, 540.0]


def test_posts_without_a_unit_are_in_the_units_of_the_job(work):
    """As every other length at the jig."""
    table = {"id": work.id(), "type": "watched", "at": "2026-03-02T11:00:00Z",
             "body": {"step": "stretch-bare", "load": "298 lbf", "posts": "57 29/32"}}  # fmt: skip
    event = work.desk.event(work.build, table)
    assert event.body.posts.si == pytest.approx((57.0 + 29.0 / 32.0) * INCH)
    assert event.table()["version"] == VERSIONS["watched"] == 1


@pytest.mark.parametrize(
    ("body", "field", "says"),
    [
        ({"step": "loops"}, "watched.step", "stands under a load"),
        ({"step": "stretch-nothing"}, "watched.step", "stretch-bare, stretch-twisted"),
        ({"load": "60 lbf"}, "watched.load", "left of the load of this step, 300 lbf"),
        ({"load": "500 lbf"}, "watched.load", "read it again"),
        ({"posts": "30 in"}, "watched.posts", "outside to outside"),
        ({"posts": "70 in"}, "watched.posts", "read the whole distance"),
    ],
)
def test_what_this_line_cannot_have_had_is_refused(work, body, field, says):
    """With the field, what was meant and what mends it; nothing is kept."""
    with pytest.raises(SpecError) as refused:
        look(work, **body)
    assert refused.value.field == field
    assert says in f"{refused.value.rule} {refused.value.remedy}"
    assert told(work)["points"] == []


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"load": "300000 lbf"}, "watched.load"),
        ({"posts": "3/8 in"}, "watched.posts"),
        ({"temperature": "660 degF"}, "watched.temperature"),
    ],
)
def test_numbers_that_cannot_be_meant_are_refused(work, body, field):
    """A slipped point, the travel of the posts instead of their distance."""
    with pytest.raises(LimitError) as refused:
        look(work, **body)
    assert refused.value.field == field


def test_a_load_must_be_told(work):
    """A look without one is none."""
    with pytest.raises(SpecError, match="load"):
        work.did("watched", step="stretch-bare")


def test_the_stretch_is_that_of_the_line_of_the_model(work):
    """Between two loads it is what the model reads longer, over a wide range of loads too."""
    for load, heard in ((300, False), (255, True), (210, False)):
        look(work, load=f"{load} lbf", heard=heard)
    plan, state = work.advice.plan, work.advice.state
    step = standing_steps(plan)[0]
    found = stand(plan, state, step, looks_at(plan, state, step.id))
    ready = prepare(plan.job, plan.target.length.value, plan.parameters)
    q = at_mean(ready.parameters)
    lengths = []
    for load in (300.0, 255.0, 210.0):
        route = ready.model.route
        stages = tuple(replace(s, load=load * LBF) if s.key == "bare" else s for s in route.stages)
        model = replace(ready.model, route=replace(route, stages=stages))
        lengths.append(read_lengths(model, q, plan.chosen.settings, ["bare"])["bare"][0])
    expected = np.array(lengths) - lengths[0]
    assert found.stretch == pytest.approx(expected, rel=0.05, abs=2e-6)
    assert np.all(np.diff(found.stretch) < 0.0)


def test_of_a_heard_load_only_its_own_scatter_is_its_own(work):
    """What the mass of the line makes of the +- is the same in every pluck."""
    look(work, load="298 lbf +- 12 lbf", heard=True)
    look(work, load="297 lbf +- 1 lbf", heard=True)
    look(work, load="297 lbf +- 12 lbf")
    plan, state = work.advice.plan, work.advice.state
    coarse, fine, gauge = looks_at(plan, state, "stretch-bare")
    assert coarse.own == pytest.approx(0.005)
    assert np.hypot(coarse.own, coarse.common) == pytest.approx(6.0 / 298.0)
    assert fine.own == pytest.approx(0.5 / 297.0)
    assert fine.common == pytest.approx(0.0)
    assert gauge.own == pytest.approx(6.0 / 297.0)
    assert gauge.common == 0.0


@pytest.mark.parametrize("order", ORDERS)
def test_every_standing_step_of_every_order_can_be_watched(order):
    """Bare, twisted, or served and settled: a lower load leaves a shorter line in each."""
    plan = plan_of(RIDGE, {"route": {"order": order}})
    steps = standing_steps(plan)
    assert steps
    for step in steps:
        assert step.load is not None
        looks = [Look("a", 60.0, step.load, 0.005), Look("b", 600.0, 0.9 * step.load, 0.005)]
        found = stand(plan, BuildState(), step, looks)
        assert found.stretch[0] == pytest.approx(0.0, abs=1e-3)
        assert 0.01 * INCH < found.stretch[0] - found.stretch[1] < 0.1 * INCH
        assert found.per_load == pytest.approx(
            (found.stretch[0] - found.stretch[1]) / np.log(1.0 / 0.9), rel=0.1
        )
