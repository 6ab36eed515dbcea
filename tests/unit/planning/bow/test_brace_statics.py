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


def _bows(name: str, kind: str | None = None) -> BowModel:
    job = example(name)
    if kind is not None:
        job = job.model_copy(update={"bow": job.bow.model_copy(update={"kind": kind})})
    return model_bow(question(job, plan_line(job)))


@pytest.fixture(scope="module")
def scree() -> BowModel:
    """Bows that agree with a one-cam bow of 62 lbf."""
    return _bows("SCREE-1")


@pytest.fixture(scope="module")
def hybrid() -> BowModel:
    """Bows that agree with the figures of the crag bow, were it a hybrid."""
    return _bows("CRAG-1", "hybrid-cam")


@pytest.fixture(scope="module")
def fell() -> BowModel:
    """Bows that agree with a crossbow with wheels of 175 lbf."""
    return _bows("FELL-1")


@pytest.fixture(scope="module")
def crag() -> BowModel:
    """Bows that agree with a two-cam bow of 60 lbf, 31 in axle to axle."""
    return _bows("CRAG-1")


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


@pytest.mark.parametrize(
    ("bows", "line", "row"),
    [
        ("scree", "string", "one-cam."),
        ("scree", "cable", "one-cam.cable."),
        ("hybrid", "string", "hybrid-cam."),
        ("hybrid", "buss cable", "hybrid-cam.cable."),
        ("fell", "string", "crossbow."),
        ("fell", "right cable", "crossbow.cable."),
    ],
)
def test_the_tables_agree_with_other_systems(
    request: pytest.FixtureRequest, bows: str, line: str, row: str
) -> None:
    """Each line's loads lie within a standard uncertainty of the mean of the bows, or over it.

    A crossbow's string is told by prods too, which pull harder at brace than wheels do.
    """
    model = request.getfixturevalue(bows)
    tension, weight = _tension(model, line), model.family.cycle.force.max(axis=1).mean()
    for name, found in (("rest", tension[:, 0]), ("highest", tension.max(axis=1))):
        told = practice(f"bow.{row}{name}_tension")
        over = told.value - found.mean() / weight
        assert -told.standard_uncertainty < over < 1.3 * told.standard_uncertainty


@pytest.mark.parametrize("point", [0, -1])
def test_a_tip_carries_the_same_by_one_cam_as_by_two(
    crag: BowModel, scree: BowModel, point: int
) -> None:
    """Limbs that store the same over the same way: 2 T + T_c of the one, T + 2 T_c of the other."""
    two = _tension(crag, "string") + _tension(crag, "upper cable") + _tension(crag, "lower cable")
    one = 2.0 * _tension(scree, "string") + _tension(scree, "cable")
    ratio = one[:, point].mean() / 62.0 / (two[:, point].mean() / 60.0)
    assert 0.75 < ratio < 1.25


def test_the_one_power_cable_bears_what_two_cables_bear(crag: BowModel, scree: BowModel) -> None:
    """At full draw, where the string has next to nothing."""
    both = _tension(crag, "upper cable") + _tension(crag, "lower cable")
    ratio = _tension(scree, "cable")[:, -1].mean() / 62.0 / (both[:, -1].mean() / 60.0)
    assert 0.8 < ratio < 1.2
    assert practice("bow.one-cam.cable.highest_tension").value > 1.5 * (
        practice("bow.two-cam.cable.highest_tension").value
    )


@pytest.mark.parametrize("kind", ["one-cam", "two-cam", "hybrid-cam"])
def test_the_hardest_draw_lies_within_what_is_said(kind: str) -> None:
    """A draw of 60 lbf that rises by 20 lbf an inch on 31 in, at brace and after."""
    hardest = 0.5 * 15.5 * 20.0 / 60.0
    for name in ("rest", "highest"):
        told = practice(f"bow.{kind}.{name}_tension")
        assert told.value + 2.0 * told.standard_uncertainty > hardest
