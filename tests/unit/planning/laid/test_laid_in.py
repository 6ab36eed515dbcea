"""Laid-in lines: the cut list, the lay by hand, the second loop's marks, the hold, the steps."""

from __future__ import annotations

import json
import math
from functools import cache

import numpy as np
import pytest

from sample_job import example_plan, plan_of
from strandwright.fibre.laid.by_hand import balanced_by_hand, hand_rate_for
from strandwright.fibre.laid.lay import lay_at
from strandwright.planning import cautions
from strandwright.planning.four_posts.picture import arms_pictures
from strandwright.planning.laid.across import laid_across, nesting_of
from strandwright.planning.laid.cutting import cuts_of_run
from strandwright.planning.laid.data import laid_data
from strandwright.planning.laid.ends import Paths
from strandwright.planning.laid.ropes import Ropes
from strandwright.planning.laid.sharing_out import bundle_sizes, share_out
from strandwright.planning.picture import strip_picture
from strandwright.planning.prepare import prepare
from strandwright.planning.result import Plan, Step
from strandwright.planning.result.laid import LaidIn
from strandwright.units import INCH
from strandwright.workshop.makings import LaidIn as LaidInSpec

HEATH = "heath-string"


@cache
def changed(**changes: object) -> Plan:
    """The heath string with entries of the job changed, ``__`` for the dots of their places."""
    return plan_of(HEATH, {name.replace("__", "."): value for name, value in changes.items()})


def laid_in(plan: Plan) -> LaidIn:
    """How a plan is laid in; there it has to be."""
    assert plan.laid is not None
    return plan.laid


def paths_of(plan: Plan) -> Paths:
    """The lengths of bundle of a plan."""
    prepared = prepare(plan.job, plan.target.length.value, plan.parameters)
    return Paths(Ropes(prepared), plan.chosen)


def test_strands_are_shared_out_evenly_and_colours_stay_together() -> None:
    """14 are 7 and 7, 15 are 7 and 8, 16 in three 5, 5 and 6; colours split as little as can be."""
    assert bundle_sizes(14, 2) == (7, 7)
    assert bundle_sizes(15, 2) == (7, 8)
    assert bundle_sizes(16, 3) == (5, 5, 6)
    shares = share_out([("moss", "#5C6B3C", 8), ("oat", "#D9C79A", 7)], 2)
    assert [(s.bundle, s.name, s.strands, s.alone) for s in shares] == [
        (1, "moss", 8, True),
        (2, "oat", 7, True),
    ]
    split = share_out([("moss", "#5C6B3C", 10), ("oat", "#D9C79A", 4)], 2)
    assert [(s.bundle, s.name, s.strands) for s in split] == [
        (1, "moss", 7),
        (2, "moss", 3),
        (2, "oat", 4),
    ]


def test_the_longest_strand_is_the_sum_of_its_parts() -> None:
    """Body and, at a lay angle, one over the cosine of it of tails, loops and married parts."""
    plan = example_plan(HEATH)
    paths, laid = paths_of(plan), laid_in(plan)
    secant = 1.0 / math.cos(math.radians(20.0))
    line = paths.ropes.prepared.model.line
    rounds = line.zero.perimeter + line.far.perimeter
    married = 2.0 * 5.0 * INCH
    by_hand = paths.body + (secant - 1.0) * married + secant * (rounds + married)
    assert laid.cut.needed.value == pytest.approx(by_hand, rel=1e-12)
    most = laid.cut.needed.value + laid.cut.needed.u95
    assert most <= laid.cut.longest < most + 0.5 * INCH
    zero, far = laid.ends
    assert zero.tail == far.tail
    whole = sum(e.tail + e.loop + e.standing for e in laid.ends)
    assert whole + paths.body - married == pytest.approx(laid.cut.longest, rel=1e-12)


def test_the_cut_is_near_common_practice() -> None:
    """Common practice, no source: bow length and about 10 in, married 4 to 6 in."""
    laid = laid_in(example_plan(HEATH))
    assert abs(laid.cut.needed.value - (68.0 + 10.0) * INCH) < 4.0 * INCH
    assert not any(one.far_off for one in laid.cut.sums)
    assert 4.0 * INCH <= laid.hold.married <= 6.0 * INCH
    far = laid_in(changed(bow__bow_length="60 in"))
    assert [one.far_off for one in far.cut.sums] == [True, False]


