"""Refusals: entries that cannot be meant are found before anything is computed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import strandwright
from strandwright.errors import InputError, InputErrors
from strandwright.planning.entries.refusals import RANGES, refuse_impossible
from strandwright.units import parse
from strandwright.workshop.job import Job, job_from_table, job_schema, read_job

EXAMPLES = Path(strandwright.__file__).parent / "examples"


def spoilt(**changes: object) -> Job:
    """Give the two-cam string's job with values changed, by their dotted places."""
    table = read_job((EXAMPLES / "ridge-string.toml").read_text("utf-8")).model_dump(
        mode="json", exclude_defaults=True
    )
    for place, value in changes.items():
        inside: Any = table
        *folders, last = place.split("__")
        for name in folders:
            inside = inside[int(name)] if isinstance(inside, list) else inside.setdefault(name, {})
        inside[last] = value
    return job_from_table(table)


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.toml")), ids=lambda path: path.stem)
def test_a_real_job_passes(path):
    """No example is refused."""
    refuse_impossible(read_job(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize("place", sorted(RANGES))
def test_every_range_is_one_of_the_job_file(place):
    """Each place named here exists in the schema, and its ends are in order."""
    schema = job_schema()
    here = schema
    for name in place.split("."):
        here = _inside(schema, here)["properties"][name]
    low, high = (
        parse(RANGES[place].dimension, text, field=place, signed=True).value
        for text in (RANGES[place].low, RANGES[place].high)
    )
    assert low < high


def _inside(schema: dict, node: dict) -> dict:
    """Follow references, lists and choices to the table a field holds."""
    for _ in range(6):
        if "$ref" in node:
            node = schema["$defs"][node["$ref"].rsplit("/", 1)[1]]
        elif "anyOf" in node:
            node = node["anyOf"][0]
        elif "items" in node:
            node = node["items"]
        elif "allOf" in node:
            node = node["allOf"][0]
    return node


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"line__finished": "57 m"}, "line.finished"),
        ({"bench__drag": "0 lbf"}, "bench.drag"),
        ({"line__servings__1__tension": "0 lbf"}, "line.servings[2].tension"),
        ({"original__readings__0__zero_post": "3/4 in", "line__finished": None},
         "original.readings[1].zero_post"),
        ({"line__zero_end__size": "3/8 in"}, "line.zero_end.size"),
        ({"bench__loop_pin": "5/8 in"}, "bench.loop_pin"),
        ({"route": {"wound_at": "130 in"}}, "route.wound_at"),
        ({"build": {"wound_at": "20 in"}}, "build.wound_at"),
        ({"line__far_end__peg": "hook"}, "line.far_end.peg"),
        ({"line__marks__1__name": "nock"}, "line.marks[2].name"),
        ({"makeup__pattern": "thirds"}, "makeup.pattern"),
        ({"original__turns": float("nan")}, "original.turns"),
    ],
)
def test_the_field_is_named_as_in_the_file(changes, field):
    """One spoilt entry gives one error, with the place where it is written."""
    with pytest.raises(InputError) as caught:
        refuse_impossible(spoilt(**changes))
    assert field == caught.value.field
    assert caught.value.rule
    assert caught.value.remedy


def test_several_are_told_together():
    """Two spoilt entries are one error that holds both, in the order of the file."""
    with pytest.raises(InputErrors) as caught:
        refuse_impossible(spoilt(bench__zero_post="0 in", bench__drag="90 lbf"))
    assert ["bench.zero_post", "bench.drag"] == [error.field for error in caught.value.errors]


def test_the_ends_of_a_range_are_allowed():
    """A size at the very end of its range passes."""
    refuse_impossible(spoilt(bench__drag="40 lbf"))
    with pytest.raises(InputError):
        refuse_impossible(spoilt(bench__drag="40.1 lbf"))


def test_legs_take_room_in_the_loop():
    """A bare pin of the loop's own girth does not go in: the legs are round it too."""
    girth = "0.55 in"  # twice 7/8 in laid flat goes round 0.557 in
    with pytest.raises(InputError) as caught:
        refuse_impossible(spoilt(bench__loop_pin=girth))
    assert caught.value.field == "bench.loop_pin"
    refuse_impossible(spoilt(bench__loop_pin="0.48 in"))


def test_a_pin_of_a_reading_nobody_needs_is_let_be():
    """A length asked for does not hang on the pin that the original was read over."""
    refuse_impossible(spoilt(original__readings__0__zero_post="3/4 in"))


def test_the_originals_own_loop_is_what_its_pin_must_pass():
    """A worn line of larger loops than the new one was read over a thicker post."""
    places = {"original__readings__0__zero_post": "3/4 in", "line__finished": None}
    refuse_impossible(spoilt(**places, original__zero_loop="2 in", original__far_loop="2 in"))
