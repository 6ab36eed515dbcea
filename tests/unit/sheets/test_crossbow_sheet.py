"""The page of a crossbow for the tuning bench: on one page, in a crossbow's words and cautions."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from typing import Any

import pytest
from paper_reading import printed, records
from pypdf import PdfReader

from strandwright.planning.bow.answers import answer_bow
from strandwright.planning.cautions import CROSSBOW_PRESS, CROSSBOW_UNSTRING, FIRST_COCKING
from strandwright.planning.examples import example
from strandwright.planning.plan_line import plan_line
from strandwright.sheets import render_sheet
from strandwright.sheets.bow import bow_sheet_data
from strandwright.workshop.job import job_from_table

PAPERS = [("in", "letter"), ("mm", "letter"), ("in", "a4"), ("mm", "a4")]
PROD = {
    "crossbow": "recurve",
    "draw_weight": "200 lbf",
    "bow_length": "36 in",
    "draw_length": "20 in",
    "now": {"brace_height": "6 3/4 in"},
}


@cache
def page(kind: str, units: str = "in", size: str = "letter") -> Any:
    """Give the data of a crossbow's page."""
    table = example("FELL-1").model_dump(mode="json", exclude_defaults=True)
    table["paper"] = {"units": units, "size": size}
    if kind == "recurve":
        table["bow"] |= PROD
        for name in ("axle_to_axle", "shot"):
            table["bow"].pop(name)
    plan = plan_line(job_from_table(table))
    return bow_sheet_data(plan, answer_bow(plan.job, plan))


@pytest.mark.parametrize(("units", "size"), PAPERS)
@pytest.mark.parametrize("kind", ["compound", "recurve"])
def test_every_number_is_on_one_page(kind: str, units: str, size: str, need_tool) -> None:
    """Each record's text is found on the paper, and all of it is on a single page."""
    data = page(kind, units, size)
    pdf = render_sheet(data)
    text = printed(pdf, need_tool("pdftotext"))
    found = list(records(data))
    assert len(found) > 10
    assert [r["text"] for r in found if " ".join(r["text"].split()) not in text] == []
    assert len(PdfReader(BytesIO(pdf)).pages) == 1


@pytest.mark.parametrize("kind", ["compound", "recurve"])
def test_its_cautions_stand_where_they_belong(kind: str, need_tool) -> None:
    """Uncocked and as its maker says before any turn, foot and fingers before it is cocked."""
    text = printed(render_sheet(page(kind)), need_tool("pdftotext"))
    before = CROSSBOW_PRESS if kind == "compound" else CROSSBOW_UNSTRING
    first = "1 In the press: turns" if kind == "compound" else "1 Unstrung: turns"
    assert text.index(first) < text.index(f"Caution. {before[:40]}")
    second = text.index("cock, settle, read")
    assert second < text.index(f"Caution. {FIRST_COCKING[:40]}") < text.index("Centre mark over")
    assert f"{kind} crossbow" in text
    for word in ("draw board", "upper", "lower", "Arrow", "true draw"):
        assert word not in text
    assert "Bolt: " in text and "rail and latch" in text


def test_a_kept_sheet_that_knows_no_crossbows_prints_as_it_did() -> None:
    """Data from before has no such key, and is a bow held upright."""
    table = example("MERE-1").model_dump(mode="json", exclude_defaults=True)
    plan = plan_line(job_from_table(table))
    data = bow_sheet_data(plan, answer_bow(plan.job, plan))
    kept = {key: value for key, value in data.items() if key != "crossbow"}
    assert data["crossbow"] is False
    assert render_sheet(kept) == render_sheet(data)
