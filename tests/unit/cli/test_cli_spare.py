"""The command ``spare``: a matched spare from the record of a finished build."""

from __future__ import annotations

import json

import pytest

from bench_work import Work
from finished_line import finish
from strandwright.planning.desk.exchange import build_table, take_in
from strandwright.planning.desk.exchange import read_build as read_table
from strandwright.planning.examples import example
from strandwright.store.open import open_store

AT = "2026-03-05T09:00:00.000Z"


@pytest.fixture(scope="module")
def builds():
    """Give the records of a finished build and of one under way, as their files hold them."""
    made, under_way = finish(Work()), Work("RIDGE-2")
    under_way.build = "f" * 32
    under_way.advice = under_way.desk.start("RIDGE-2", "f" * 32, "e" * 32, at=AT)
    return [read_table(build_table(work.desk.store, work.build)) for work in (made, under_way)]


@pytest.fixture
def store(tmp_path, builds):
    """Give the place of a store that holds both."""
    place = str(tmp_path / "s.sqlite3")
    opened = open_store(place)
    take_in(opened, [example("RIDGE-1"), example("RIDGE-2")], builds, at=AT)
    opened.close()
    return place


def test_a_spare_is_kept_under_the_next_free_id(run, store):
    """Twice made it is two jobs, and what differs is said."""
    first = run("spare", "RIDGE-1", "--store", store)
    assert 0 == first.exit_code, first.stderr
    assert "[RIDGE-1.2]" in first.output
    assert "57 1/4 in" in first.output
    assert "nobody wrote down which lot" in first.output
    second = run("spare", "RIDGE-1", "--store", store, "--lot", "7", "--json")
    told = json.loads(second.output)
    assert "RIDGE-1.3" == told["id"]
    assert "lot" in [row["of"] for row in told["differences"]]


def test_to_look_keeps_nothing(run, store):
    """The same answer, and no job."""
    looked = run("spare", "RIDGE-1", "--store", store, "--look")
    assert ", not kept" in looked.output
    again = run("spare", "RIDGE-1", "--store", store)
    assert "[RIDGE-1.2]" in again.output


@pytest.mark.parametrize(
    ("given", "said", "code"),
    [
        (["RIDGE-2"], "was never locked", 5),
        (["RIDGE-9"], "no build of 'RIDGE-9' is kept here", 5),
        (["RIDGE-1", "--bench", "none"], "no bench 'none' is kept here", 5),
        (["RIDGE-1", "--id", "a b"], "--id: 'a b': must be 1 to 40 letters", 2),
        (["RIDGE-1", "--id", "RIDGE-2"], "is kept here already", 5),
        (["RIDGE-1", "--name", "n" * 121], "--name", 2),
        (["RIDGE-1", "--lot", "7" * 61], "--lot", 2),
    ],
)
def test_what_cannot_be_is_refused(run, store, given, said, code):
    """With what to do, and nothing is kept."""
    result = run("spare", *given, "--store", store)
    assert code == result.exit_code
    assert said in result.stderr
    assert "[RIDGE-1.2]" in run("spare", "RIDGE-1", "--store", store).output
