"""Tails where the line is thicker or parted: as wide as a strand of the bundle that lies there."""

from __future__ import annotations

import math

import pytest

from strandwright.line.serving_geometry import served_span, tail_length_to_hold
from strandwright.planning.examples import example
from strandwright.planning.plan_line import plan_line
from strandwright.planning.prepare import at_mean, prepare
from strandwright.planning.servings.plan import estimate
from strandwright.planning.servings.tails import hold_length

PULL = 1000.0


@pytest.mark.parametrize(("name", "most"), [("QUARRY-1", 1.5), ("RIDGE-1", 1.0), ("CRAG-2", 1.0)])
def test_a_tail_is_as_wide_as_a_strand_anywhere(name: str, most: float) -> None:
    """Its width is that of a strand of the served body, whatever lies beside it."""
    plan = plan_line(example(name))
    model = prepare(plan.job, plan.target.length.value, plan.parameters).model
    q, line = at_mean(plan.parameters), model.line
    width = float(model.core_diameter(q, served=True)[0]) / math.sqrt(line.strand_count)
    thickest = []
    for index, serving in enumerate(line.servings):
        core = estimate(plan.spread, f"core:{index}", "m").value
        left = estimate(plan.spread, f"tension:{index}", "N").value
        flat = min(float(q["flattening"][0]) * serving.thread.flattening, 1.0)
        span = served_span(core, serving.thread.diameter, flat, left)
        each = PULL / line.strand_count
        hold = tail_length_to_hold(span, each, width, model.stock.friction, serving.thread.friction)
        found = hold_length(model, q, plan.spread, index, PULL)
        assert found.value == pytest.approx(float(hold), rel=0.01)
        thickest.append(model.section_of(index).member_strands)
    assert max(thickest) == pytest.approx(most)
