"""Bounds of a yoke: what hard legs still give, and what the sides of a strap carry."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from strandwright.planning.prepare import at_mean
from strandwright.planning.yoke.cable import PlannedYoke
from strandwright.planning.yoke.effects import reserve_of
from strandwright.planning.yoke.strap import loads_of, strap_job
from strandwright.units import Dimension, parse
from yoke_jobs import plan_read, strap_cable


@pytest.mark.parametrize("turns", [2.0, 4.0, 12.0])
def test_the_reserve_is_that_of_the_legs_themselves(turns: float) -> None:
    """One leg without turns, the other with twice as many: so far apart, at half the load."""
    yoke = PlannedYoke.of(plan_read(turns=turns))
    reserve = reserve_of(yoke)
    q = at_mean(yoke.parameters)
    leg = yoke.on_pin.tripod(q, yoke.naturals(q)).legs[0]
    bare, hard = (
        float(replace(leg, turns=np.array([n])).length(0.5 * yoke.load(q))[0])
        for n in (0.0, 2.0 * turns)
    )
    assert reserve.apart == pytest.approx(bare - hard, abs=1e-12)
    few = PlannedYoke.of(plan_read(turns=reserve.least))
    assert reserve_of(few).apart == pytest.approx(reserve.correction, rel=0.05)


@pytest.mark.parametrize("span", ["1 in", "2 1/2 in", None])
def test_the_sides_of_a_strap_carry_more_the_wider_they_spread(span: str | None) -> None:
    """On the bow F / (2 cos a); on the jig, where it is pulled straight, half."""
    cable = strap_cable()
    yoke = cable.line.yoke
    assert yoke is not None
    apart = None if span is None else parse(Dimension.LENGTH, span, field="span")
    yoke = yoke.model_copy(update={"span": apart})
    job = cable.model_copy(update={"line": cable.line.model_copy(update={"yoke": yoke})})
    strap = strap_job(job)
    assert job.bow.draw_weight is not None
    assert strap.bow.draw_weight is not None
    assert strap.route.stretch is not None
    carried = strap.bow.draw_weight.si / job.bow.draw_weight.si
    angle = 0.0 if apart is None else math.asin(0.5 * apart.si / yoke.leg.si)
    assert carried == pytest.approx(0.5 / math.cos(angle), rel=1e-5)
    assert strap.route.stretch.si == pytest.approx(0.5 * loads_of(job)["stretch"], rel=1e-5)
