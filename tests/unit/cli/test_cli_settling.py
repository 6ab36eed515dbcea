"""The command settling: entries written one by one, and what is to be done, in words and JSON."""

from __future__ import annotations

import json

import pytest

from bench_work import Work
from finished_line import finish
from strandwright.store.open import open_store


@pytest.fixture(scope="module")
def finished() -> list[dict]:
    """Give everything a store holds with a finished ridge string in it."""
    return list(finish(Work()).desk.store.contents())


@pytest.fixture
def settling(run, finished, tmp_path):
    """Run the command on a store with a finished line."""
    place = str(tmp_path / "shop.sqlite3")
    store = open_store(place)
    store.take_in(finished)
    store.close()

    def ran(*options, line="RIDGE-1"):
        return run("settling", line, "--store", place, *options)

    return ran


def written(settling):
    """Give what is written."""
    return json.loads(settling("--json").output)["entries"]


def test_a_line_is_followed_by_its_job_s_name(settling):
    """Fitted, read and read again: still moving, then what to do; dates by day, shots by count."""
    assert settling().output.startswith("Not on a bow yet\n")
    settling("--on-bow", "--at", "2026-03-04")
    said = settling("--length", "57 1/4 in", "--at", "2026-03-04")
    assert said.output.startswith("Still moving\n")
    settling("--length", "57 1/4 in", "--shots", "60", "--at", "2026-03-07")
    settling("--length", "57 1/4 in", "--shots", "120", "--at", "2026-03-10")
    said = settling("--length", "57 1/4 in", "--shots", "250", "--at", "2026-03-16", "--by", "Ada")
    assert said.output.startswith("Done: it has settled\n")
    assert "2026-03-16    250  length 57 1/4 in" in said.output
    assert "What is told of wear and age" in said.output
    assert "about 2 years (a public page; common practice" in said.output


@pytest.mark.parametrize(
    ("options", "text"),
    [
        (("--turns", "-1"), "1 turn taken out"),
        (("--off-and-on",), "off the bow and on again"),
        (("--as-wanted",), "the bow is as wanted"),
        (("--waxed",), "waxed"),
        (("--seen", "fuzzy strand", "--seen", "loose serving"),
         "looked over: fuzzy strand, loose serving"),
        (("--dry-fired",), "dry-fired, or a line jumped off"),
        (("--replace-after", "24 months"), "to be replaced after 24 months"),
        (("--replace-after", "5000 shots"), "to be replaced after 5000 shots"),
        (("--brace", "7 in", "--per-length", "-2.5"), "brace height 7 in"),
        (("--axles", "33 in", "--per-length", "1"), "axle to axle 33 in"),
        (("--retire", "sold"), "taken off for good: sold"),
    ],
)  # fmt: skip
def test_everything_that_happens_can_be_written(settling, options, text):
    """Each has its option, and stands in the list in words."""
    settling("--on-bow", "--at", "2026-03-04")
    said = settling(*options, "--shots", "30", "--at", "2026-03-06")
    assert 0 == said.exit_code, said.stderr
    assert text == written(settling)[-1]["text"]


def test_an_entry_is_taken_back_by_its_number(settling):
    """A cut strand that was none: the line is drawn again."""
    settling("--on-bow", "--at", "2026-03-04")
    assert settling("--seen", "cut strand", "--at", "2026-03-05").output.startswith("Do not draw")
    said = settling("--take-back", "2", "--at", "2026-03-05")
    assert said.output.startswith("Still moving")
    assert "taken back" in said.output


@pytest.mark.parametrize(
    ("options", "named"),
    [
        (("--length", "7 in"), "--length"),
        (("--length", "57 lbf"), "--length"),
        (("--shots", "-3", "--waxed"), "--shots"),
        (("--turns", "0.2"), "--turns"),
        (("--replace-after", "soon"), "--replace-after"),
        (("--take-back", "9"), "--take-back"),
        (("--waxed", "--dry-fired"), "options"),
        (("--waxed", "--at", "noon"), "--at"),
        (("--seen", "moth"), "--seen"),
    ],
)
def test_a_slip_is_named_by_its_option(settling, options, named):
    """Exit code 2, one line, nothing kept."""
    settling("--on-bow", "--at", "2026-03-04")
    said = settling(*options)
    assert 2 == said.exit_code
    assert said.stderr.startswith(named)
    assert 1 == len(written(settling))


def test_a_line_that_is_not_there_is_told(settling):
    """Exit code 5."""
    said = settling(line="MOOR-9")
    assert 5 == said.exit_code
    assert "MOOR-9" in said.stderr
