"""Set files in and out of the store, and their schema."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

import strandwright
from strandwright.workshop.line_set import read_set, set_schema, set_table

SET = Path(strandwright.__file__).parent / "examples" / "sets" / "ridge.toml"
LINES = ("ridge-string", "ridge-upper-cable", "ridge-lower-cable")


@pytest.fixture
def files(example):
    """Give the job files of the ridge bow."""
    return [example(name) for name in LINES]


def test_a_set_goes_into_the_store_with_its_jobs_and_out_again(run, files):
    """Taken in twice it is one; its file comes out without paths, which mean nothing there."""
    for _ in range(2):
        result = run("import", str(SET), *files, "--store", "s.sqlite3")
        assert 0 == result.exit_code, result.stderr
        assert "kept set RIDGE" in result.output
    assert 0 == run("export", "RIDGE", "--store", "s.sqlite3").exit_code
    out = read_set(Path("RIDGE.toml").read_text(encoding="utf-8"))
    assert read_set(SET.read_text(encoding="utf-8")).jobs == out.jobs
    assert not any(line.file for line in out.lines)
    assert 0 == run("set", "RIDGE.toml", "--store", "s.sqlite3").exit_code


def test_a_set_without_its_jobs_brings_in_nothing(run, files):
    """Not even the jobs that came with it."""
    result = run("import", str(SET), files[0], "--store", "s.sqlite3")
    assert 2 == result.exit_code
    assert "lines[2].job: 'RIDGE-2': must be a job that is kept here" in result.stderr
    assert 5 == run("export", "RIDGE-1", "--store", "s.sqlite3").exit_code


def test_another_set_of_that_id_is_refused(run, files):
    """Against the store, and against another file of the same command."""
    text = SET.read_text(encoding="utf-8").replace("Lines of the ridge bow", "other")
    Path("other.toml").write_text(text, encoding="utf-8")
    together = run("import", str(SET), "other.toml", *files, "--store", "s.sqlite3")
    assert 5 == together.exit_code
    assert "is kept already with other content" in together.stderr
    run("import", str(SET), *files, "--store", "s.sqlite3")
    assert 5 == run("import", "other.toml", "--store", "s.sqlite3").exit_code


def test_the_schema_takes_the_packaged_set(run):
    """On the terminal and in a file; it is a schema, and the set keeps to it."""
    told = json.loads(run("schema", "--set").output)
    assert told == set_schema()
    assert "wrote s.json" in run("schema", "--set", "-o", "s.json").output
    assert told == json.loads(Path("s.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(told)
    table = set_table(read_set(SET.read_text(encoding="utf-8")))
    jsonschema.validate(table, told)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(table | {"lines": [{"file": "a.toml"}]}, told)
