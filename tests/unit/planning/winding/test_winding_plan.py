"""The winding plan: passes, rounds, colours, tails and what the spool loses."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from sample_job import (
    CABLE,
    EXAMPLE_NAMES,
    GRAIN,
    INCH,
    LBF,
    RIDGE,
    WOUND_NAMES,
    example_plan,
    plan_of,
    prepared_of,
    settings_of,
    table_of,
)
from strandwright.errors import LimitError
from strandwright.line.model import LineModel
from strandwright.planning.prepare import at_mean
from strandwright.planning.strand_stock import WAX_SHARE
from strandwright.reference import strand


def with_colours(*strands, **more):
    """Plan the string in colours of these counts."""
    colours = [
        {"name": f"colour {i}", "colour": "#4C5A66", "strands": n} for i, n in enumerate(strands)
    ]
    return plan_of(RIDGE, {
        "makeup.colours": colours, "makeup.strands": sum(strands), "makeup.pattern": "free"
    } | more).winding  # fmt: skip


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_one_winding_counted_three_ways(name):
    """A pass lays a strand, a round lays two; the colours make up the whole."""
    winding = example_plan(name).winding
    assert winding.passes == winding.strands == example_plan(name).job.makeup.strands
    assert 2.0 * winding.rounds == winding.passes
    assert sum(r.strands for r in winding.runs) == winding.strands
    assert sum(r.rounds for r in winding.runs) == winding.rounds


@pytest.mark.parametrize("strands", [(12, 12), (7, 9, 8), (5, 19), (11, 11, 2), (24,), (13, 12)])
def test_each_colour_starts_where_the_last_one_ended(strands):
    """An odd count ends at the other post, an even one where it began; the next goes on there."""
    winding = with_colours(*strands)
    at = "zero post"
    for run, count in zip(winding.runs, strands, strict=True):
        assert run.starts_at == at
        assert (run.ends_at == run.starts_at) is (count % 2 == 0)
        assert run.rounds == Fraction(count, 2)
        at = run.ends_at


@pytest.mark.parametrize("name", WOUND_NAMES)
def test_spool_loses_what_is_wound(name):
    """Thread and mass by hand: passes of half a round, two tails, mass per length and wax."""
    plan = example_plan(name)
    model, settings = prepared_of(plan.job).model, settings_of(plan)
    half_round = 0.5 * float(
        model.wound(at_mean(plan.parameters), settings.posts).natural_loop[0]
    )
    density = strand(plan.job.makeup.strand).linear_density
    for run in plan.winding.runs:
        length = run.strands * half_round + 2.0 * plan.winding.tail_cut
        assert run.thread_length == pytest.approx(length, rel=1e-9)
        assert run.mass.value == pytest.approx(length * density.value * (1.0 + WAX_SHARE))
        assert run.mass.u > density.relative_uncertainty * run.mass.value
    # One round about both posts is nearly twice their distance.
    assert half_round == pytest.approx(plan.winding.posts_outside.value, rel=0.03)


def test_a_scale_finds_a_missing_strand_only_when_it_can():
    """A fine scale and a strand weighed by its user tell one strand; kitchen scales never do."""
    weighed = {
        "makeup.strand": "grey",
        "makeup.own_strand": {
            "name": "grey", "fibre": "hmpe-lcp", "weighed_length": "40 m", "weighed_mass": "6 g"
        },
    }  # fmt: skip
    coarse = with_colours(2, 22, **{"bench.scale_reads": "50 gr"})
    assert not any(r.scale_finds_missing for r in coarse.runs)
    few, many = with_colours(2, 22, **weighed, **{"bench.scale_reads": "0.1 gr"}).runs
    assert few.scale_finds_missing
    # What is not known of the mass per length outgrows one strand among many.
    assert not many.scale_finds_missing


@pytest.mark.parametrize("reads", ["0.1 gr", "1 gr", "5 gr"])
def test_finding_a_strand_is_two_standard_uncertainties(reads):
    """A missing strand is found when its mass is more than the 95 % half-range of the weighing."""
    step = float(reads.split()[0]) * GRAIN
    for run in with_colours(2, 4, 18, **{"bench.scale_reads": reads}).runs:
        density = strand("hmpe-lcp").linear_density
        strand_mass = (
            (run.mass.value / run.thread_length)
            * (run.thread_length - 2.0 * tail_of(reads))
            / run.strands
        )
        # Wax is 5 to 15 % of the mass: 0.03 of the fibre's mass beside the fibre's own spread.
        relative = math.hypot(density.relative_uncertainty, 0.03 / (1.0 + WAX_SHARE))
        # A reading of a step d is uniform over it at both weighings: d / sqrt(6) in the change.
        u = math.hypot(run.mass.value * relative, step / math.sqrt(6.0))
        assert run.mass.u == pytest.approx(u, rel=1e-6)
        assert run.scale_finds_missing is (strand_mass > 2.0 * u)


def tail_of(reads):
    """Tail that the same winding leaves."""
    return with_colours(2, 4, 18, **{"bench.scale_reads": reads}).tail_cut


@pytest.mark.parametrize("name", WOUND_NAMES)
def test_tails_hold_with_a_margin(name):
    """A tail is left longer than just holds at the far end of its +-, and it fits its serving."""
    plan = example_plan(name)
    winding = plan.winding
    serving = next(s for s in plan.servings if s.name == winding.tail_place)
    length = serving.stop.value - serving.start.value
    assert winding.tail_cut > winding.tail_hold.value + winding.tail_hold.u95
    assert winding.tail_cut <= length * 1.01
    assert winding.shift >= 0.0


def test_tails_lie_at_the_end_where_they_are_tied():
    """Even counts leave all tails at the zero post, under the end serving of that end."""
    plan = example_plan("scree-string")
    assert {r.starts_at for r in plan.winding.runs} == {"zero post"}
    half = 0.5 * plan.target.length.value
    near = {
        s.name: s.stop.value - s.start.value
        for s in plan.servings
        if s.use == "end" and s.stop.value < half
    }
    assert plan.winding.tail_place == max(near, key=lambda n: near[n])


def test_odd_counts_bury_tails_at_both_ends():
    """A colour that ends at the far post has tails there too; both servings are named."""
    even, odd = with_colours(12, 12), with_colours(11, 13)
    assert even.tail_place == "lower end"
    assert odd.tail_place == "lower end and upper end"
    assert not odd.warnings


def test_one_shift_serves_both_ends_or_says_it_cannot():
    """Where no turning of the skein brings both ends' tails under servings, it is said."""
    lower, *_, upper = table_of(RIDGE)["line"]["servings"]
    plan = plan_of(RIDGE, {
        "makeup.colours": [
            {"name": "one", "colour": "#4C5A66", "strands": 11},
            {"name": "two", "colour": "#9C5A66", "strands": 13},
        ],
        "makeup.pattern": "free",
        "line.zero_end.size": "9 in",
        "line.servings": [
            lower | {"start": "0 in", "stop": "17 in"}, upper | {"start": "50 in", "stop": "57 in"}
        ],
        "original.shorthand": None,
    })  # fmt: skip
    assert any("one shift of the skein cannot bring" in w for w in plan.winding.warnings)
    assert set(plan.winding.warnings) <= set(plan.warnings)


