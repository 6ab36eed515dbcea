"""What a bow with wheels pulls its lines with at brace: slope of the draw, model and tables."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from strandwright.planning.bow.known import question
from strandwright.planning.bow.model import BowModel, model_bow
from strandwright.planning.examples import example
from strandwright.planning.plan_line import plan_line
from strandwright.reference import practice
from strandwright.units import Dimension, parse

LBF = parse(Dimension.FORCE, "1 lbf", field="force").si
INCH = parse(Dimension.LENGTH, "1 in", field="length").si


@pytest.fixture(scope="module")
def crag() -> BowModel:
    """Bows that agree with a two-cam bow of 60 lbf, 31 in axle to axle."""
    job = example("CRAG-1")
    return model_bow(question(job, plan_line(job)))


def _tension(model: BowModel, line: str) -> NDArray[np.float64]:
    """Highest of a line's reaches, by bow and point of the draw [N]."""
    own = model.family.strung.rig.of_line == model.lines.index(line)
    return model.family.cycle.tension[:, :, own].max(axis=2)


def test_the_slope_of_the_draw_tells_the_tension_at_brace(crag: BowModel) -> None:
    """T = h F' / 2 over the first of the draw, which nothing of wheels or limbs enters."""
    cycle = crag.family.cycle
    first = 0.5 * INCH
    force = np.array(
        [np.interp(d[0] + first, d, f) for d, f in zip(cycle.draw, cycle.force, strict=True)]
    )
    half = 0.5 * parse(Dimension.LENGTH, "31 in", field="length").si
    by_slope = 0.5 * half * force / first
    ratio = by_slope / _tension(crag, "string")[:, 0]
    # The straight part is somewhat shorter than half of axle to axle, by where each wheel is left.
    assert abs(ratio.mean() - 1.0) < 0.1
    assert np.abs(ratio - 1.0).max() < 0.2


def test_a_string_of_three_hundred_pounds_would_pass_its_peak_at_once(crag: BowModel) -> None:
    """At the old 5.4 times the draw weight the first 2 in would already pull over the peak."""
    half, weight = 0.5 * 31.0 * INCH, 60.0 * LBF
    drawn = 2.0 * INCH
    assert 2.0 * 5.4 * weight * drawn / np.hypot(half, drawn) > 1.2 * weight
    peak = crag.family.cycle.force.argmax(axis=1)
    draw = crag.family.cycle.draw
    assert (draw[np.arange(len(draw)), peak] - draw[:, 0] > 2.0 * drawn).all()


@pytest.mark.parametrize(
    ("line", "row"), [("string", ""), ("upper cable", "cable."), ("lower cable", "cable.")]
)
def test_the_tables_agree_with_the_bows(crag: BowModel, line: str, row: str) -> None:
    """Resting and highest load lie within the tables' standard uncertainty of the bows' mean."""
    tension = _tension(crag, line)
    weight = 60.0 * LBF
    for name, found in (("rest", tension[:, 0]), ("highest", tension.max(axis=1))):
        told = practice(f"bow.two-cam.{row}{name}_tension")
        assert abs(found.mean() / weight - told.value) < told.standard_uncertainty