def test_tails_fade_out_step_by_step_at_both_ends() -> None:
    """A stepped board takes a step off either end; between two nails all are of a length."""
    stepped = laid_in(example_plan(HEATH)).cut
    assert np.diff(stepped.bundles[0].lengths) == pytest.approx(-0.75 * INCH)
    assert stepped.taper == pytest.approx(6 * 0.375 * INCH)
    nails = laid_in(changed(line__laid__board="two nails")).cut
    assert set(nails.bundles[0].lengths) == {stepped.longest - stepped.taper}
    assert nails.fibre == pytest.approx(stepped.fibre, rel=1e-12)


def test_the_line_weighs_what_the_spools_lose() -> None:
    """Strands laid in whole: cut length, mass per length and wax, to what stretch and lay move."""
    plan = example_plan(HEATH)
    cut = laid_in(plan).cut
    assert cut.mass.value == pytest.approx(sum(r.mass.value for r in plan.winding.runs))
    threads = sum(s.mass.value for s in plan.servings)
    needed = cut.mass.value * cut.needed.value / cut.longest
    assert plan.mass.value - threads == pytest.approx(needed, rel=0.06)
    assert sum(r.strands for r in plan.winding.runs) == plan.winding.strands == 14


def test_turns_by_hand_come_to_the_angle_asked_for() -> None:
    """The balanced lay of the turns found stands at the angle, and of the other hand."""
    ropes = paths_of(example_plan(HEATH)).ropes
    for strands in (ropes.strands, ropes.thick):
        bundles = ropes.bundles(strands)
        rate = hand_rate_for(60.0, math.radians(20.0), bundles)
        span = balanced_by_hand(60.0, rate, bundles).value
        assert rate < 0.0 < float(span.lay_turns[0])
        assert math.degrees(float(span.touch.angle[0])) == pytest.approx(20.0, abs=0.1)


def test_a_helix_of_an_angle_is_as_long_as_its_secant() -> None:
    """Measured point by point along the helix itself."""
    lay = lay_at(0.9e-3, math.radians(20.0), 2, 0.84)
    along = np.linspace(0.0, float(lay.pitch), 20001)
    turn, out = 2.0 * np.pi * along / float(lay.pitch), float(lay.helix_radius)
    points = np.stack([out * np.cos(turn), out * np.sin(turn), along])
    measured = np.linalg.norm(np.diff(points, axis=1), axis=0).sum() / float(lay.pitch)
    assert measured == pytest.approx(1.0 / math.cos(math.radians(20.0)), rel=1e-6)
    assert float(lay.path) == pytest.approx(measured, rel=1e-6)


def test_mirrored_hands_change_nothing_but_the_letters() -> None:
    """A string laid the other way is cut, laid and held alike."""
    one, other = laid_in(example_plan(HEATH)), laid_in(changed(makeup__hand="S"))
    assert (one.hand, one.by_hand) == ("Z", "S")
    assert (other.hand, other.by_hand) == ("S", "Z")
    assert other.cut == one.cut
    assert other.loop == one.loop
    assert other.hold == one.hold


def test_three_bundles_lie_further_out_and_take_more_turns_by_hand() -> None:
    """The strands of a third bundle leave thinner bundles, turned more for the same angle."""
    two, three = laid_in(example_plan(HEATH)), laid_in(changed(line__laid__bundles=3))
    assert [b.strands for b in three.cut.bundles] == [4, 5, 5]
    assert three.loop.by_hand > two.loop.by_hand
    assert three.loop.angle == pytest.approx(two.loop.angle, abs=math.radians(1.5))


def test_with_hardly_any_lay_the_body_is_that_of_an_endless_string() -> None:
    """As little as may be asked: the strand from throat to throat, and next to nothing more."""
    plan = changed(line__laid__angle=5.0, line__laid__married="1 in")
    laid, paths = laid_in(plan), paths_of(plan)
    straight = paths.body + sum(paths.rounds) + 2.0 * laid.hold.married
    assert straight < laid.cut.needed.value < straight / math.cos(math.radians(5.0))
    model, q = paths.ropes.prepared.model, paths.ropes.q
    pull = float(q["drag"][0]) * 14.0
    line = model.line
    zero, far = laid.ends
    between = plan.chosen.settings.posts - zero.throat - far.throat
    strain = float(model.strain(q, np.array([pull]))[0])
    assert paths.body * (1.0 + strain) == pytest.approx(between, abs=2e-3)
    assert line.strand_count == 14


