"""Loops on swinging arms: the swing, the marks, the steps, and what is refused."""

from __future__ import annotations

import re
from functools import cache

import numpy as np
import pytest

from sample_job import INCH, LBF, MERE, ORDERS, RIDGE, model_of, plan_of
from strandwright.errors import GeometryError, LimitError, SpecError
from strandwright.geometry.swung_arms import SQUARE, swung_length
from strandwright.line.swung_loop import Place
from strandwright.planning import cautions
from strandwright.planning.four_posts.picture import arms_pictures
from strandwright.planning.prepare import at_mean

TO_THE_MARKS = ["swing", "slide-tails", "pull-square", "mark-zero", "mark-far"]
BY_HALVES = ["slide-first", "loop-zero", "loop-far", "slide-other", "loop-zero-2", "loop-far-2"]
BACK = ["level", "pull-level", "legs-zero", "legs-far"]
#: Steps on short arms, where a loop is served by halves; the inner posts come out where they must
ON_ARMS = [*TO_THE_MARKS, *BY_HALVES, "swing-back", *BACK]
ON_POSTS = ["slide-out", "serve-loops", "loops"]


@cache
def on_arms(order=ORDERS[0], between="4 1/2 in", pivot=None, post=None, units="in"):
    """Plan the mere string on arms."""
    arms = {"between": between, "pivot": pivot, "post": post}
    told = {key: value for key, value in arms.items() if value is not None}
    changes = {"bench.arms": told, "route.order": order, "paper.units": units}
    return plan_of(MERE, changes)


def step(plan, which):
    """Give a step by its identity."""
    return next(s for s in plan.steps if s.id == which)


def test_a_jig_of_two_posts_has_no_arms():
    """Nothing of it where the bench says nothing of arms."""
    plan = plan_of(MERE)
    assert plan.four_posts is None
    assert arms_pictures(plan, "light") == {}
    ids = [s.id for s in plan.steps]
    assert not {*ON_ARMS, "posts-out"} & set(ids)
    first = ids.index(ON_POSTS[0])
    assert ids[first : first + 3] == ON_POSTS


@pytest.mark.parametrize("order", ORDERS)
def test_the_arms_take_the_place_of_the_loops_step(order):
    """In every order of work, where two posts would have their loops served and closed."""
    two = [s.id for s in plan_of(MERE, {"route.order": order}).steps]
    four = [s.id for s in on_arms(order).steps]
    at, inner = two.index(ON_POSTS[0]), [] if order != ORDERS[0] else ["posts-out"]
    on_arms_now = [*TO_THE_MARKS, *BY_HALVES, "swing-back", *inner, *BACK, "hang"]
    assert two[:at] == four[:at]
    assert four[at : at + len(on_arms_now)] == on_arms_now
    assert two[at + len(ON_POSTS) :] == four[at + len(on_arms_now) :]
    assert len(set(four)) == len(four)


@pytest.mark.parametrize("order", ORDERS)
def test_arms_leave_every_number_of_the_line_as_it_was(order):
    """A line made on four posts is the same endless loop once its loops are closed."""
    two, four = plan_of(MERE, {"route.order": order}), on_arms(order)
    assert two.winding == four.winding
    assert two.twist == four.twist
    assert two.stages == four.stages
    assert two.servings == four.servings


def test_the_swing_keeps_the_skein_where_arms_turn_about_their_middles():
    """The beam stays; at a low load both arms together keep it, one after the other raises it."""
    swing = on_arms().four_posts.swing
    assert swing.load == pytest.approx(25.0 * LBF)
    assert swing.let_in == pytest.approx(0.0, abs=1e-9)
    assert swing.together == pytest.approx(swing.load, rel=1e-6)
    assert swing.moment == pytest.approx(0.0, abs=1e-4)
    # An arm's square over four times the distance, by the skein's stiffness.
    plan = on_arms()
    q = at_mean(plan.parameters)
    model = model_of(plan)
    belt = 2.0 * plan.stage("bare").length.value
    slope = LBF / (float(model.strain(q, np.array([26.0 * LBF]))[0])
                   - float(model.strain(q, np.array([25.0 * LBF]))[0]))  # fmt: skip
    rise = slope * (4.5 * INCH) ** 2 / (2.0 * belt) / belt
    assert swing.apart - swing.load == pytest.approx(rise, rel=0.05)


@pytest.mark.parametrize(("pivot", "by_hand"), [("40 %", 0.9), ("50 %", 0.0), ("60 %", -0.9)])
def test_a_pivot_off_the_middle_moves_the_beam(pivot, by_hand):
    """By s (1 - 2p): nearer where the pivot lies towards the outer post."""
    assert on_arms(pivot=pivot).four_posts.swing.let_in == pytest.approx(by_hand * INCH, abs=1e-9)


