"""Details that a bow tells of its line: the peep by its own draw, patches, usual masses."""

from __future__ import annotations

from dataclasses import replace

import pytest
from asked_bow import Asked

from sample_job import CABLE, GRAIN, INCH, LBF, RIDGE, example_plan, job_of, plan_of
from strandwright.planning.bow.answers import answer_bow
from strandwright.planning.bow.details import bow_details, string_loads
from strandwright.planning.bow.serving_data import servings_data
from strandwright.planning.bow.speed import string_speed, usual_costs
from strandwright.planning.bow.touched import covers, touched_parts
from strandwright.planning.details.patches import patches
from strandwright.planning.written import Written

STOP = {"bow.string_stop": {"height": "-7 1/4 in"}}


def test_wheels_let_the_string_off_at_full_draw(two_cam: Asked) -> None:
    """Holding weight over twice the cosine of half its angle: far less than at brace."""
    loads, family = string_loads(two_cam.model), two_cam.model.family
    holding = float(family.figures.holding.mean())
    assert holding / 2.0 < loads.drawn.value < holding
    assert loads.drawn.value < 0.3 * loads.braced.value
    assert loads.braced.value > 20 * LBF


def test_patches_lie_where_the_stop_touches(two_cam: Asked) -> None:
    """The wanted edges hold what is touched, with its margin on both sides."""
    job = job_of(RIDGE, STOP)
    parts = touched_parts(job, two_cam.plan, two_cam.model)
    (patch,) = patches(two_cam.plan, parts)
    touched = next(part for part in parts if part.on == "string stop")
    assert patch.start < touched.start.value - 0.4 * INCH
    assert patch.stop > touched.stop.value + 0.4 * INCH
    assert patch.served_by == "stop"
    assert patch.use == "stop"


def test_rollers_and_a_slide_ask_for_a_patch_on_the_cable(two_cam: Asked) -> None:
    """Nothing serves it there: edges are proposed, to be served with use = track."""
    guard = {"aside": "1 1/8 in", "height": "1 1/2 in", "kind": "rollers"}
    changes = {"bow.draw_length": "29 in", "bow.let_off": "80 %", "bow.guard": guard}
    job = job_of(CABLE, changes)
    served = example_plan(CABLE)
    plan = replace(served, servings=tuple(s for s in served.servings if s.name != "slide"))
    parts = touched_parts(job, plan, two_cam.model)
    (patch,) = patches(plan, parts)
    assert patch.on == "roller"
    assert patch.use == "track"
    assert patch.served_by == ""
    assert patch.short == pytest.approx(patch.stop - patch.start)
    (section,) = bow_details(job, plan, two_cam.model, parts)
    assert 'use = "track"' in section.rows[0][2]
    (covered,) = patches(served, parts)
    assert covered.served_by == "slide"


def test_a_usual_mass_is_told_beside_the_speed_and_not_in_it(two_cam: Asked) -> None:
    """The nock without a mass costs what one of that mass would; a given mass is counted."""
    job = job_of(RIDGE)
    (cost,) = usual_costs(job, two_cam.plan, two_cam.model)
    assert "if of the usual mass" in cost.item.name
    given = job_of(RIDGE, {"line.marks.0.mass": f"{cost.item.mass * 1e3:.6f} g"})
    assert usual_costs(given, plan_of(RIDGE, {"line.marks.0.mass": "7 gr"}), two_cam.model) == ()
    speed = string_speed(given, two_cam.plan, two_cam.model)
    assert speed is not None
    nock = next(c for c in speed.costs if c.item.name == "nock")
    assert float(nock.lost) == pytest.approx(float(cost.lost), rel=0.05)


def test_masses_go_with_their_marks_in_any_order(two_cam: Asked) -> None:
    """A job may write its marks from the far end on; each keeps its own mass."""
    marks = [
        {"name": "peep", "at": "34 1/8 in", "mass": "12 gr"},
        {"name": "nock", "at": "28 5/8 in", "mass": "3 gr"},
    ]
    changes = {"line.marks": marks}
    speed = string_speed(job_of(RIDGE, changes), plan_of(RIDGE, changes), two_cam.model)
    assert speed is not None
    masses = {c.item.name: c.item.mass / GRAIN for c in speed.costs}
    assert masses["peep"] == pytest.approx(12.0)
    assert masses["nock"] == pytest.approx(3.0)


def test_a_patch_that_touches_nothing_says_what_to_measure(two_cam: Asked) -> None:
    """A stop serving without a stop, a track serving on a cable without a guard's height."""
    job = job_of(RIDGE)
    answers = answer_bow(job, two_cam.plan)
    rows = {row["name"]: row for row in servings_data(job, answers, Written("in", 16))}
    assert "measure where the string stop sits" in rows["stop"]["verdict_text"]
    parts = touched_parts(job, two_cam.plan, two_cam.model)
    cover = next(c for c in covers(two_cam.plan, parts) if c.name == "stop")
    lane = replace(answers, covers=(replace(cover, use="track"),))
    cable = job_of(CABLE)
    (row,) = servings_data(cable, lane, Written("in", 16))
    assert "slide or the rollers" in row["verdict_text"]
