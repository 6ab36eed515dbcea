"""The set as a noun: what it may say, and what it is refused for."""

from __future__ import annotations

from pathlib import Path

import pytest

import strandwright
from strandwright.errors import InputError, InputErrors
from strandwright.workshop.line_set import (
    MOST_LINES,
    LineSet,
    read_set,
    set_from_table,
    set_table,
    write_set,
)

RIDGE = Path(strandwright.__file__).parent / "examples" / "sets" / "ridge.toml"


def table(**changes):
    """Give the tables of a small set."""
    lines = [{"job": "A-1"}, {"job": "A-2"}, {"job": "A-3"}]
    return {"id": "A", "name": "lines of a bow", "lines": lines} | changes


def test_the_packaged_set_names_three_lines_and_their_files():
    """String and both cables, each with a file that is there."""
    found = read_set(RIDGE.read_text("utf-8"))
    assert ("RIDGE-1", "RIDGE-2", "RIDGE-3") == found.jobs
    assert all((RIDGE.parent / line.file).is_file() for line in found.lines)


def test_a_set_comes_back_as_it_was_written():
    """Written as a file and as tables, it is read as an equal set."""
    given = set_from_table(
        table(pairs=[{"one": "A-2", "other": "A-3"}], hands="as each job says", spool="4 oz")
    )
    assert given == read_set(write_set(given)) == set_from_table(set_table(given))


def test_defaults_are_left_out_of_the_tables():
    """What was not said is not written."""
    kept = set_table(set_from_table(table()))
    assert {"format", "id", "name", "lines"} == set(kept)


@pytest.mark.parametrize(
    ("changes", "field", "rule"),
    [
        ({"lines": []}, "lines", f"must name 1 to {MOST_LINES} lines"),
        ({"lines": [{"job": f"A-{n}"} for n in range(11)]}, "lines", "must name 1 to 10 lines"),
        ({"lines": [{"job": "A-1"}, {"job": "A-1"}]}, "lines[2].job", "must stand in the set once"),
        ({"lines": [{"job": "a b"}]}, "lines[1].job", "must be 1 to 40 letters"),
        ({"lines": [{"file": "a.toml"}]}, "lines[1].job", "is missing"),
        ({"lines": ["A-1"]}, "lines[1]", "must be a table"),
        ({"lines": "A-1"}, "lines", "must be a list"),
        ({"pairs": [{"one": "A-1", "other": "B-1"}]}, "pairs[1].other", "must be a line of this"),
        ({"pairs": [{"one": "A-1", "other": "A-1"}]}, "pairs[1].other", "must be of one pair"),
        ({"hands": "two"}, "hands", "must be 'one' or 'as each job says'"),
        ({"spool": "4"}, "spool", "unit"),
        ({"spool": 4}, "spool", "must be text with its unit"),
        ({"name": ""}, "name", "must not be empty"),
        ({"id": "-"}, "id", "must be 1 to 40 letters"),
        ({"format": 2}, "format", "must be 1"),
        ({"line": []}, "line", "must be a key that is known here"),
    ],
)
def test_what_cannot_be_is_refused_with_a_remedy(changes, field, rule):
    """Each error names the field, the value, the rule and what to do."""
    with pytest.raises(InputError) as caught:
        set_from_table(table(**changes))
    assert field == caught.value.field
    assert rule in caught.value.rule
    assert caught.value.remedy


def test_several_errors_are_told_at_once():
    """Nobody mends them one by one."""
    pairs = [{"one": "B-1", "other": "B-2"}]
    with pytest.raises(InputErrors) as caught:
        set_from_table(table(pairs=pairs))
    assert ["pairs[1].one", "pairs[1].other"] == [e.field for e in caught.value.errors]


def test_a_file_that_is_no_toml_shows_the_line():
    """The place at which it stops being TOML is named."""
    with pytest.raises(InputError, match="line 2 is not"):
        read_set('id = "A"\nname = lines\n', source="bow.toml")


def test_a_set_is_frozen():
    """As every noun is."""
    found = set_from_table(table())
    assert isinstance(found, LineSet)
    with pytest.raises(ValueError, match="frozen"):
        found.name = "other"  # type: ignore[misc]
