"""Stored sheet data: complete, typed, and printed again unchanged."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from sample_plan import sample_plan

from strandwright.errors import SheetError
from strandwright.planning.cautions import DEFER
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import example
from strandwright.planning.plan_line import plan_line
from strandwright.planning.written import Written
from strandwright.sheets import render_sheet, sheet_data, write_sheet
from strandwright.sheets.prose import Prose, prose, words
from strandwright.sheets.records import Pen, count
from strandwright.statistics.acceptance import judge
from strandwright.units import INCH, LBF
from strandwright.workshop.job import job_from_table


def as_text(parts: Prose) -> str:
    """Join prose back into plain text, as it is printed."""
    return "".join(part if isinstance(part, str) else part["text"] for part in parts)


def test_stored_data_prints_the_same_bytes() -> None:
    """Data that went through JSON, as a store keeps it, prints the very same file."""
    data = sheet_data(sample_plan())
    stored = json.loads(json.dumps(data, allow_nan=False))
    assert stored == data
    assert render_sheet(data) == render_sheet(stored)


def test_the_same_plan_gives_the_same_data() -> None:
    """Nothing of the clock or the machine enters the data."""
    assert sheet_data(sample_plan()) == sheet_data(sample_plan())


def test_the_typesetter_waits_until_something_is_printed() -> None:
    """Looking at sheets imports neither typesetter nor code maker, so other commands stay quick."""
    code = (
        "import sys, strandwright.sheets as s;"
        "print(sorted({'typst', 'pypdf', 'segno'} & set(sys.modules)), s.__all__)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.startswith("[] ")


@pytest.mark.parametrize("name", ["sheet_9", "../sheet_1", "sheet_1.typ", None, 1])
def test_an_unknown_template_is_refused_with_a_remedy(name: object) -> None:
    """A sheet of another version is not printed by the wrong template, nor by any other file."""
    data = sheet_data(sample_plan()) | {"template": name}
    with pytest.raises(SheetError, match="plan the job again"):
        render_sheet(data)


def test_broken_data_is_a_sheet_error() -> None:
    """Data that the template cannot set ends in our error, with what to do."""
    data = sheet_data(sample_plan())
    del data["steps"]
    with pytest.raises(SheetError, match="plan the job again"):
        render_sheet(data)


def test_a_file_that_cannot_be_written_says_what_to_do(tmp_path: Path) -> None:
    """A folder that is not there is named, with a remedy."""
    with pytest.raises(SheetError, match="choose a folder"):
        write_sheet(sample_plan(), tmp_path / "missing" / "sheet.pdf")


def test_the_proof_rule_is_never_rounded_towards_acceptance() -> None:
    """The printed acceptance limit is at most the computed one, the rejection at least it."""
    pen = Pen(Written("in", 16))
    for sixty_fourths in (0.3, 0.9, 1.4, 2.0, 3.99):
        limit = sixty_fourths * INCH / 64.0
        accept, reject = pen.limit(limit, inwards=True), pen.limit(limit, inwards=False)
        low, high = prose(accept["text"])[0]["si"], prose(reject["text"])[0]["si"]
        assert low <= limit * (1.0 + 1e-5)
        assert high >= limit * (1.0 - 1e-5)
        assert high - low <= INCH / 64.0 + 1e-9


def test_a_bench_too_coarse_to_accept_says_so() -> None:
    """Where no reading could accept the line, the sheet has no acceptance limit to go by."""
    plan = sample_plan()
    proof = judge(0.0, plan.target.tolerance, plan.target.tolerance)
    coarse = replace(plan, landing=replace(plan.landing, proof=proof))
    rule = sheet_data(coarse)["readings"]["proof"]
    assert rule["can_accept"] is False
    assert "too coarse" in rule["sentence"]


def test_the_line_beside_the_steps_follows_the_route() -> None:
    """It starts as bare posts, is laid, then twisted, then served, and never goes back."""
    lies = [step["lies"] for step in sheet_data(sample_plan())["steps"]]
    order = ["posts", "laid", "twisted", "served"]
    assert lies[0] == "posts"
    assert set(lies) == set(order)
    assert lies == sorted(lies, key=order.index)


def test_each_caution_of_the_plan_stands_at_its_step() -> None:
    """No caution is lost or moved on its way to the sheet."""
    plan = sample_plan()
    rows = sheet_data(plan)["steps"]
    assert any(step.caution for step in plan.steps)
    for step, row in zip(plan.steps, rows, strict=True):
        # What is said for the whole sheet stands once, in the box below the route.
        assert step.caution.replace(DEFER, "").strip() in as_text(row["caution"])


def test_cautions_told_apart_are_the_whole() -> None:
    """Apart they say what the step cautions of, and one told at two steps has the same letter."""
    rows = sheet_data(sample_plan())["steps"]
    letters: dict[str, set[str]] = {}
    for row in rows:
        told = [as_text(c["text"]) for c in row["cautions"]]
        assert " ".join(told) == as_text(row["caution"])
        for text, c in zip(told, row["cautions"], strict=True):
            letters.setdefault(text, set()).add(c["mark"])
            assert text.startswith(as_text(c["short"]))
    assert any(len(row["cautions"]) > 1 for row in rows)
    assert all(len(marks) == 1 for marks in letters.values())
    marks = [mark for found in letters.values() for mark in found if mark]
    assert len(marks) == len(set(marks)) > 1


@pytest.mark.parametrize(
    ("text", "kind", "si", "unit"),
    [
        ("expect 57 1/4 in", "setting", 57.25 * INCH, "m"),
        ("57 1/4 ± 1/32 in", "value", 57.25 * INCH, "m"),
        ("300 lbf for the night", "setting", 300.0 * LBF, "N"),
        ("24 strands", "count", 24.0, "1"),
        ("24 in spruce", "count", 24.0, "1"),
        ("rest 30 min", "setting", 1800.0, "s"),
        ("26 3/4 to 30 1/2 in", "setting", 26.75 * INCH, "m"),
    ],
)
def test_a_number_in_a_sentence_is_typed(text: str, kind: str, si: float, unit: str) -> None:
    """The first number of a sentence is found with its kind, SI value and unit."""
    parts = prose(text)
    found = next(part for part in parts if not isinstance(part, str))
    assert as_text(parts) == text
    assert (kind, unit) == (found["kind"], found["unit"])
    assert si == pytest.approx(found["si"])


def test_a_number_inside_a_name_is_left_alone() -> None:
    """Thread and job names keep their figures; they measure nothing."""
    assert prose("braid-018, RIDGE-1, M8") == ["braid-018, RIDGE-1, M8"]


def test_a_limit_in_a_caution_is_marked_as_one() -> None:
    """A load in a caution is a limit that keeps people whole."""
    assert prose("up to 300 lbf", caution=True)[1]["kind"] == "caution limit"


def test_direction_marks_and_line_breaks_do_not_reach_the_paper() -> None:
    """What would turn the numbers after it round is taken out; lines become one."""
    assert words("a\u202eb\nc\x07 d") == "ab c d"


def test_halves_are_counted_as_halves() -> None:
    """Half turns are written as fractions and one is singular."""
    texts = [count(n, "turn")["text"] for n in (0.5, 1, 1.5, 29)]
    assert texts == ["1/2 turn", "1 turn", "1 1/2 turns", "29 turns"]
    assert count(3, "pass")["text"] == "3 passes"


@pytest.mark.parametrize("fraction", [8, 16, 64])
def test_the_step_turns_are_told_for_is_never_written_as_nothing(fraction: int) -> None:
    """On a coarse paper it is that paper's fraction, and the turns are for as much."""
    tables = tables_of(example("TARN-1"))
    tables["paper"] = tables.get("paper", {}) | {"fraction": fraction}
    data = sheet_data(plan_line(job_from_table(tables)))["readings"]
    coarse = min(16, fraction)
    assert data["step"]["text"] == f"1/{coarse} in"
    each = abs(data["next_turn"]["si"])
    told = data["rows"][-1]["otherwise"]["si"]
    assert told == pytest.approx(0.0254 / coarse / each, abs=0.26)
