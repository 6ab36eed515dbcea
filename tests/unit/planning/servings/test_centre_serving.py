"""The centre serving placed from the nocking point, and servings wound on the strung bow."""

from __future__ import annotations

from typing import Any

import pytest

from strandwright.errors import GeometryError, SpecError
from strandwright.planning.entries.editing import with_own_edges
from strandwright.planning.examples import example
from strandwright.planning.line_of_job import serving_edges
from strandwright.planning.line_on_bow import strung_scale
from strandwright.planning.plan_line import plan_line
from strandwright.planning.servings.centre import nocking_point, place_centre
from strandwright.planning.servings.on_the_bow import made_on_bow, on_bow_lines, served_on_bow
from strandwright.planning.steps.on_the_bow import on_bow_steps
from strandwright.planning.steps.words import Words
from strandwright.workshop.job import Job, job_from_table

INCH = 0.0254


def job(shorthand: str = "63: 0-7 1/2, 7-0", made: str = "", **changes: Any) -> Job:
    """The mere bow's string, its centre serving left out of the shorthand."""
    table = example("MERE-1").model_dump(mode="json", exclude_defaults=True)
    table["line"]["shorthand"] = shorthand
    for path, value in changes.items():
        part, name = path.split("__")
        if value is None:
            table[part].pop(name, None)
        else:
            table[part][name] = value
    if made:
        table["line"]["servings"][1]["made"] = made
    return job_from_table(table)


def centre(one: Job, length: float = 63.0 * INCH) -> tuple[float, float]:
    """Edges of the centre serving in inches."""
    start, stop = serving_edges(one, length)[1]
    return round(start / INCH, 6), round(stop / INCH, 6)


def test_it_lies_about_the_mark() -> None:
    """2 1/2 in over it and 5 in under it, the upper limb being the zero end."""
    assert centre(job()) == (28.75, 36.25)


def test_the_others_keep_their_runs() -> None:
    """The shorthand is read for the loops alone."""
    edges = serving_edges(job(), 63.0 * INCH)
    assert [round(x / INCH, 6) for x in (*edges[0], *edges[2])] == [0.0, 7.5, 56.0, 63.0]


def test_turned_end_for_end_it_turns_too() -> None:
    """From the lower end, five inches under the nocking point come first."""
    one = job()
    line = one.line
    turned = one.model_copy(
        update={
            "line": line.model_copy(
                update={
                    "zero_end": line.far_end,
                    "far_end": line.zero_end,
                    "marks": (line.marks[0].model_copy(update={"from_far_end": True}),),
                }
            )
        }
    )
    assert centre(turned) == (26.75, 34.25)


def test_without_a_mark_the_height_on_the_bow_places_it() -> None:
    """Half an inch over the pivot is half an inch nearer the upper end than the middle."""
    one = job(line__marks=None, bow__nock_height="1/2 in")
    assert nocking_point(one, 63.0 * INCH) == pytest.approx(31.0 * INCH)
    assert centre(one) == (28.5, 36.0)


def test_edges_or_a_run_of_its_own_stand() -> None:
    """What the job says of it is not touched."""
    assert centre(example("MERE-1")) == (27.0, 35.0)
    assert place_centre(example("MERE-1"), 63.0 * INCH, 3) is None


def test_it_is_said_in_the_plan() -> None:
    """That it was placed, by what, and that it may be otherwise."""
    notes = plan_line(job()).target.notes
    said = next(note for note in notes if note.startswith("centre is placed"))
    assert "2 1/2 in over (2 in to 3 in)" in said
    assert "common practice without a source" in said
    assert not any("is placed" in note for note in plan_line(example("MERE-1")).target.notes)


def test_without_a_nocking_point_it_is_asked_for() -> None:
    """The error names the remedy."""
    with pytest.raises(SpecError, match=r"line\.servings") as told:
        plan_line(job(line__marks=None))
    assert "mark the nock" in told.value.remedy


def test_ends_must_say_which_is_up() -> None:
    """Over and under need an upper end."""
    ends = {"size": "3 in", "thread": "braid-018"}
    one = job(line__zero_end={"name": "red", **ends}, line__far_end={"name": "blue", **ends})
    with pytest.raises(SpecError, match=r"line\.zero_end\.name"):
        plan_line(one)


def test_a_nocking_point_near_an_end_is_refused() -> None:
    """No room for the serving under it."""
    with pytest.raises(GeometryError, match=r"line\.marks\[1\]\.at"):
        plan_line(job(line__marks=[{"name": "nock", "at": "60 in"}]))


def test_a_bow_with_wheels_is_asked_as_before() -> None:
    """There practice is another, and nothing is guessed."""
    assert place_centre(example("RIDGE-1"), 1.4, 0) is None


def test_dragging_writes_its_edges_out() -> None:
    """Edges of its own, to the shop's fraction, and the others keep their ends."""
    own = with_own_edges(job(), 63.0 * INCH)
    found = [(s.start.text, s.stop.text, s.from_far_end) for s in own.line.servings
             if s.start is not None and s.stop is not None]  # fmt: skip
    assert len(found) == 3
    assert centre(own) == (28.75, 36.25)
    assert found[2][2]


# ------------------------------------------------------------------------- made on the bow


def test_on_the_bow_it_is_laid_off_over_the_nocks() -> None:
    """A lower load and thicker nocks bring every place nearer, the far ones more."""
    plan = plan_line(job(made="on the bow"))
    (row,) = served_on_bow(plan)
    own = plan.servings[1]
    assert row.name == "centre"
    assert 0.02 * INCH < own.start.value - row.start.value < 0.25 * INCH
    assert own.stop.value - row.stop.value > own.start.value - row.start.value
    assert row.over == pytest.approx(2.5 * INCH, abs=0.05 * INCH)
    assert row.under == pytest.approx(5.0 * INCH, abs=0.05 * INCH)
    assert row.start.u > own.start.u


def test_its_scale_ends_at_the_far_nock() -> None:
    """The whole finished line is carried to the whole strung one."""
    plan = plan_line(job(made="on the bow"))
    scale = strung_scale(plan, 350.0)
    assert scale.at(plan.throats[0]) == scale.strung_throat
    far = scale.at(plan.target.length.value - plan.throats[1])
    assert far < plan.target.length.value - plan.throats[1]
    same = strung_scale(
        plan_line(job(bow__pegs=[{"name": "limb tip", "diameter": "1/4 in"}])), 444.8
    )
    # The same pins and the measuring load: the finished scale itself.
    assert same.at(0.8) == pytest.approx(0.8, abs=2e-5)


def test_the_step_after_fitting_says_it() -> None:
    """One step with where, thread, load and what may hurt; none without such a serving."""
    plan = plan_line(job(made="on the bow"))
    (step,) = [s for s in on_bow_steps(Words(plan)) if s.key == "serve"]
    assert "Never draw it" in step.caution
    assert any(line.startswith("centre: ") and "nocking point" in line for line in step.lines)
    assert any("upper limb" in line for line in on_bow_lines(plan))
    assert all(s.key != "serve" for s in on_bow_steps(Words(plan_line(job()))))
    assert made_on_bow(plan.job) == {"centre"}


def test_what_the_bow_bears_on_is_not_made_so_late() -> None:
    """A loop is served before anything is fitted."""
    table = job().model_dump(mode="json", exclude_defaults=True)
    table["line"]["servings"][0]["made"] = "on the bow"
    with pytest.raises(SpecError, match=r"line\.servings\[1\]\.made"):
        plan_line(job_from_table(table))
