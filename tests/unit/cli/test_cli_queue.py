"""The command ``queue``: the list, a day with its page, why something is late."""

from __future__ import annotations

import json
from datetime import date

import pytest


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    """A store with two lines to build, one due long ago."""
    from strandwright.planning.desk.builds import Desk
    from strandwright.planning.entries.editing import tables_of
    from strandwright.planning.examples import examples
    from strandwright.planning.queue.keeping import keep_queue
    from strandwright.store.open import open_store

    path = str(tmp_path_factory.mktemp("queue") / "shop.db")
    kept = open_store(path)
    desk = Desk(kept)
    for name in ("RIDGE-1", "BECK-1"):
        desk.add_job(tables_of(examples()[name]))
    keep_queue(desk, {"due": [{"job": "BECK-1", "day": "2020-01-02"}]}, 0)
    kept.close()
    return path


def test_the_list_tells_jobs_days_and_the_bound(run, store):
    """What is late is told with its chain, and what is proved."""
    found = run("queue", "--store", store)
    assert found.exit_code == 0, found.output
    assert "2 lines to build" in found.output and "BECK-1 is late" in found.output
    assert "Why BECK-1 is late" in found.output
    assert "proved" in found.output.lower()
    assert "let down at" in found.output


def test_a_day_with_its_page(run, store, tmp_path):
    """One day as JSON, and a PDF beside it."""
    told = json.loads(run("queue", "--store", store, "--json").output)
    day = told["tasks"][0]["start"][:10]
    found = run("queue", "--store", store, "--day", day, "--sheet", "-o", "day.pdf", "--json")
    assert found.exit_code == 0, found.output
    assert (tmp_path / "day.pdf").read_bytes().startswith(b"%PDF")
    assert date.fromisoformat(day).isoformat() == day


def test_what_would_mend_it(run, store):
    """A job in time needs no mending; one that is not there is refused."""
    found = run("queue", "--store", store, "--late", "RIDGE-1")
    assert found.exit_code == 0 and "Why RIDGE-1" in found.output
    assert run("queue", "--store", store, "--late", "NONE").exit_code == 2


def test_a_day_that_is_none_is_refused(run, store):
    """With how to write it."""
    found = run("queue", "--store", store, "--day", "tomorrow")
    assert found.exit_code == 2
    assert "2026-11-30" in found.output