def test_a_serving_too_short_for_its_tails_is_warned_of():
    """Tails are cut to the serving they lie under, and the plan says that they may slip."""
    plan = plan_of(RIDGE, {"bow.loads.release": "2900 lbf"})
    serving = next(s for s in plan.servings if s.name == plan.winding.tail_place)
    assert plan.winding.tail_cut <= serving.stop.value - serving.start.value
    assert plan.winding.tail_hold.u95 > 0.0
    assert any(
        f"'{serving.name}' buries" in w and "tie the tails off as well" in w
        for w in plan.winding.warnings
    )


def test_a_serving_that_twist_loosens_holds_tails_worse():
    """Wound against the twist before it goes in, a serving keeps less of its grip on the tails."""
    order = {"route.order": "serve, then twist"}
    other = {f"line.servings.{i}.hand": "S" for i in range(3)}
    with_it, against = (
        plan_of(RIDGE, order | hands).winding.tail_hold.value for hands in ({}, other)
    )
    assert against > 1.05 * with_it


def test_a_track_serving_over_tails_is_warned_of():
    """A cable whose zero end has only the serving that runs in a track is told of the strand."""
    winding = example_plan(CABLE).winding
    assert winding.tail_place == "cam end"
    assert any("thicker by a strand" in w for w in winding.warnings)


def test_an_end_without_a_serving_ties_its_tails():
    """Tails at an end that nothing serves are tied off, and the end is named."""
    servings = table_of(RIDGE)["line"]["servings"]
    placed = [{**servings[2], "start": "48 in", "stop": "57 1/4 in"}]
    plan = plan_of(RIDGE, {"line.servings": placed, "original.shorthand": None})
    assert any("'lower cam' buries the tails" in w for w in plan.winding.warnings)
    assert "tie off" in plan.winding.tail_place


@pytest.mark.parametrize("stiffness", ["8 N/mm +- 1", "60 N/mm +- 20", "150 N/mm +- 40"])
def test_the_tightest_strand_balances_the_load(stiffness):
    """The strands' tensions, each from its own length, add up to the measuring load."""
    plan = plan_of(RIDGE, {"bench.post_stiffness": stiffness})
    model, q = prepared_of(plan.job).model, at_mean(plan.parameters)
    skein = model.wound(q, settings_of(plan).posts)
    count, load = model.line.strand_count, model.line.measuring_load
    shortest = 1.0 - 0.5 * float(skein.spread[0])
    tight = plan.winding.tightest * load / count
    drawn = shortest * (1.0 + tight / float(q["stiffness"][0]))
    natural = [1.0 + float(skein.spread[0]) * (0.5 - i / (count - 1)) for i in range(count)]
    pulls = [float(q["stiffness"][0]) * max(drawn / n - 1.0, 0.0) for n in natural]
    assert sum(pulls) == pytest.approx(load, rel=1e-6)


