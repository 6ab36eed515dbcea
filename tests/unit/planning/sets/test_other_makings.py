"""Sets with lines that are not wound between two posts alone: laid in, split, with a strap."""

from __future__ import annotations

import math

import pytest

from line_sets import planned, ridge_plans
from strandwright.planning.plan_line import plan_line
from strandwright.planning.sets.cutting import cut_list, strands_of
from strandwright.workshop.job import read_job

LAID = """
id = "HEATH-8"
name = "String of the heath bow"
[bow]
kind = "longbow"
draw_weight = "45 lbf"
[line]
name = "string"
finished = "64 1/4 in"
zero_end = { name = "upper limb", size = "3 1/4 in" }
far_end = { name = "lower limb", size = "2 3/4 in" }
laid = { bundles = 2 }
[makeup]
strand = "polyester"
strands = 14
colours = [
  { name = "heather", colour = "#7A4E7E", strands = 7 },
  { name = "moss", colour = "#5E6B2F", strands = 7 },
]
[bench]
zero_post = "1/2 in"
longest = "80 in"
gauge = "spring scale"
"""
YOKE = """
id = "CRAG-8"
name = "Cable of the crag bow"
[bow]
kind = "two-cam"
draw_weight = "60 lbf"
[line]
name = "cable"
kind = "cable"
finished = "36 in"
zero_end = { name = "cam", size = "7/8 in" }
far_end = { name = "axle", size = "1 in" }
yoke = { leg = "8 in" }
servings = [
  { name = "throat", use = "throat", thread = "braid-018", start = "26 in", stop = "28 in" },
]
[makeup]
strand = "hmpe-lcp"
strands = 24
[bench]
name = "long beam"
zero_post = "1/2 in"
longest = "120 in"
gauge = "load cell"
"""


@pytest.fixture(scope="module")
def laid():
    """Plan a string that is laid in by hand."""
    return plan_line(read_job(LAID))


def test_a_line_laid_in_is_cut_by_its_own_list(laid):
    """Its colours add up to all the strand that is cut for it."""
    strands = strands_of(laid)
    assert {"heather", "moss"} == {strand.name for strand in strands}
    assert laid.laid.cut.fibre == pytest.approx(math.fsum(s.length for s in strands))
    assert laid.laid.cut.mass.value == pytest.approx(math.fsum(s.mass.value for s in strands))


def test_a_line_laid_in_is_wound_on_no_bench(laid):
    """It is in the cut list and in the chance, and in no order of winding."""
    found = planned((laid, ridge_plans()[1]))
    assert ["RIDGE-2"] == [job for order in found.orders for job in order.jobs]
    assert {"HEATH-8", "RIDGE-2"} == {job for cut in found.cut.fibres for job in cut.jobs}
    assert 2 == len(found.chance.each)


def test_a_split_cable_is_a_line_like_any_other():
    """It is wound, cut, scheduled, and all of it is in the lists."""
    plan = plan_line(read_job(YOKE))
    found = planned((plan, ridge_plans()[1]))
    assert {"CRAG-8", "RIDGE-2"} == {span.job for span in found.schedule.spans}
    wound = math.fsum(run.thread_length for run in plan.winding.runs)
    cut = math.fsum(f.length.value for f in cut_list((plan,)).fibres)
    strap = plan.yoke.strap if plan.yoke is not None else None
    assert wound + (strap.cut if strap is not None else 0.0) == pytest.approx(cut)