def test_the_second_loop_lies_where_it_fits_the_pegs() -> None:
    """Throat at the far peg less the loop, once the lay has taken up its part."""
    plan = example_plan(HEATH)
    laid = laid_in(plan)
    far, marks = laid.ends[1], laid.marks
    laid_throat = marks.throat.value - (far.standing - far.married)
    assert laid_throat == pytest.approx(plan.chosen.settings.posts - far.throat, rel=1e-12)
    assert marks.begin.value - marks.fold.value == pytest.approx(0.5 * far.loop)
    assert marks.throat.value - marks.body_ends.value == pytest.approx(far.standing)
    assert marks.quarter == pytest.approx(0.25 * INCH, rel=0.03)
    assert marks.turns == pytest.approx(marks.quarter / -plan.twist.next_turn.value)


def test_a_married_part_too_short_for_its_fibre_is_warned_of() -> None:
    """Slippery polyethylene wants more than polyester; the shorter it is, the less it holds."""
    good = laid_in(example_plan(HEATH))
    fibre = {"makeup__strand": "hmpe-lcp", "bow__old_or_wooden": False}
    slippery = changed(line__laid__married="3 in", **fibre)
    hold = laid_in(slippery).hold
    assert good.hold.is_enough
    assert hold.needed > 1.5 * good.hold.needed
    assert not hold.is_enough
    assert any("shorter than friction" in said for said in slippery.warnings)
    assert hold.with_turns < hold.needed
    shorter = laid_in(changed(line__laid__married="3 in")).hold
    assert shorter.factor < good.hold.factor


def test_a_tail_that_fades_out_into_the_loop_is_warned_of() -> None:
    """Seven strands an inch apart need more than the married part has."""
    coarse = changed(line__laid__step="1 in")
    assert any("reaches the loop" in said for said in coarse.warnings)
    assert not any("reaches the loop" in said for said in example_plan(HEATH).warnings)


def step_of(plan: Plan, which: str) -> Step:
    """A step by its identity."""
    return next(step for step in plan.steps if step.id == which)


def said(step: Step) -> str:
    """Everything a step tells."""
    return " ".join((step.title, step.headline, *step.lines))


def test_steps_lead_from_the_board_to_the_tag() -> None:
    """One act each; the bodies are untwisted before the second loop; no skein is spoken of."""
    for order in ("serve, then twist", "twist, stretch, then serve"):
        steps = changed(route__order=order).steps
        ids = [step.id for step in steps]
        start = ["posts", "wind-1", "wind-2", "wax", "lay-zero", "marry-zero", "untwist"]
        assert ids[: len(start)] == start
        assert ids[len(start) : len(start) + 4] == ["lay-far", "marry-far", "first-pull", "even"]
        assert "tag" in ids
        closing = {"shift", "slide-out", "serve-loops", "loops", "hang"}
        assert not closing & set(ids)
        for word in ("skein", "rounds", "shift"):
            assert not any(word in said(step) for step in steps), (order, word)


def test_a_new_splice_is_pulled_in_two_stages_and_rests_before_it_is_read() -> None:
    """A quarter of the measuring load and a look first; the caution at both."""
    plan = example_plan(HEATH)
    light, full = step_of(plan, "first-pull"), step_of(plan, "even")
    assert (light.headline, full.headline) == ("25 lbf", "100 lbf")
    for step in (light, full):
        assert step.caution.startswith(cautions.FIRST_LOAD)
        assert cautions.MARRIED in step.caution
    assert plan.steps[plan.steps.index(full) + 1].id == "read-bare"
    assert "rest" in full.lines[-1]


def test_the_second_loop_has_its_mark_from_the_first_peg_alone() -> None:
    """No mark from the tail's end, which the cut leaves somewhere in its +-."""
    plan = example_plan(HEATH)
    assert step_of(plan, "lay-zero").headline.endswith("from the end")
    second = step_of(plan, "lay-far")
    assert second.headline.endswith("from the first peg")
    assert "from the end" not in said(second)
    assert "mark one end alone" in said(step_of(plan, "wax"))
    assert {key: len(drawn) for key, drawn in arms_pictures(plan, "light").items()} == {
        "lay-zero": 1,
        "lay-far": 1,
    }


