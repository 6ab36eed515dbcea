"""Remedies: each kept promise is that of the plan made so; what cannot be done is not offered."""

from __future__ import annotations

import pytest

from sample_job import EXAMPLE_NAMES, MERE, RIDGE, TARN, example_plan, plan_of
from strandwright.planning.plan_line import plan_line
from strandwright.planning.worth.foreseen import other_ways, predicted
from strandwright.planning.worth.words import chances_said, cost_said, remedy_said


def remedies_of(plan):
    """Give a plan's remedies by name."""
    return {remedy.name: remedy for remedy in plan.landing.every_remedy}


def way_of(plan, start):
    """Give one other way to build, by the start of its name."""
    return next(w for w in other_ways(plan.landing.grounds) if w.name.startswith(start))


def test_a_bench_without_gauge_and_with_a_poor_tape_is_told_of_both():
    """Gauge, ear and a steel tape are named, with what they cost."""
    plan = plan_of(RIDGE, {"bench.gauge": "none", "bench.tape": "glass fibre"})
    found = remedies_of(plan)
    assert found["put a load cell on the pull"].once == "to buy, once"
    assert found["measure with a steel tape"].once == "to buy, once"
    assert found["check the tape by a known rule"].once == "10 min, once"
    assert found["hear the load in the pluck"].time > 0.0
    assert all(r.saves == pytest.approx(r.saves) and r.saves > 0.0 for r in found.values())
    assert "measure with a steel tape" not in remedies_of(plan_of(RIDGE, {"bench.gauge": "none"}))


@pytest.mark.parametrize(
    ("name", "poor", "better", "remedy"),
    [
        (RIDGE, {"bench.tape": "glass fibre", "bench.gauge": "none"},
         {"bench.tape": "steel", "bench.gauge": "none"}, "measure with a steel tape"),
        (RIDGE, {"bench.gauge": "none"}, {"bench.gauge": "by ear"}, "hear the load in the pluck"),
        (TARN, {"bench.gauge": "spring scale"}, {"bench.gauge": "load cell"},
         "put a load cell on the pull"),
    ],
)  # fmt: skip
def test_a_remedy_keeps_what_it_promises(name, poor, better, remedy):
    """The plan of a bench that has it gives the chances that were told before."""
    promised = remedies_of(plan_of(name, poor))[remedy]
    landing = plan_of(name, better).landing
    assert landing.chance_first == pytest.approx(promised.chance_first, abs=0.02)
    assert landing.chance == pytest.approx(promised.chance, abs=0.02)


@pytest.mark.parametrize("name", [MERE, RIDGE])
@pytest.mark.parametrize(
    ("start", "changes"),
    [
        ("let it rest", {"route.rest": 2.0}),
        ("stretch it for", {"route.stretch_dwell": 2.0}),
        ("wind on posts", {"bench.post_stiffness": "400 N/mm +- 400"}),
    ],
)
def test_another_way_to_build_is_as_sure_as_its_own_plan(name, start, changes):
    """Predicted anew, a longer rest or stretch or a stiffer jig is what its own plan says."""
    plan = plan_of(name, {"bench.post_stiffness": "60 N/mm +- 60"})
    way = way_of(plan, start)
    table = plan.job.model_dump(mode="json", exclude_defaults=True)
    ((place, value),) = changes.items()
    folder, field = place.split(".")
    loads = plan.loads
    if value == 2.0:
        value = f"{2.0 * (loads.rest if field == 'rest' else loads.stretch_dwell):.0f} s"
    table.setdefault(folder, {})[field] = value
    landing = plan_line(type(plan.job).model_validate(table)).landing
    chances = way.grounds.chances()
    assert chances.first == pytest.approx(landing.chance_first, abs=0.01)
    assert chances.after == pytest.approx(landing.chance, abs=0.005)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_the_lean_prediction_gives_the_chances_of_the_plan(name):
    """Predicted for the lengths alone, the build as planned is as sure as the plan says."""
    grounds = example_plan(name).landing.grounds
    lean = predicted(grounds.prepared, grounds)[0].chances()
    # Of the string on four posts the drag is least known, and the bend of that is left out here.
    near = 0.04 if name == "gill-string" else 0.02
    assert lean.first == pytest.approx(grounds.chances().first, abs=near)
    assert lean.after == pytest.approx(grounds.chances().after, abs=0.005)


def test_a_stretch_over_the_bench_s_rating_is_not_offered():
    """What strap and posts are not rated for, or what the line should not bear, is left out."""

    def harder(changes):
        ways = other_ways(plan_of(MERE, changes).landing.grounds)
        return [w.name for w in ways if w.name.startswith("stretch it at")]

    stretch = plan_of(MERE).loads.stretch
    assert len(harder({"bench.rating": f"{4.0 * stretch:.0f} N"})) == 1
    assert harder({"bench.rating": f"{1.2 * stretch:.0f} N"}) == []


def test_other_ways_are_worked_out_only_when_asked_for():
    """Planning does not ask; and a line that was read is not built another way."""
    plan = plan_of(MERE)
    assert not {"remedies", "every_remedy", "readings"} & set(vars(plan.landing))
    assert {r.name for r in plan.landing.remedies} <= set(remedies_of(plan))
    read = f"{plan.stage('bare').length.value * 1e3:.2f} mm"
    posts = f"{plan.winding.posts_outside.value * 1e3:.3f} mm"
    begun = plan_of(MERE, {"build.wound_at": posts, "build.readings": [
        {"stage": "bare", "length": read}]})  # fmt: skip
    assert begun.landing.every_remedy == begun.landing.remedies


def test_a_further_stop_is_among_what_would_help_a_line_that_hangs_on_its_turns():
    """Served before it is twisted, a line to a small tolerance gains by one more stop."""
    changes = {"route.order": "serve, then twist", "line.tolerance": "1/32 in"}
    plan = plan_of(RIDGE, changes)
    stops = [r for name, r in remedies_of(plan).items() if name.startswith("stop at ")]
    assert len(stops) == 1
    assert plan.stage("half").turns < float(stops[0].name.split()[2]) < plan.twist.turns
    assert stops[0].gain_first >= 0.01


def test_words_of_a_remedy():
    """So many of a hundred, now and then; what it costs with each line or once."""
    plan = plan_of(TARN, {"bench.gauge": "spring scale"})
    said = remedy_said(remedies_of(plan)["put a load cell on the pull"])
    assert said.startswith("Put a load cell on the pull: ")
    assert "of 100 lines would be right at the first proof, now " in said
    assert chances_said(0.713, 0.995) == (
        "71 of 100 such lines are right at the first proof, over 99 once they were corrected there"
    )
    assert (cost_said(130.0), cost_said(0.0), cost_said(9.0, "to buy, once")) == (
        "2 min a line", "nothing", "to buy, once",
    )  # fmt: skip
