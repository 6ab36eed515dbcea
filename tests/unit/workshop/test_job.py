"""The job file: it is read strictly, written back whole, and says plainly what is wrong with it."""

from __future__ import annotations

import tomllib

import jsonschema
import pytest
import tomli_w

from sample_job import EXAMPLE_NAMES, EXAMPLES, ORDERS, RIDGE, job_of, table_of
from strandwright.errors import InputError, InputErrors, SpecError, UnitError
from strandwright.workshop.job import (
    FORMAT,
    job_from_table,
    job_schema,
    read_job,
    write_job,
)


def errors_of(changes):
    """Give what is wrong with the ridge string's job after these changes."""
    with pytest.raises((InputError, InputErrors)) as caught:
        job_from_table(table_of(RIDGE, changes))
    error = caught.value
    return error.errors if isinstance(error, InputErrors) else (error,)


@pytest.mark.parametrize("path", EXAMPLES, ids=EXAMPLE_NAMES)
def test_examples_survive_a_round_trip(path):
    """Written and read back, an example is the same job; written twice, the same text."""
    job = read_job(path.read_text("utf-8"))
    text = write_job(job)
    assert read_job(text) == job
    assert write_job(read_job(text)) == text


@pytest.mark.parametrize("path", EXAMPLES, ids=EXAMPLE_NAMES)
def test_what_was_typed_is_kept(path):
    """A quantity is written back as it was typed, not as a decimal of metres."""
    typed = tomllib.loads(path.read_text("utf-8"))
    written = tomllib.loads(write_job(read_job(path.read_text("utf-8"))))
    assert written["bench"]["zero_post"] == typed["bench"]["zero_post"]
    assert written["line"]["zero_end"]["size"] == typed["line"]["zero_end"]["size"]
    assert written["makeup"]["twist"] == typed["makeup"]["twist"]
    assert written["format"] == FORMAT


def test_defaults_are_left_out():
    """A file is not filled with what nobody typed."""
    text = write_job(job_of(RIDGE))
    assert "build" not in tomllib.loads(text)
    assert "layers" not in tomllib.loads(text)["bench"]


BAD = [
    ("line.finished", "57 1/4", UnitError, "57 1/4", "unit"),
    ("line.finished", 57.25, UnitError, 57.25, "text with its unit"),
    ("line.finished", "57 1/4 lbf", UnitError, "57 1/4 lbf", ""),
    ("line.finished", "-3 in", UnitError, "-3 in", "negative"),
    ("line.finished", "57,25 in", UnitError, "57,25 in", "comma"),
    ("line.finished", "5/0 in", UnitError, "5/0 in", ""),
    ("line.finished", "", UnitError, "", "nothing was typed"),
    ("bow.draw_weight", "60 kg m", UnitError, "60 kg m", ""),
    ("bow.kind", "twocam", SpecError, "twocam", "choice"),
    ("bench.gauge", "guess", SpecError, "guess", "choice"),
    ("bench.rating", "strong", UnitError, "strong", ""),
    ("bench.tape", 3, SpecError, "3", "choice"),
    ("makeup.strands", 1, SpecError, "1", "2"),
    ("makeup.strands", 24.5, SpecError, "24.5", "whole number"),
    ("makeup.turns", float("nan"), SpecError, "nan", ""),
    ("makeup.turns", -1, SpecError, "-1", "0"),
    ("makeup.hand", "left", SpecError, "left", "choice"),
    ("makeup.colours.0.colour", "green", SpecError, "green", "six hexadecimal digits"),
    ("paper.fraction", 12, SpecError, "12", "choice"),
    ("id", "RIDGE 1", SpecError, "RIDGE 1", ""),
    ("id", "../x", SpecError, "../x", ""),
    ("name", "", SpecError, "", ""),
    ("format", 2, SpecError, "2", "choice"),
    ("route.order", "twist last", SpecError, "twist last", "choice"),
    ("line.marks.0.from_far_end", "perhaps", SpecError, "perhaps", ""),
]


CHOICES = {
    "bow.kind": ("one-cam", "two-cam", "hybrid-cam", "recurve", "longbow", "crossbow"),
    "bench.gauge": ("load cell", "spring scale", "none"),
    "bench.tape": ("steel", "glass fibre", "cloth"),
    "makeup.hand": ("S", "Z"),
    "paper.fraction": ("8", "16", "32", "64"),
    "format": ("1",),
    "route.order": ORDERS,
}


@pytest.mark.parametrize(("place", "value", "kind", "given", "rule"), BAD)
def test_a_bad_value_names_field_value_rule_and_remedy(place, value, kind, given, rule):
    """One bad value gives one error: where, what was given, what it breaks, what to do."""
    (error,) = errors_of({place: value})
    counted = ".".join(
        part if not part.isdigit() else f"[{int(part) + 1}]" for part in place.split(".")
    ).replace(".[", "[")
    assert type(error) is kind
    assert error.field == counted
    assert str(error.given) == str(given)
    # A rule that offers choices names every one of them.
    choices = CHOICES.get(place, ()) if rule == "choice" else (rule,)
    assert all(word in f"{error.rule} {error.remedy}" for word in choices)
    assert error.rule.strip()
    assert error.remedy.strip()
    assert str(error).startswith(f"{counted}: ")