def test_a_held_beam_is_cautioned_where_it_hurts():
    """At 40 % of a 4 1/2 in arm it would come to several times what the strap is rated for."""
    plan = on_arms(pivot="40 %")
    swing, said = plan.four_posts.swing, step(plan, "swing")
    assert swing.held > 400.0 * LBF > swing.apart
    assert "Let the beam in first" in said.caution
    assert "let the beam in by 29/32 in" in " ".join(said.lines)
    assert "back into line" in " ".join(said.lines)
    slack = step(on_arms(pivot="60 %"), "swing")
    assert "take the beam out by 29/32 in" in " ".join(slack.lines)
    assert slack.caution == cautions.SWING


def test_square_the_tape_reads_what_the_belt_needs():
    """At the serving load the four posts stand so that their hull is the skein's length."""
    four = on_arms(pivot="35 %", post="3/8 in").four_posts
    faces = 0.5 * sum(max(pair) for pair in four.posts)
    belt = float(swung_length(four.arms, four.swing.square - faces, SQUARE, SQUARE))
    marks = 2.0 * four.between_marks + sum(loop.served for loop in four.loops)
    assert belt == pytest.approx(marks, rel=1e-12)


@pytest.mark.parametrize("order", ORDERS)
def test_a_loop_is_marked_as_long_as_it_will_be(order):
    """By the strain between the measuring and the serving load, less what is to come."""
    plan = on_arms(order)
    q, model = at_mean(plan.parameters), model_of(plan)
    measure, serve = (
        1.0 + float(model.strain(q, np.array([load]))[0])
        for load in (plan.target.measuring_load, plan.loads.serve)
    )
    for loop, told in zip(plan.four_posts.loops, plan.loops, strict=True):
        elastic = told.served_length * serve / measure
        # Bedding-in and creep after the loops are made lengthen them, never the other way.
        assert 0.994 * elastic < loop.served <= elastic * (1.0 + 1e-12)
        if order == ORDERS[0]:
            # Nothing is to come: they are stretched before and no turn goes through them.
            assert loop.served == pytest.approx(elastic, rel=1e-5)


def test_marks_go_round_the_corner_of_short_arms():
    """Past the posts on 4 1/2 in arms, on the short side of 8 in ones; where the halves come to."""
    short, long = on_arms(), on_arms(between="8 in")
    assert [loop.marks[0].place for loop in short.four_posts.loops] == [Place.LONG, Place.POST]
    assert {loop.marks[0].place for loop in long.four_posts.loops} == {Place.SHORT}
    for loop in short.four_posts.loops:
        assert loop.reach > 0.0
        corner = loop.side.outer
        spot = corner.spot(0.5 * loop.served)
        assert spot == loop.marks[0]
    upper, wide = short.four_posts.loops[0], long.four_posts.loops[0]
    assert step(short, "mark-zero").headline == "21/32 in past both posts"
    assert upper.marks[0].distance == pytest.approx(
        0.5 * upper.served - 2.25 * INCH - upper.side.outer.arc + 0.25 * INCH
    )
    assert wide.reach == 0.0
    assert wide.marks[0].distance == pytest.approx(0.5 * wide.served)


def test_thread_goes_past_both_marks():
    """Half an inch more than the loop itself, wraps in the same proportion."""
    plan = on_arms()
    for loop, told in zip(plan.four_posts.loops, plan.loops, strict=True):
        longer = (loop.served + 0.5 * INCH) / told.served_length
        assert loop.wraps == pytest.approx(told.wraps * longer)
        assert loop.thread_length == pytest.approx(told.thread_length * longer)


def test_what_is_served_first_is_not_served_again():
    """Served before the twist the legs are the end servings; after it they are only bound."""
    first, last = on_arms(ORDERS[0]), on_arms(ORDERS[2])
    assert first.four_posts.on_already == {"upper loop", "lower loop"}
    rows = " ".join(step(first, "serve").lines)
    assert "centre: " in rows
    assert "upper loop" not in rows
    assert step(first, "legs-zero").title == "Serve both legs down: upper limb"
    assert last.four_posts.on_already == frozenset()
    assert "upper loop: " in " ".join(step(last, "serve").lines)
    assert step(last, "legs-zero").title == "Bind both legs: upper limb"
    bound = last.four_posts.loops[0].legs
    assert bound.stop - bound.start == pytest.approx(0.5 * INCH)


