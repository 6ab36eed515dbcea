"""The cut list: what all lines take, added up from their own plans."""

from __future__ import annotations

import math

import pytest

from line_sets import changed_plan, ridge_plans
from strandwright.planning.sets.cutting import cut_list
from strandwright.reference import practice
from strandwright.units import Dimension, parse


def test_the_colour_that_all_lines_have_stands_once():
    """Spruce is in string and cables, straw and charcoal are not."""
    cut = cut_list(ridge_plans())
    found = {f.name: f.jobs for f in cut.fibres}
    assert ("RIDGE-1", "RIDGE-2", "RIDGE-3") == found["spruce"]
    assert ("RIDGE-1",) == found["straw"]
    assert ("RIDGE-2", "RIDGE-3") == found["charcoal"]


def test_lengths_and_masses_add_up_to_those_of_the_plans():
    """Nothing is lost, nothing counted twice."""
    plans, cut = ridge_plans(), cut_list(ridge_plans())
    runs = [run for plan in plans for run in plan.winding.runs]
    assert sum(r.thread_length for r in runs) == pytest.approx(
        sum(f.length.value for f in cut.fibres)
    )
    assert sum(r.mass.value for r in runs) == pytest.approx(sum(f.mass.value for f in cut.fibres))
    served = sum(s.thread_length.value for plan in plans for s in plan.servings)
    looped = sum(loop.thread_length for plan in plans for loop in plan.loops)
    assert served + looped == pytest.approx(sum(t.length.value for t in cut.threads))


def test_another_lot_is_another_row():
    """Two lots of one colour are two spools."""
    plans = (*ridge_plans()[:1], changed_plan(makeup__lot="7"))
    spruce = [f for f in cut_list(plans).fibres if f.name == "spruce"]
    assert {"", "7"} == {f.lot for f in spruce}


def test_the_share_of_a_spool_is_of_the_one_the_set_says():
    """A spool of twice the mass gives half the share."""
    usual = cut_list(ridge_plans())
    double = parse(Dimension.MASS, f"{2e3 * practice('spool.mass').value:.6f} g", field="spool")
    twice = cut_list(ridge_plans(), double)
    for one, other in zip(usual.fibres, twice.fibres, strict=True):
        assert one.spool == pytest.approx(2.0 * other.spool)
    assert "memory" in usual.spool_source
    assert "stated" in twice.spool_source


def test_bobbins_hold_the_thread_at_the_far_end_of_its_range():
    """As the plan of one line counts them."""
    cut = cut_list(ridge_plans())
    bobbin = 8.0 * 0.9144
    for thread in cut.threads:
        assert thread.bobbins == math.ceil((thread.length.value + thread.length.u95) / bobbin)


def test_a_mark_that_weighs_something_is_a_small_part():
    """The peep is; the nock is only a place."""
    (peep,) = cut_list(ridge_plans()).parts
    assert ("peep", 1, ("RIDGE-1",)) == (peep.name, peep.count, peep.jobs)
    assert 12 * 6.479891e-5 == pytest.approx(peep.mass)
