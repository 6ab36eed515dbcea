"""Mass of a line: strands, wax, servings, loops and what is tied in."""

from __future__ import annotations

import math

import pytest

from sample_job import (
    EXAMPLE_NAMES,
    GRAIN,
    RIDGE,
    WOUND_NAMES,
    example_plan,
    laid_in,
    plan_of,
    prepared_of,
)
from strandwright.planning.estimate import Estimate
from strandwright.planning.mass import bare_mass, line_mass, whole_mass
from strandwright.planning.prepare import at_mean
from strandwright.planning.strand_stock import WAX_SHARE
from strandwright.reference import strand


@pytest.mark.parametrize("name", WOUND_NAMES)
def test_strands_run_once_through_the_body_and_round_the_loops(name):
    """Winding lays each strand from post to post: the strands weigh what the spools lose there."""
    plan = example_plan(name)
    prepared = prepared_of(plan.job)
    bare = bare_mass(prepared.model, prepared.strand, at_mean(plan.parameters)).value
    lost = sum(r.mass.value for r in plan.winding.runs)
    tails = 2.0 * len(plan.winding.runs) * plan.winding.tail_cut
    wound = lost * (1.0 - tails / sum(r.thread_length for r in plan.winding.runs))
    # What is laid in to reinforce the ends is cut for itself.
    density = strand(plan.job.makeup.strand).linear_density.value
    wound += laid_in(plan) * density * (1.0 + WAX_SHARE)
    # Stretch lengthens the finished body by 1 or 2 % and twist shortens it somewhat: neither is
    # reckoned with, and what is left of the two is far inside the +-.
    assert bare == pytest.approx(wound, rel=0.025)


def test_the_spread_of_strands_is_fibre_and_wax():
    """Mass per length and wax, 5 to 15 %, are independent; both grow with the strands."""
    prepared = prepared_of(example_plan(RIDGE).job)
    bare = bare_mass(prepared.model, prepared.strand, at_mean(prepared.parameters))
    relative = strand("hmpe-lcp").linear_density.relative_uncertainty
    assert bare.u / bare.value == pytest.approx(math.hypot(relative, 0.03 / (1.0 + WAX_SHARE)))


def test_threads_and_tied_in_add_up():
    """Threads add whole, the +- of one flattening with them; what was weighed has none."""
    bare, thread = Estimate(8e-3, 5e-4, "kg"), Estimate(6e-4, 1e-4, "kg")
    whole = whole_mass(bare, (thread, thread), 2e-4)
    assert whole.value == pytest.approx(8e-3 + 1.2e-3 + 2e-4)
    assert whole.u == pytest.approx(math.hypot(5e-4, 2e-4))


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_a_line_weighs_all_of_its_parts(name):
    """The plan's mass is strands, every serving, both loops and the marks, nothing else."""
    plan = example_plan(name)
    prepared = prepared_of(plan.job)
    q = at_mean(plan.parameters)
    parts = bare_mass(prepared.model, prepared.strand, q).value
    parts += sum(s.mass.value for s in plan.servings) + sum(p.mass for p in plan.loops)
    parts += sum(m.mass.si for m in plan.job.line.marks if m.mass is not None)
    assert plan.mass.value == pytest.approx(parts)
    without = line_mass(prepared, q, plan.servings)
    assert plan.mass.value - without.value == pytest.approx(sum(p.mass for p in plan.loops))


def test_what_is_tied_in_weighs_what_it_weighs():
    """A peep of 20 gr makes the line 20 gr heavier and no less sure."""
    mark = {"name": "peep", "at": "20 in"}
    plans = [plan_of(RIDGE, {"line.marks": [mark | {"mass": m}]}) for m in ("1 gr", "21 gr")]
    assert plans[1].mass.value - plans[0].mass.value == pytest.approx(20.0 * GRAIN)
    assert plans[1].mass.u == pytest.approx(plans[0].mass.u)
