"""A plan whole: its identity, its stages, its mass, its warnings and its picture."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from sample_job import (
    EXAMPLE_NAMES,
    INCH,
    ORDERS,
    RIDGE,
    TARN,
    WOUND_NAMES,
    example_plan,
    job_of,
    laid_in,
    plan_of,
)
from strandwright.planning.plan_line import plan_id, plan_line
from strandwright.planning.strand_stock import WAX_SHARE
from strandwright.planning.take_off.target import find_target
from strandwright.reference import strand
from strandwright.workshop.job import read_job, write_job


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_the_same_job_gives_the_same_plan(name):
    """Planned again, or written to its file and read back, a job keeps its plan and its id."""
    plan, again = example_plan(name), plan_line(read_job(write_job(job_of(name))))
    assert again.id == plan.id == plan_id(plan.job)
    assert len(plan.id) == 8
    assert plan.id.isalnum()
    assert again.winding == plan.winding
    assert again.stages == plan.stages
    assert again.twist == plan.twist
    assert again.landing == plan.landing


@pytest.mark.parametrize(
    "changes",
    [
        {"makeup.twist": "0.51 per in"},
        {"customer": "somebody else"},
        {"line.finished": "57 5/16 in"},
        {"build.wound_at": "57 9/16 in"},
        {"paper.fraction": 32},
    ],
)
def test_another_job_has_another_id(changes):
    """Anything that a job says, changed, gives another id."""
    assert plan_id(job_of(RIDGE, changes)) != plan_id(job_of(RIDGE))


def test_examples_have_ids_of_their_own():
    """No two examples share an id."""
    assert len({example_plan(n).id for n in EXAMPLE_NAMES}) == len(EXAMPLE_NAMES)


def test_a_target_found_before_is_used_again():
    """Given back, the target leads to the same plan; another one to another line."""
    job = job_of(RIDGE)
    target = find_target(job)
    assert plan_line(job, target).stages == example_plan(RIDGE).stages


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_the_proof_reads_the_target(name):
    """The last stage reads the target, to half a half turn and what curvature moves the mean."""
    plan = example_plan(name)
    proof = plan.stages[-1]
    assert proof.key == "proof"
    slack = 0.6 * abs(plan.twist.next_half.value) + 0.25 * proof.length.u
    assert proof.length.value == pytest.approx(plan.target.length.value, abs=slack)
    assert proof.turns == plan.twist.turns
    assert proof.load == plan.target.measuring_load
    assert proof.pins == (plan.target.pin_diameter,) * 2


@pytest.mark.parametrize("order", ORDERS)
def test_stages_are_those_of_the_route(order):
    """Stages stand in the route's order; every length is uncertain, every edge in order."""
    plan = plan_of(RIDGE, {"route.order": order})
    assert [s.key for s in plan.stages] == [s.key for s in plan.route.stages]
    part = plan.stage("half").turns
    assert part == pytest.approx(round(2.0 * part) / 2.0)
    assert plan.twist.turns / 2.0 - 0.25 <= part <= 0.9 * plan.twist.turns + 1e-9
    # It is hardly ever past what is needed: about the low end of the 95 % of turns.
    assert part <= max(plan.twist.turns_low, plan.twist.turns / 2.0) + 1.5
    assert plan.stage("bare").turns == 0.0
    for stage in plan.stages:
        edges = [e.value for e in stage.edges]
        assert edges == sorted(edges)
        assert stage.length.u > 0.0


@pytest.mark.parametrize("name", WOUND_NAMES)
def test_mass_is_strands_wax_threads_and_what_is_tied_in(name):
    """The line weighs its skein less the tails that are cut, its servings and its peep."""
    plan = example_plan(name)
    known = strand(plan.job.makeup.strand).linear_density.value
    tails = sum(2.0 * plan.winding.tail_cut for _ in plan.winding.runs)
    wound = sum(r.thread_length for r in plan.winding.runs) - tails + laid_in(plan)
    threads = sum(s.mass.value for s in plan.servings) + sum(x.mass for x in plan.loops)
    tied = sum(m.mass.si for m in plan.job.line.marks if m.mass is not None)
    by_hand = wound * known * (1.0 + WAX_SHARE) + threads + tied
    # A stretched line carries a little less mass over the same length than the skein as wound.
    assert plan.mass.value == pytest.approx(by_hand, rel=0.02)
    if plan.arrow_mass is not None:
        assert plan.arrow_mass.value == pytest.approx(plan.mass.value / 3.0)
    assert 0.0 < plan.mass.u < 0.25 * plan.mass.value


def test_findings_are_settled_before_building():
    """A burred peg or a cracked limb stands first among the warnings with what was decided."""
    stops = [
        {"finding": "cracked limb", "where": "upper limb", "decision": "refuse"},
        {"finding": "burred peg or track"},
    ]
    warned = plan_of(RIDGE, {"original.stop": stops}).warnings
    assert warned[0] == "cracked limb at upper limb: do not fit a new line until mended"
    assert warned[1] == "burred peg or track: ask the owner before building"


def test_an_old_bow_keeps_to_polyester():
    """A low-stretch line on a wooden bow is warned of; polyester is not."""
    stiff = plan_of(TARN, {"makeup.strand": "hmpe", "makeup.strands": 14})
    assert any("can break it" in w for w in stiff.warnings)
    assert not any("can break it" in w for w in example_plan(TARN).warnings)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_a_plan_shows_itself_in_a_notebook(name):
    """The plan's picture is one well-formed drawing that names no file."""
    drawn = ET.fromstring(example_plan(name)._repr_svg_())
    assert drawn.tag.endswith("svg")
    assert len(list(drawn.iter())) > 20


def test_rest_goes_with_the_stretch():
    """A harder stretch leaves more to recover, so a soft line rests longer before its proof."""
    free = {"bench.rating": "900 lbf"}
    soft, hard = (
        plan_of(TARN, free | {"route.stretch": f"{f} lbf"}).rest for f in (100, 145)
    )
    assert 900.0 <= soft < hard


def test_a_line_rests_before_it_is_proved():
    """However little it was stretched, a quarter of an hour; nobody is asked to wait a day."""
    soft = plan_of(RIDGE, {"route.stretch": "100 lbf", "route.serve": "100 lbf"})
    assert soft.rest == 900.0
    assert all(example_plan(name).rest <= 12.0 * 3600.0 for name in EXAMPLE_NAMES)


def test_throats_lie_inside_the_line():
    """Both throats lie further in than the pins and leave most of the line between them."""
    plan = example_plan(RIDGE)
    assert all(INCH / 4.0 < t < 3.0 * INCH for t in plan.throats)


def test_posts_stand_further_apart_for_a_longer_line():
    """Asked for an inch more, the posts move out by about an inch."""
    short, long = (
        plan_of(RIDGE, {
            "line.finished": f"{n} 1/4 in",
            "original.shorthand": f"{n} 1/4: 0-17, 20 1/2-22 1/4, 26 3/4-30 1/2, 17-0",
        }).winding.posts_outside.value
        for n in (57, 58)
    )
    assert long - short == pytest.approx(INCH, abs=0.1 * INCH)
