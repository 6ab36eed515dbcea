"""The words of the job file's errors: plain rules, and the value as it stands in the file."""

from __future__ import annotations

from datetime import date

import pytest

from sample_job import RIDGE, table_of
from strandwright.errors import InputError, InputErrors, SpecError
from strandwright.workshop.job import job_from_table, read_job


def error_of(changes: dict) -> InputError:
    """Give the one thing that is wrong with the ridge string's job after these changes."""
    with pytest.raises((InputError, InputErrors)) as caught:
        job_from_table(table_of(RIDGE, changes))
    assert isinstance(caught.value, InputError), caught.value
    return caught.value


@pytest.mark.parametrize(
    ("place", "value", "given", "rule"),
    [
        ("id", "RIDGE 1", "RIDGE 1", "must be 1 to 40 letters, digits, points, hyphens and "
         "underscores, beginning with a letter or digit"),
        ("name", "", "", "must not be empty"),
        ("name", "x" * 121, "x" * 57 + "...", "must be 120 characters at most"),
        ("line.finished", 57.25, "57.25", "must be text with its unit"),
        ("line.finished", date(2026, 1, 2), "2026-01-02", "must be text with its unit"),
        ("line.finished", True, "true", "must be text with its unit"),
        ("line.name", 5, "5", "must be text"),
        ("line.name", ["a"], "[ ... ]", "must be text"),
        ("line.name", {"a": 1}, "{ ... }", "must be text"),
        ("line.marks", 5, "5", "must be a list"),
        ("bow.nock", 5, "5", "must be a table"),
        ("bow.old_or_wooden", 5, "5", "must be true or false"),
        ("makeup.strands", 24.5, "24.5", "must be a whole number"),
        ("makeup.strands", "many", "many", "must be a whole number"),
        ("makeup.strands", 1, "1", "must be 2 or more"),
        ("makeup.turns", "many", "many", "must be a number"),
        ("makeup.turns", float("nan"), "nan", "must be a finite number"),
        ("makeup.turns", float("inf"), "inf", "must be a finite number"),
        ("makeup.turns", 301, "301", "must be 300 or less"),
        ("makeup.hand", "left", "left", "must be 'S' or 'Z'"),
        ("makeup.colours.0.colour", "green", "green", "must be # and six hexadecimal digits"),
    ],
)  # fmt: skip
def test_the_rule_is_in_the_words_of_the_bench(place, value, given, rule):
    """No kind of wrong value is answered in the words of a library."""
    error = error_of({place: value})
    assert (error.given, error.rule) == (given, rule)
    assert error.remedy


def test_only_keys_of_the_same_table_are_suggested():
    """A key that another table has is no help here."""
    assert "fraction" not in error_of({"makeup.fraction": 16}).remedy
    error = error_of({"line.servings.0.strt": "1 in"})
    assert (error.field, error.remedy) == ("line.servings[1].strt", "did you mean start?")


def test_where_no_key_is_near_the_known_ones_are_listed():
    """Somebody who guessed sees what may stand there."""
    assert error_of({"bow.nock.zzyzx": "1"}).remedy == "take it out; known here: entry, seat"


@pytest.mark.parametrize("value", ["[" * 4000, "9" * 5000])
def test_what_no_reader_can_hold_is_malformed(value):
    """Brackets a thousand deep and endless numbers are told like any other broken file."""
    with pytest.raises(SpecError, match="must be valid TOML") as caught:
        read_job(f"a = {value}", source="deep.toml")
    assert (caught.value.field, caught.value.given) == ("deep.toml", "malformed")


def test_a_broken_line_is_shown():
    """The line that is not TOML stands there as the value, and its number in the rule."""
    with pytest.raises(SpecError) as caught:
        read_job('id = "A"\nname = = 3\n', source="bench.toml")
    assert "name = = 3" == caught.value.given
    assert "line 2" in caught.value.rule
    assert "\n" not in str(caught.value)