@pytest.mark.parametrize(
    ("place", "near"),
    [
        ("line.finish", "finished"),
        ("bench.zero_posts", "zero_post"),
        ("makeup.strand_count", "strand"),
        ("bow.nok", "nock"),
    ],
)
def test_an_unknown_key_is_never_ignored(place, near):
    """A misspelt key is an error, with the key that was probably meant."""
    (error,) = errors_of({place: "1 in"})
    assert error.field == place
    assert "key" in error.rule
    assert near in error.remedy


def test_a_key_like_no_other_is_to_be_taken_out():
    """Where nothing is near, the remedy is to remove it."""
    (error,) = errors_of({"bow.zzyzx": "1"})
    assert error.remedy.startswith("take it out")


@pytest.mark.parametrize("place", ["id", "bow.kind", "line.zero_end.size", "bench.zero_post"])
def test_what_is_missing_is_named(place):
    """A needed entry that is not there is named with its whole place."""
    (error,) = errors_of({place: None})
    assert (error.field, error.given) == (place, "nothing")
    assert "add it" in error.remedy


def test_all_errors_come_at_once():
    """Three mistakes are told together, each with its field."""
    found = errors_of({"line.finished": "57", "bow.kind": "x", "makeup.strands": 0})
    assert {e.field for e in found} == {"line.finished", "bow.kind", "makeup.strands"}


@pytest.mark.parametrize("word", ["hand-tight", "unknown", " Hand-Tight "])
def test_a_load_may_be_said_in_words(word):
    """What nobody measured is a word, read without regard to case and blanks."""
    job = job_of(RIDGE, {"original.readings.0.load": word})
    assert job.original.readings[0].load == word.strip().lower()
    assert read_job(write_job(job)) == job


def test_a_wrong_word_is_told_the_right_ones():
    """A load in other words is refused with the words that may stand there."""
    (error,) = errors_of({"original.readings.0.load": "tightish"})
    assert error.field == "original.readings[1].load"
    assert "or write hand-tight or unknown" in error.remedy


def test_text_that_is_no_toml_says_so():
    """A file that cannot be read at all names the file and the line."""
    with pytest.raises(SpecError, match="must be valid TOML") as caught:
        read_job('id = "A"\nname = = 3', source="bench.toml")
    assert caught.value.field == "bench.toml"
    assert "line 2" in str(caught.value)


def test_a_jobs_parts_are_frozen():
    """A job is never changed in place."""
    job = job_of(RIDGE)
    with pytest.raises(ValueError, match="frozen"):
        job.name = "another"  # pyright: ignore[reportAttributeAccessIssue]


SCHEMA = job_schema()


@pytest.fixture(scope="module")
def check():
    """Check tables against the published schema."""
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    return jsonschema.Draft202012Validator(SCHEMA)


@pytest.mark.parametrize("path", EXAMPLES, ids=EXAMPLE_NAMES)
def test_schema_accepts_each_example(path, check):
    """Another program's validator accepts every packaged example."""
    assert list(check.iter_errors(tomllib.loads(path.read_text("utf-8")))) == []


@pytest.mark.parametrize(
    ("place", "value"),
    [
        ("bow.kind", "twocam"),
        ("makeup.strands", 1),
        ("line.finished", 57.25),
        ("bench.zero_posts", "1/2 in"),
        ("makeup.colours.0.colour", "green"),
        ("paper.fraction", 12),
        ("id", "RIDGE 1"),
        ("bench.zero_post", None),
    ],
)
def test_schema_rejects_a_wrong_job(place, value, check):
    """What the program refuses for its shape, the schema refuses too."""
    table = table_of(RIDGE, {place: value})
    assert list(check.iter_errors(table))
    with pytest.raises((InputError, InputErrors)):
        job_from_table(table)


def test_schema_tells_how_quantities_are_written():
    """A quantity's description and examples can be shown by an editor, and can be read."""
    finished = SCHEMA["$defs"]["LineSpec"]["properties"]["finished"]["anyOf"][0]
    assert "length with its unit" in finished["description"]
    for text in finished["examples"]:
        read = job_of(RIDGE, {"line.finished": text}).line.finished
        assert read is not None
        assert read.text == text


def test_every_examples_table_is_plain_toml():
    """A job's tables can be written by any TOML writer: text, numbers, lists, nothing else."""
    for name in EXAMPLE_NAMES:
        table = table_of(name)
        assert tomllib.loads(tomli_w.dumps(table)) == table
