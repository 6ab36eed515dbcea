"""Places: jobs that differ in where things lie along the line, and jobs that differ in more."""

from __future__ import annotations

import pytest

from strandwright.planning.entries.editing import Change, edited
from strandwright.planning.entries.places import only_places_differ
from strandwright.planning.examples import example

RIDGE = edited(example("RIDGE-1"), [Change("line.servings[3].start", "26 1/2 in")])


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("line.servings[3].start", "26 in"),
        ("line.marks[1].at", "28 1/8 in"),
        ("line.finished", "57 3/8 in"),
        ("name", "another name"),
    ],
)
def test_places_and_names(field: str, value: str) -> None:
    """Edges, marks, the length and names leave the rest as it is."""
    assert only_places_differ(edited(RIDGE, [Change(field, value)]), RIDGE)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("line.servings[3].thread", "braid-018"),
        ("line.marks[2]", None),
        ("line.servings[1]", None),
        ("line.finished", None),
        ("line.zero_end.size", "2 in"),
        ("makeup.twist", "0.6 per in"),
        ("bench.drag", "4 lbf"),
        ("bow.draw_weight", "55 lbf"),
        ("route.rest", "3 h"),
        ("paper.units", "mm"),
    ],
)
def test_anything_else(field: str, value: str | None) -> None:
    """Another thread, twist, bench, bow or route is more than a place."""
    assert not only_places_differ(edited(RIDGE, [Change(field, value)]), RIDGE)
