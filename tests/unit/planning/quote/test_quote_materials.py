"""Materials: what a quote takes off the shelf is what the plans take."""

from __future__ import annotations

import math

import pytest

from quoted_lines import shop_terms
from sample_job import EXAMPLE_NAMES, INCH, WOUND_NAMES, example_plan, plan_of
from strandwright.planning.quote.materials import Material, materials_of
from strandwright.planning.result import Plan
from strandwright.units import Dimension, parse


def _of(plan: Plan, kind: str) -> list[Material]:
    return [m for m in materials_of([plan]) if m.want.ware.kind == kind]


@pytest.mark.parametrize("name", [n for n in WOUND_NAMES if n not in ("quarry-crossbow-string",)])
def test_strand_is_what_the_spools_lose(name: str):
    """Length and mass of every colour, tails with it; a yoke's strap where it has one."""
    plan = example_plan(name)
    strands = _of(plan, "strand")
    wound = math.fsum(run.thread_length for run in plan.winding.runs)
    strap = 0.0 if plan.yoke is None or plan.yoke.strap is None else plan.yoke.strap.cut
    assert wound + strap == pytest.approx(math.fsum(m.length.value for m in strands if m.length))
    share = (wound + strap) / wound
    mass = math.fsum(run.mass.value for run in plan.winding.runs) * share
    assert mass == pytest.approx(math.fsum(m.mass.value for m in strands if m.mass))


def test_strand_of_a_colour_worked_out_by_hand():
    """Twelve strands once round half of two half-inch posts 55 19/32 in apart, and two tails.

    Half a belt of the centreline: 55.594 - 0.5 + pi/2 (0.5 + 0.02) = 55.911 in; twelve of them
    and two tails of 5 1/2 in are 681.9 in. The drag stretches it on its way: 0.3 % less of it.
    """
    plan = example_plan("crag-string")
    run = plan.winding.runs[0]
    posts = plan.winding.posts_outside.value / INCH
    half_belt = posts - 0.5 + math.pi / 2.0 * 0.52
    by_hand = 12.0 * half_belt + 2.0 * plan.winding.tail_cut / INCH
    found = next(m for m in _of(plan, "strand") if m.want.colour_name == run.name)
    assert found.length is not None
    assert found.length.value / INCH == pytest.approx(by_hand, rel=0.004)
    assert found.length.value / INCH < by_hand


def test_thread_is_that_of_servings_and_loops():
    """By size and colour, with its +- and its mass."""
    plan = example_plan("crag-string")
    threads = _of(plan, "thread")
    served = math.fsum(s.thread_length.value for s in plan.servings)
    looped = math.fsum(loop.thread_length for loop in plan.loops)
    assert served + looped == pytest.approx(math.fsum(m.length.value for m in threads if m.length))
    assert ["braid-018", "braid-021"] == [m.want.ware.name for m in threads]
    for m in threads:
        assert m.length is not None
        assert m.mass is not None
        assert m.length.u > 0.0
        assert m.mass.u > 0.0


def test_pieces_laid_in_at_the_ends_are_counted():
    """Of the first colour: each piece runs round its loop and down both legs."""
    plan = example_plan("quarry-crossbow-string")
    found = {m.want.colour_name: m for m in _of(plan, "strand")}
    extra = {
        run.name: found[run.name].length.value - run.thread_length for run in plan.winding.runs
    }
    first, *others = (run.name for run in plan.winding.runs)
    assert extra[first] > 1.0
    assert [0.0] * len(others) == [pytest.approx(extra[name]) for name in others]


def test_a_separator_is_counted():
    """Once from post to post with both tails, as a strand or as thread."""
    for thread, kind in ((None, "strand"), ("braid-016", "thread")):
        table = {"name": "white", "colour": "#F4F1E8"} | ({"thread": thread} if thread else {})
        plain = plan_of("crag-string")
        with_one = plan_of("crag-string", {"makeup.separator": table})
        extra = len(materials_of([with_one])) - len(materials_of([plain]))
        found = [m for m in materials_of([with_one]) if m.want.ware.colour == "#F4F1E8"]
        assert (1, [kind]) == (extra, [m.want.ware.kind for m in found])
        assert found[0].length is not None
        once = plain.winding.runs[0].thread_length - 2.0 * plain.winding.tail_cut
        wanted = once / 12 + 2.0 * plain.winding.tail_cut
        assert wanted == pytest.approx(found[0].length.value)


def test_parts_are_those_of_the_marks_and_those_entered():
    """The peep is bought, a nocking point is tied; a second silencer adds up."""
    plan = example_plan("crag-string")
    found = {
        m.want.ware.name: m.count
        for m in materials_of([plan], parts={"silencer": 2, "peep": 1})
        if m.count
    }
    assert {"peep": 2, "silencer": 2} == found


def test_a_shop_may_reckon_strand_by_its_own_allowances():
    """24 strands of the finished length and 3 in, and 24 in for the tails of each colour."""
    plan = example_plan("crag-string")
    own = {
        "post_allowance": parse(Dimension.LENGTH, "3 in", field="x"),
        "tails": parse(Dimension.LENGTH, "24 in", field="x"),
    }
    found = [m for m in materials_of([plan], shop_terms(**own)) if m.want.ware.kind == "strand"]
    whole = math.fsum(m.length.value for m in found if m.length) / INCH
    assert 24 * (55.25 + 3.0) + 2 * 24 == pytest.approx(whole)
    usual = {m.want.ware.key: m for m in _of(plan, "strand")}
    for m in found:
        before = usual[m.want.ware.key]
        assert m.mass is not None
        assert m.length is not None
        assert before.mass is not None
        assert before.length is not None
        ratio = before.mass.value / before.length.value
        assert ratio == pytest.approx(m.mass.value / m.length.value)


def test_lines_of_one_make_up_add_up_by_ware():
    """The cables of the crag bow take the colours of its string: two rows, not six."""
    plans = [example_plan(f"crag-{line}") for line in ("string", "upper-cable", "lower-cable")]
    found = [m for m in materials_of(plans) if m.want.ware.kind == "strand"]
    assert [("CRAG-1", "CRAG-2", "CRAG-3")] * 2 == [m.jobs for m in found]
    alone = math.fsum(
        m.length.value for p in plans for m in materials_of([p]) if m.length is not None
    )
    whole = math.fsum(m.length.value for m in materials_of(plans) if m.length is not None)
    assert alone == pytest.approx(whole)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_every_example_can_be_told(name: str):
    """Of every kind of line: strand, thread, each with mass and +-."""
    for m in materials_of([example_plan(name)]):
        counted = m.want.ware.is_counted
        assert counted == (m.length is None) == (m.mass is None) == (m.count > 0)