def test_no_fewer_turns_are_told_than_keep_the_bundles_together() -> None:
    """Practice's least rate over the body, and what to do where a reading asks for fewer."""
    plan = example_plan(HEATH)
    laid = laid_in(plan)
    body = paths_of(plan).ropes.prepared.model.twisting_length
    assert laid.fewest == pytest.approx(0.5 / INCH * body, abs=0.5)
    assert plan.twist.turns_low < laid.fewest < plan.twist.turns
    told = step_of(plan, "twist-full").lines
    assert f"more than part way; between {laid.fewest:.0f} and " in told[0]
    assert "lay the second loop anew" in told[1]
    few = changed(route__wound_at="63 in")
    assert few.twist.turns < laid.fewest
    assert any("gaping" in line for line in few.warnings)
    assert not any("gaping" in line for line in plan.warnings)


def test_a_laid_loop_is_as_thick_as_its_bundles_about_each_other() -> None:
    """Not as one round bundle of them all: 1.3 times as thick for two, nested half way."""
    plan = example_plan(HEATH)
    line = paths_of(plan).ropes.prepared.model.line
    assert line.zero.leg_thickness == pytest.approx(laid_in(plan).loop.diameter.value, rel=0.02)
    assert line.zero.leg_thickness == pytest.approx(1.3 * plan.bare_diameter.value, rel=0.02)
    nested = math.sqrt(1.2 - 0.5)
    assert nesting_of(1.2, 2) == pytest.approx(nested)
    two = LaidInSpec(bundles=2)
    assert laid_across(two) == pytest.approx((1.0 + nested) / math.sqrt(2.0))


def test_arms_of_the_bench_are_told_to_be_left_in_line() -> None:
    """Named with their field and why: no loop of such a line is a stretch of one whole skein."""
    told = said(step_of(changed(bench__arms__between="5 in"), "posts"))
    assert "bench.arms, 5 in: not used" in told
    assert "bench.arms" not in said(step_of(example_plan(HEATH), "posts"))


def test_a_plan_tells_other_programs_how_it_is_laid_in() -> None:
    """Every number of it is plain JSON; wound lines have none."""
    plan = example_plan(HEATH)
    data = laid_data(plan)
    assert data is not None
    assert data == json.loads(json.dumps(data, allow_nan=False))
    laid = laid_in(plan)
    assert data["cut"]["longest_m"] == laid.cut.longest
    assert [b["strands"] for b in data["cut"]["bundles"]] == [7, 7]
    assert data["second_loop"]["begin_m"] == laid.marks.begin.value
    assert data["fewest_turns"] == laid.fewest
    assert laid_data(example_plan("mere-string")) is None


def test_a_bundle_of_two_colours_is_cut_in_two_runs() -> None:
    """Each colour has its spool; the steps say of which bundle it is."""
    colours = [
        {"name": "moss", "colour": "#5C6B3C", "strands": 10},
        {"name": "oat", "colour": "#D9C79A", "strands": 4},
    ]
    plan = plan_of(HEATH, {"makeup.colours": colours})
    cuts = [step for step in plan.steps if step.key == "wind"]
    assert [step.title for step in cuts] == [
        "Cut bundle 1",
        "Cut bundle 2: moss",
        "Cut bundle 2: oat",
    ]
    assert [step.run for step in cuts] == [0, 1, 2]
    assert [run.strands for run in plan.winding.runs] == [7, 3, 4]
    whole = laid_in(plan).cut.bundles[1].lengths
    assert (*cuts_of_run(plan, 1), *cuts_of_run(plan, 2)) == whole
    assert cuts_of_run(example_plan("mere-string"), 0) == ()


def test_the_strip_shows_bundles_and_thicker_married_ends() -> None:
    """Strands lie in two heaps; turns rise faster and the line is thicker in the married ends."""
    plan = example_plan(HEATH)
    picture = strip_picture(plan)
    heights = np.array([strand.y for strand in picture.strands])
    assert (heights[:7] > 0.0).all()
    assert (heights[7:] < 0.0).all()
    bare = [span for span in picture.spans if span.served is None]
    rates = [(s.turns_at_stop - s.turns_at_start) / (s.stop - s.start) for s in bare]
    assert bare[0].diameter > bare[1].diameter
    assert rates[0] > 2.0 * rates[1]
    assert picture.zero_eye is not None
    assert picture.zero_eye.laid == ("#5C6B3C", "#D9C79A")
