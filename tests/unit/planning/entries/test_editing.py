"""Editing: changes by field name, dragged places, what follows from them, what is refused."""

from __future__ import annotations

import pytest

from strandwright.errors import InputError, SpecError
from strandwright.planning.entries.editing import Change, edited, tables_of, with_own_edges
from strandwright.planning.entries.handles import handles_of
from strandwright.planning.examples import example, examples
from strandwright.planning.line_of_job import serving_edges
from strandwright.planning.planner import Planner
from strandwright.planning.take_off.target import find_target
from strandwright.units import INCH
from strandwright.workshop.job import job_from_table

PLANNER = Planner()


def edges_of(job):
    """Give every serving's finished edges."""
    return serving_edges(job, find_target(job).length.value)


@pytest.mark.parametrize("id", sorted(examples()))
def test_tables_read_back_equal(id):
    """A job's tables make the same job."""
    job = example(id)
    assert job == job_from_table(tables_of(job))


@pytest.mark.parametrize("id", sorted(examples()))
def test_edges_written_out_stay_where_they_are(id):
    """Writing edges out moves none by more than half a step of the shop's fraction."""
    job = example(id)
    before, after = edges_of(job), edges_of(with_own_edges(job))
    half = 0.5 * INCH / job.paper.fraction + 1e-9
    for one, other in zip(before, after, strict=True):
        assert abs(one[0] - other[0]) <= half
        assert abs(one[1] - other[1]) <= half


def test_a_dragged_edge_is_put_on_the_fraction():
    """A place between two marks of the tape becomes the nearer one, and is written as text."""
    job = edited(example("RIDGE-1"), [Change("line.servings[3].start", at=26.53 * INCH)])
    assert job.line.servings[2].start.text == "26 1/2 in"
    assert job.line.servings[2].stop.text == "30 1/2 in"


def test_an_edge_measured_from_the_far_end_stays_so():
    """Dragging the upper serving writes its distance from the far end."""
    job = edited(example("RIDGE-1"), [Change("line.servings[4].start", at=40.5 * INCH)])
    assert job.line.servings[3].from_far_end
    assert job.line.servings[3].start.text == "16 3/4 in"
    longer = edited(job, [Change("line.finished", value="58 1/4 in")])
    assert edges_of(longer)[3][0] == pytest.approx(41.5 * INCH)


def test_a_mark_is_dragged():
    """A mark takes the place it was dragged to."""
    job = edited(example("RIDGE-1"), [Change("line.marks[2].at", at=34.26 * INCH)])
    assert job.line.marks[1].at.text == "34 1/4 in"


@pytest.mark.parametrize("typed", ["26 1/2", "26-1/2 in", "26½", "26.5", " 26 1/2 in "])
def test_a_length_is_taken_as_people_write_it(typed):
    """With or without the unit, in any of the usual ways."""
    job = edited(example("RIDGE-1"), [Change("line.servings[3].start", typed)])
    assert job.line.servings[2].start.si == pytest.approx(26.5 * INCH)


def test_the_strand_count_follows_its_colours():
    """A strand more of one colour is a strand more in all."""
    job = edited(example("RIDGE-1"), [Change("makeup.colours[1].strands", 14)])
    assert job.makeup.strands == 26


def test_a_colour_is_added_and_taken_out():
    """A further place of the list adds, nothing takes out."""
    gold = {"name": "gold", "colour": "#C9A227", "strands": 2}
    job = edited(example("RIDGE-1"), [Change("makeup.colours[3]", gold)])
    assert job.makeup.strands == 26
    assert job == edited(job, [])
    assert edited(job, [Change("makeup.colours[3]", None)]).makeup.strands == 24


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("line.servings[9].start", "3 in"),
        ("line.servings[0].start", "3 in"),
        ("line.nonsense", "3 in"),
        ("line..finished", "3 in"),
        ("__class__", "x"),
        ("line.finished", "seven"),
        ("makeup.colours[1].strands", "many"),
        ("makeup.colours[5].strands", 3),
        ("id", ""),
    ],
)
def test_what_cannot_be_is_refused_with_its_field(field, value):
    """Each bad change is an error of ours that names a field, and the job is untouched."""
    job = example("RIDGE-1")
    with pytest.raises((InputError, ValueError)) as caught:
        edited(job, [Change(field, value)])
    assert hasattr(caught.value, "field") or hasattr(caught.value, "errors")
    assert job == example("RIDGE-1")


def test_only_places_along_the_line_are_dragged():
    """A drag of something that has no place is refused."""
    with pytest.raises(SpecError, match=r"must be an edge"):
        edited(example("RIDGE-1"), [Change("makeup.strands", at=1.0)])


@pytest.mark.parametrize("id", sorted(examples()))
def test_every_handle_can_be_moved_to_where_it_is(id):
    """Dragging a handle to its own place leaves the line as it was, to half a step."""
    job = example(id)
    plan = PLANNER.plan(job)
    for handle in handles_of(plan):
        assert handle.low <= handle.at <= handle.high
        moved = edited(job, [Change(handle.field, at=handle.at)])
        again = {h.field: h.at for h in handles_of(PLANNER.plan(moved))}
        step = 0.51 * INCH / job.paper.fraction
        assert again[handle.field] == pytest.approx(handle.at, abs=step)


def test_a_line_may_be_made_longer_than_its_original():
    """The far end can be taken where it is wanted though the original's shorthand is shorter."""
    job = edited(example("RIDGE-1"), [Change("line.finished", at=59.0 * INCH)])
    assert PLANNER.plan(job).target.length.value == pytest.approx(59.0 * INCH)