def test_legs_run_from_the_throat_to_the_end_servings_edge():
    """As long as the plan has that serving on the untwisted line."""
    plan = on_arms()
    edges = plan.stage("marking").edges
    zero, far = plan.four_posts.loops
    served = {s.name: s for s in plan.servings}
    upper, lower = served["upper loop"], served["lower loop"]
    assert zero.legs.stop - zero.legs.start == pytest.approx(upper.now_stop - edges[0].value)
    assert far.legs.stop - far.legs.start == pytest.approx(edges[-1].value - lower.now_start)
    assert not zero.legs.clear_of_inner
    assert "posts-out" in [s.id for s in plan.steps]
    assert "posts-out" not in [s.id for s in on_arms(ORDERS[2]).steps]


def test_the_ends_lie_level_where_the_skein_will_have_its_throats():
    """The model's own throats of the bare skein, at the load it is read at."""
    plan = on_arms()
    four, stage = plan.four_posts, plan.stage("bare")
    for loop, edge in zip(
        four.loops, (stage.edges[0].value, stage.length.value - stage.edges[-1].value), strict=True
    ):
        # Read at the measuring load, served at a higher one: half the loop's strain apart.
        assert loop.legs.start == pytest.approx(edge, abs=5e-4)


def test_tails_lie_beyond_both_loops():
    """Under the leg serving where there is one, never at a loop's crown where there is none."""
    plan = on_arms()
    four = plan.four_posts
    assert four.tails_from_middle >= max(0.5 * loop.served for loop in four.loops)
    bare = plan_of(MERE, {"bench.arms": {"between": "5 in"}, "line.servings": []})
    most = max(0.5 * loop.served for loop in bare.four_posts.loops)
    assert bare.winding.shift == 0.0
    assert bare.four_posts.tails_from_middle == pytest.approx(most + 0.25 * INCH)


def test_a_mark_off_its_place_is_told_in_load():
    """A thirty-second off over a body of so many thousandths of strain, by hand."""
    plan = on_arms()
    q, model = at_mean(plan.parameters), model_of(plan)
    strain = float(model.strain(q, np.array([plan.target.measuring_load]))[0])
    body = plan.four_posts.between_marks
    for loop in plan.four_posts.loops:
        assert loop.uneven == pytest.approx(INCH / 32.0 / (body * strain))
        assert loop.off_allowed == pytest.approx(0.1 * body * strain)


def test_a_bare_loop_is_marked_and_not_served():
    """No thread, no wraps; the step says so."""
    plan = plan_of(MERE, {"bench.arms": {"between": "5 in"}, "line.zero_end.thread": None})
    loop, ids = plan.four_posts.loops[0], [s.id for s in plan.steps]
    assert (loop.thread, loop.wraps) == ("", 0.0)
    assert step(plan, "mark-zero").title == "Mark the loop: upper limb"
    assert "loop-zero" not in ids
    assert "loop-far" in ids


def test_the_smallest_loop_over_the_peg_passes_and_a_smaller_one_does_not():
    """By the check of fits itself."""
    least = (on_arms().four_posts.loops[0].least_size or 0.0) / INCH
    for size, verdict in ((least + 0.01, "fits"), (least - 0.01, "tight")):
        changes = {"line.zero_end.size": f"{size:.4f} in", "bow.pegs.0.diameter": "7/16 in"}
        fits = plan_of(MERE, changes).fits
        assert next(f.verdict for f in fits if "upper limb" in f.what) == verdict


@pytest.mark.parametrize(
    ("arms", "error", "field", "rule"),
    [
        ({"between": "3 in"}, GeometryError, "bench.arms.between", "3 in, lies free"),
        ({"between": "5 in", "post": "3/4 in"}, SpecError, "bench.arms.post", "outer post, 1/2 in"),
        ({"between": "22 in"}, LimitError, "bench.arms.between", "rating, 400 lbf"),
        ({"between": "30 in"}, LimitError, "bench.arms.between", "between 1/2 in and 24 in"),
        ({"between": "5 in", "pivot": "140 %"}, LimitError, "bench.arms.pivot", "100 %"),
    ],
)
def test_arms_that_cannot_be_meant_are_refused(arms, error, field, rule):
    """Field, value, rule and remedy."""
    with pytest.raises(error) as refused:
        plan_of(MERE, {"bench.arms": arms})
    assert refused.value.field == field
    assert refused.value.given == arms[field.rsplit(".", maxsplit=1)[-1]]
    assert rule in refused.value.rule
    assert refused.value.remedy


