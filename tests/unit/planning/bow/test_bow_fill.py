"""Stored energy: practice's fill where no draw board tells it, the board where one does."""

from __future__ import annotations

import numpy as np
import pytest
from asked_bow import Asked

from sample_job import INCH, LBF, RIDGE, example_plan, job_of
from strandwright.bow.family import Family
from strandwright.planning.bow.known import question
from strandwright.planning.bow.model import model_bow
from strandwright.reference import practice

#: A bow with round wheels: its force rises and falls like half a sine [in, lbf].
ROUND = ((11, 22), (13, 40), (15, 51.5), (17.5, 59.5), (20, 57), (22.5, 48), (25, 36.5), (28, 19))


def family(**changes: object) -> Family:
    """Look for the ridge bow, some of its figures changed."""
    job = job_of(RIDGE, {f"bow.{name}": value for name, value in changes.items()})
    found = model_bow(question(job, example_plan())).family
    assert isinstance(found, Family)
    return found


def filled(found: Family) -> np.ndarray:
    """Energy of each member over its weight and stroke."""
    stroke = found.cycle.draw[:, -1] - found.cycle.draw[:, 0]
    return found.figures.stored_energy / (found.figures.peak * stroke)


def agrees(found: Family, let_off: float) -> None:
    """Hold a family to the ridge bow's weight, let-off and draw length, and to its number."""
    assert found.members >= 48
    assert found.figures.peak.mean() == pytest.approx(60 * LBF, abs=0.9 * LBF)
    assert found.figures.let_off.mean() == pytest.approx(let_off, abs=0.015)
    full = (29 - 1.75) * INCH
    assert found.cycle.draw[:, -1].mean() == pytest.approx(full, abs=INCH / 16)


def test_without_a_board_a_two_cam_bow_stores_what_practice_says(two_cam: Asked) -> None:
    """Round wheels off their axles, 0.71 by the same fit, would be out by more than that."""
    found = two_cam.model.family
    assert isinstance(found, Family)
    agrees(found, 0.80)
    row = practice("bow.two-cam.fill")
    assert abs(filled(found).mean() - row.value) < 1.2 * row.standard_uncertainty


@pytest.mark.parametrize(
    ("kind", "cables"), [("hybrid-cam", "to the axles"), ("two-cam", "wheel to wheel")]
)
def test_so_does_one_whose_wheels_are_tied(kind: str, cables: str) -> None:
    """By a control cable, or by slaved cables."""
    found = family(kind=kind, cables=cables)
    agrees(found, 0.80)
    row = practice(f"bow.{kind}.fill")
    assert abs(filled(found).mean() - row.value) < 1.2 * row.standard_uncertainty


def test_a_draw_board_overrules_practice() -> None:
    """Round wheels told of by their board are found: the energy is that under its points."""
    board = [{"draw": f"{d} in", "force": f"{f} lbf"} for d, f in ROUND]
    found = family(draw_board=board)
    agrees(found, 0.785)
    draws = [6.875 + 1.75, *(d for d, _ in ROUND), 29.0]
    forces = [0.0, *(f for _, f in ROUND), 12.7]
    under = float(np.trapezoid(forces, draws)) * LBF * INCH
    # A curve bent like that stands above its chords, by 1 % at eight points.
    assert found.figures.stored_energy.mean() == pytest.approx(under, rel=0.025)
    assert filled(found).mean() < 0.68
