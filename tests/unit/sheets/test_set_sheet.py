"""The sheets of a set: every number of the cover on the paper, then the sheet of each line."""

from __future__ import annotations

import json
from io import BytesIO

import pytest
from paper_reading import printed, records
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from line_sets import PLANNER, changed_plan, line_set, planned
from sample_job import job_of
from strandwright.errors import SheetError
from strandwright.planning.sets.pictures import NARROWEST, set_pictures
from strandwright.planning.sets.plan_set import plan_set
from strandwright.planning.sets.result import PlannedSet, Unplanned
from strandwright.sheets import render_sheet, sheet_data
from strandwright.sheets.line_set import render_set, set_sheet_data
from strandwright.sheets.render import render_together

NAMES = ("ridge-string", "ridge-upper-cable", "ridge-lower-cable")
PAIRS = [{"one": "RIDGE-2", "other": "RIDGE-3"}]


def on_paper(units: str, size: str) -> PlannedSet:
    """Plan the ridge set for a paper."""
    paper = {"paper": {"units": units, "size": size}}
    return planned(tuple(PLANNER.plan(job_of(name, paper)) for name in NAMES), pairs=PAIRS)


@pytest.mark.parametrize(("units", "size"), [("in", "letter"), ("mm", "a4")])
def test_every_number_of_the_cover_is_on_the_paper(units, size, need_tool):
    """Each record's text is found."""
    data = set_sheet_data(on_paper(units, size))
    text = printed(render_sheet(data["cover"]), need_tool("pdftotext"))
    found = list(records(data["cover"]))
    assert len(found) > 60
    assert [] == [r["text"] for r in found if " ".join(r["text"].split()) not in text]


def test_the_lists_stand_on_one_page_and_the_sheets_follow_unchanged(need_tool):
    """Page one holds all lists; behind the cover every page is that of the line's own sheet."""
    found = on_paper("in", "letter")
    pages = PdfReader(BytesIO(render_set(set_sheet_data(found)))).pages
    first = pages[0].extract_text()
    for title in ("Cut list", "Order of winding", "Time", "Agreement of the lines"):
        assert title in first
    alone = [PdfReader(BytesIO(render_sheet(sheet_data(plan)))).pages for plan in found.plans]
    behind = [page.extract_text() for sheet in alone for page in sheet]
    assert behind == [page.extract_text() for page in pages[2:]]


def test_stored_data_prints_the_same_bytes():
    """Data that went through JSON prints the very same file, and asks not to be scaled."""
    data = set_sheet_data(on_paper("in", "letter"))
    stored = json.loads(json.dumps(data, allow_nan=False))
    pdf = render_set(data)
    assert pdf == render_set(stored)
    preferences = PdfReader(BytesIO(pdf)).root_object["/ViewerPreferences"]
    assert isinstance(preferences, DictionaryObject)
    assert preferences["/PrintScaling"] == "/None"


def test_a_line_that_has_no_plan_is_told_of():
    """On the cover, with why."""
    plan = changed_plan()
    lines, gone = line_set("RIDGE-2", "GONE"), [Unplanned("GONE", "no job 'GONE' is kept here")]
    data = set_sheet_data(plan_set(lines, (plan,), PLANNER.plan, unplanned=gone))
    text = PdfReader(BytesIO(render_set(data))).pages[0].extract_text()
    assert "GONE is left out" in " ".join(text.split())


def test_a_set_without_any_plan_prints_its_cover_alone():
    """Nothing to draw, nothing to cut."""
    data = set_sheet_data(
        plan_set(line_set("GONE"), (), PLANNER.plan, unplanned=[Unplanned("GONE", "gone")])
    )
    assert 1 == len(PdfReader(BytesIO(render_set(data))).pages)


def test_an_unknown_layout_is_refused():
    """A cover of a later version is not printed by this one's template."""
    data = set_sheet_data(planned((changed_plan(),)))
    with pytest.raises(SheetError, match="plan the job again"):
        render_together([data["cover"] | {"template": "set_9"}])


@pytest.mark.parametrize("width", [320.0, 900.0, 1600.0])
def test_strips_are_drawn_to_one_scale_with_their_zero_ends_in_line(width):
    """So that an inch is an inch in each of them, and no strip is too narrow."""
    plans = on_paper("in", "letter").plans
    pictures = set_pictures(plans, width, "light")
    for picture in pictures:
        assert picture.width >= NARROWEST - 1e-6
        assert pictures[0].scale == pytest.approx(picture.scale, rel=1e-6)
    widths = [picture.width - plan.target.length.value * picture.scale
              for picture, plan in zip(pictures, plans, strict=True)]  # fmt: skip
    left = [0.5 * sides + p.indent for sides, p in zip(widths, pictures, strict=True)]
    assert left[0] == pytest.approx(left[1]) == pytest.approx(left[2])