def test_arms_longer_than_a_short_line_are_refused():
    """The inner posts would meet in line."""
    changes = {"bench.arms": {"between": "20 in", "pivot": "20 %"}, "bench.rating": "unknown"}
    short = {"line.finished": "34 in", "line.shorthand": "34: 0-7, 7-0", "original": {}}
    servings = [
        {"name": "upper", "use": "loop", "thread": "braid-018"},
        {"name": "lower", "use": "loop", "thread": "braid-018"},
    ]
    with pytest.raises(GeometryError, match="inner posts stay clear"):
        plan_of(MERE, changes | short | {"line.servings": servings, "line.marks": []})


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("pivot", ["30 %", "50 %", "70 %"])
def test_steps_speak_the_jobs_units(order, pivot):
    """No inch in a job of millimetres, no millimetre in one of inches."""
    metric = on_arms(order, pivot=pivot, units="mm")
    inches = on_arms(order, pivot=pivot)
    for plan, foreign in ((metric, r"\d\s*(in|lbf|ft)\b"), (inches, r"\d\s*(mm|N|N m)\b")):
        for s in plan.steps:
            if s.id in ON_ARMS:
                said = " ".join((s.title, s.headline, s.caution, *s.lines))
                assert not re.search(foreign, said), said
                assert s.caution


def test_two_colours_and_small_loops_go_on_the_same_arms():
    """A two-cam string whose loops lie on the short side."""
    plan = plan_of(RIDGE, {"bench.arms": {"between": "4 in"}})
    assert {loop.marks[0].place for loop in plan.four_posts.loops} == {Place.SHORT}
    assert not any(loop.reach for loop in plan.four_posts.loops)
    drawn = {"swing", "mark", "loop", "level", "legs"}
    shown = {s.id for s in plan.steps if s.key in drawn} - {"swing-back"}
    assert set(arms_pictures(plan, "dark")) == shown
    whole = [s.id for s in plan.steps if s.key == "loop"]
    assert whole == ["loop-zero", "loop-far"]


def test_a_skein_is_slid_and_arms_are_swung_at_a_small_pull_alone():
    """Each slide tells it; what is served stands at the serving load, the pull locked."""
    plan = on_arms()
    for which in ("slide-tails", "slide-first", "slide-other"):
        assert "let down to 25 lbf, no more" in " ".join(step(plan, which).lines)
        assert step(plan, which).caution == cautions.SLIDING
    for which in ("swing", "swing-back", "level"):
        assert step(plan, which).headline == "at 25 lbf"
    for which in ("swing", "swing-back"):
        assert step(plan, which).caution.endswith(cautions.SWING)
    assert step(plan, "level").caution == cautions.SLIDING
    for s in plan.steps:
        if s.key in ("mark", "loop", "legs"):
            assert s.caution == cautions.AT_THE_LINE
    assert {step(plan, p).headline for p in ("pull-square", "pull-level")} == {"150 lbf"}


def test_half_a_loop_comes_free_by_the_slide():
    """Its mark and a quarter inch beyond come off the post; its middle stays off the other."""
    four = on_arms().four_posts
    for loop in four.loops:
        corner = loop.side.outer
        post = 0.5 * max(four.posts[loop.far])
        beyond = 0.5 * loop.served + 0.25 * INCH - four.slide
        assert beyond <= corner.straight - post + 1e-9
        assert four.slide <= corner.straight - post


def test_where_loops_are_served_on_two_posts():
    """Out on the straight, at the serving load; slid back until the ends stand level, and bound."""
    plan = plan_of(MERE)
    serve, close = step(plan, "serve-loops"), step(plan, "loops")
    assert serve.title == "Serve the loops"
    assert serve.lines[0] == "pull to 150 lbf and lock the pull"
    assert "then pull to 150 lbf and lock the pull" in close.lines
    assert "upper limb 2 7/8 in, lower limb 2 3/8 in" in close.lines[1]
    assert close.caution == f"{cautions.SLIDING} {cautions.AT_THE_LINE}"
    assert serve.caution == cautions.AT_THE_LINE
    assert close.lines[-1] == "hang the loops on the 1/4 in pins"
    assert "let down to 25 lbf, no more" in close.lines[0]
    # Half of 6 1/8 in, what goes past its mark, the tool and a quarter round the post.
    assert step(plan, "slide-out").headline == "4 in"
    bare = plan_of(MERE, {"line.zero_end.thread": None, "line.far_end.thread": None})
    assert step(bare, "serve-loops").title == "Mark the loops"
    assert step(bare, "serve-loops").headline == "upper limb 2 7/8 in, lower limb 2 3/8 in"
    assert not any("slide" in line for line in step(bare, "loops").lines)
    assert "slide-out" not in [s.id for s in bare.steps]
