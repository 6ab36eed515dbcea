"""The command look-again: which lines on bows are due, in words and JSON."""

from __future__ import annotations

import json

import pytest

from bench_work import Work
from finished_line import Life, finish
from strandwright.planning.settling.keeping import write
from strandwright.store.open import open_store


@pytest.fixture(scope="module")
def place(tmp_path_factory) -> str:
    """Give a store with a line that was dry-fired on its bow."""
    work, life = finish(Work()), Life()
    work.now = work.now.replace(year=2026, month=4)
    for row in (life("on-bow"), life("dry-fired", 3, 80)):
        write(work.desk, work.build, row)
    found = str(tmp_path_factory.mktemp("register") / "shop.sqlite3")
    store = open_store(found)
    store.take_in(work.desk.store.contents())
    store.close()
    return found


def test_a_line_is_told_with_its_day_and_why(run, place):
    """Due, by what was written of it."""
    said = run("look-again", "--store", place).output
    assert said.startswith("1 due, 0 soon, 0 later\n")
    assert "do not draw it: the bow was dry-fired" in said
    assert "the ranger at Harrowdene" in said


def test_each_source_for_itself(run, place):
    """With --sources every one stands in its own line."""
    said = run("look-again", "--store", place, "--sources", "--due").output
    assert "every year, as prevention" in said
    assert "3 to 4 years" in said
    assert "none was averaged" in said


def test_as_json_and_by_words(run, place):
    """What the page shows."""
    told = json.loads(run("look-again", "--store", place, "--json").output)
    assert (1, "due") == (told["counts"]["due"], told["due"][0]["when"])
    assert run("look-again", "--store", place, "--words", "tarn").output.startswith("0 due")