def test_hard_posts_leave_strands_even():
    """The less the posts give, the nearer the tightest strand is to the mean."""
    tightest = [
        plan_of(RIDGE, {"bench.post_stiffness": f"{k} N/mm +- 1"}).winding.tightest
        for k in (20, 150, 100000)
    ]
    assert tightest == sorted(tightest, reverse=True)
    assert tightest[-1] == pytest.approx(1.0, abs=0.01)


def test_equal_colours_are_weighed_against_each_other():
    """Mass per length is not known well enough for one spool; two of equal strands cancel it."""
    said = with_colours(12, 12).weighing
    assert "mass per length is known to 13 %" in said
    assert "Weigh both spools: a difference of 4.7 gr is one strand" in said


def test_unequal_colours_weigh_some_lengths_first():
    """Where two spools cannot be compared, a few weighed lengths tell the mass per length."""
    winding = with_colours(10, 14)
    assert "strands' lengths first" in winding.weighing
    assert "both spools" not in winding.weighing


def test_a_coarse_scale_is_named_as_the_limit():
    """A kitchen scale cannot show a strand however it is used; the advice names one that does."""
    said = with_colours(12, 12, **{"bench.scale_reads": "1 g"}).weighing
    assert said.startswith("This scale is too coarse")
    assert "steps of 15 gr" in said
    finer = float(said.split("reads to ")[1].split()[0])
    again = with_colours(12, 12, **{"bench.scale_reads": f"{finer} gr"}).weighing
    assert "too coarse" not in again


def test_few_strands_are_simply_weighed():
    """Where every spool's own mass tells one strand, that is all the advice."""
    winding = with_colours(*[2] * 12)
    assert all(r.scale_finds_missing for r in winding.runs)
    assert winding.weighing.startswith("Weigh each spool before and after")


def test_tails_are_judged_by_the_highest_load():
    """A bow that loads the line more asks for a longer tail."""
    low, high = (
        plan_of(RIDGE, {"bow.loads.release": f"{f} lbf"}).winding.tail_hold.value
        for f in (600, 1200)
    )
    assert high == pytest.approx(2.0 * low, rel=0.01)


def test_a_line_without_servings_ties_its_tails():
    """Where there is no serving to bury them, tails are tied off."""
    plan = plan_of(RIDGE, {"line.servings": [], "original.shorthand": None})
    assert "tie off" in plan.winding.tail_place
    assert plan.winding.tail_cut > 0.0


@pytest.mark.parametrize("name", WOUND_NAMES)
def test_posts_come_together(name):
    """Wound, the posts stand nearer by the skein's pull over their stiffness."""
    plan = example_plan(name)
    winding = plan.winding
    assert winding.after_winding.value < winding.posts_outside.value
    give = winding.posts_outside.value - winding.after_winding.value
    stiffness = plan.parameters.value("post_stiffness")
    # Both are means of a skewed quantity; their product is so to a few per cent.
    assert give == pytest.approx(winding.load.value / stiffness, rel=0.2)
    assert winding.posts_centres.value == pytest.approx(winding.posts_outside.value - INCH / 2.0)


def test_unequal_posts_have_their_own_centres():
    """Between centres, half of each post comes off."""
    plan = plan_of(RIDGE, {"bench.far_post": "1 in"})
    apart = plan.winding.posts_outside.value - plan.winding.posts_centres.value
    assert apart == pytest.approx(0.75 * INCH)


def test_hard_posts_leave_no_strand_slack():
    """Posts that do not give keep every strand tight; soft ones let the first ones hang."""
    hard = plan_of(RIDGE, {"bench.post_stiffness": "100000 N/mm +- 10"}).winding
    soft = plan_of(RIDGE, {"bench.post_stiffness": "8 N/mm +- 1"}).winding
    assert hard.slack_passes == 0
    assert hard.load.value == pytest.approx(24 * 5.0 * LBF, rel=0.08)
    assert soft.slack_passes > 0
    assert soft.load.value < hard.load.value


def test_a_beam_too_short_for_the_stretch_is_refused():
    """A beam that holds the line at the measuring load but not at the stretch is refused."""
    with pytest.raises(LimitError, match="the stretched line") as caught:
        plan_of(RIDGE, {"bench.longest": "57 5/16 in"})
    assert caught.value.field == "bench.longest"


def test_posts_that_cannot_close_to_the_line_are_refused():
    """A beam whose posts stay further apart than the finished line is refused."""
    with pytest.raises(LimitError, match="the finished line") as caught:
        plan_of(RIDGE, {"bench.shortest": "57 1/2 in"})
    assert caught.value.field == "bench.shortest"


def test_model_agrees_with_what_the_technician_counts():
    """The physics winds as many strands as the plan has passes."""
    plan = example_plan(RIDGE)
    model: LineModel = prepared_of(plan.job).model
    assert model.line.strand_count == plan.winding.passes
