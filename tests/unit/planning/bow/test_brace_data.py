"""Brace height against turns as it is shown: in words, drawn, in the terminal and on the sheet."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from asked_bow import Asked

from strandwright.cli.bow_text import bow_lines
from strandwright.drawing.brace_turns import BracePlot, brace_turns_svg
from strandwright.planning.bow.answers import BowAnswers, answer_bow
from strandwright.planning.bow.brace_data import brace_plot, braces_data
from strandwright.planning.bow.brace_turns import BraceTurns
from strandwright.planning.examples import example
from strandwright.planning.plan_line import plan_line
from strandwright.planning.result import Plan
from strandwright.planning.written import Written
from strandwright.sheets.bow import bow_sheet_data
from strandwright.web.bow_views import Room, bow_view
from strandwright.workshop.job import Job, job_from_table

INCH = 0.0254
ROOM = Room(900.0, 480.0, "dark")


@cache
def low(units: str = "in") -> tuple[Job, Plan, BowAnswers]:
    """The mere bow, an eighth of an inch too low."""
    table = example("MERE-1").model_dump(mode="json", exclude_defaults=True)
    table["bow"] |= {"now": {"brace_height": "8 1/4 in +- 1/32"}}
    table["bow"] |= {"wanted": {"brace_height": "8 3/8 in +- 1/16"}}
    table["paper"] = {"units": units}
    job = job_from_table(table)
    plan = plan_line(job)
    return job, plan, answer_bow(job, plan)


def braces() -> BraceTurns:
    """What turns do to its brace height."""
    found = low()[2].turning.braces
    assert found is not None
    return found


def told(units: str = "in", **changes: Any) -> dict[str, Any]:
    """Its data, of an answer with other parts."""
    data = braces_data(replace(braces(), **changes), Written.on(low(units)[0].paper))
    assert data is not None
    return data


def test_rows_go_by_fives_and_every_number_has_its_doubt() -> None:
    """From none to the most advised, as it is among them, rising."""
    rows = told()["rows"]
    puts = [row["put"] for row in rows]
    assert 0.0 in puts
    assert {5.0, 10.0, -5.0, -10.0} <= set(puts)
    assert [row["brace"] for row in rows] == sorted(row["brace"] for row in rows)
    for row in rows:
        assert "\u00b1" in row["brace_text"]
        assert "\u00b1" in row["longer_text"] or row["longer_text"] == "none"
    here = next(row for row in rows if row["put"] == 0.0)
    assert here["put_text"] == "as it is"
    assert here["brace_text"].startswith("8 1/4 \u00b1 1/32")


def test_practice_stands_beside_each_row() -> None:
    """8 to 9 in for such a bow: the low end is in it, a row below is not."""
    data = told()
    assert "8 in to 9 in for a recurve of 66 in" in data["usual_text"]
    assert data["usual_text"].endswith("what is wanted lies in that range")
    for row in data["rows"]:
        assert row["usual"] == (8.0 * INCH <= row["brace"] <= 9.0 * INCH)


def test_turns_for_what_is_wanted_are_said_in_halves() -> None:
    """Put in, taken out, none, or out of reach."""
    turns = braces().turns
    assert turns is not None
    assert told()["turns_text"].startswith("put in ")
    out = replace(turns, value=-3.2, u=0.4)
    assert told(turns=out)["turns_text"] == "take out 3 turns, \u00b1 0.8"
    assert told(turns=replace(turns, value=0.1, u=2.0))["turns_text"].startswith("leave it")
    assert "another string" in told(turns=None)["turns_text"]
    assert told(turns=None, wanted=None)["turns_text"] == ""


def test_what_lies_outside_practice_is_said_so() -> None:
    """A height nobody else uses is not hidden."""
    assert told(wanted=9.5 * INCH)["usual_text"].endswith("lies outside that range")
    assert "as it is, it lies in" in told(wanted=None)["usual_text"]


def test_millimetres_are_written_through() -> None:
    """No inch is left where the paper is metric."""
    data = told("mm")
    assert "mm" in data["rows"][0]["brace_text"]
    assert " in " not in data["usual_text"].replace(" in that", "").replace("lies in", "")


def drawn(plot: BracePlot, theme: str = "light") -> ET.Element:
    """Give the picture, read back."""
    return ET.fromstring(brace_turns_svg(plot, theme=theme))


@pytest.mark.parametrize("theme", ["light", "dark", "sun", "print"])
def test_it_is_drawn_inside_its_plot(theme: str) -> None:
    """Curve, band and points lie within the axes; two points, as it is and as wanted."""
    plot = brace_plot(braces(), Written.on(low()[0].paper))
    root = drawn(plot, theme)
    name = "{http://www.w3.org/2000/svg}"
    dots = list(root.iter(f"{name}circle"))
    assert len(dots) == 2
    line = next(iter(root.iter(f"{name}polyline"))).attrib["points"]
    places = [tuple(map(float, point.split(","))) for point in line.split()]
    assert all(52.0 <= x <= 504.0 and 18.0 <= y <= 254.0 for x, y in places)
    heights = [y for _, y in places]
    assert heights == sorted(heights, reverse=True)


def test_without_a_wish_only_the_string_as_it_is_is_drawn() -> None:
    """One point and no amber rule."""
    plot = replace(brace_plot(braces(), Written.on(low()[0].paper)), wanted=None, turns=None)
    assert len(list(drawn(plot).iter("{http://www.w3.org/2000/svg}circle"))) == 1


def test_terminal_sheet_and_screen_show_it() -> None:
    """The same numbers in all three."""
    job, plan, answers = low()
    row = told()["rows"][2]
    text = "\n".join(bow_lines(job, answers))
    assert "Brace height against turns" in text
    assert row["brace_text"] in text
    sheet = bow_sheet_data(plan, answers)["braces"]
    assert sheet is not None
    assert len(sheet["rows"]) <= 9
    assert any(one["put"] == "as it is" for one in sheet["rows"])
    view = bow_view(plan, answers, ROOM)
    assert view["brace_plot"]["width"] == 480.0
    assert view["data"]["braces"]["rows"][2]["brace_text"] == row["brace_text"]


def test_a_bow_with_wheels_shows_none(two_cam: Asked) -> None:
    """No table, no section, no picture."""
    answers = answer_bow(two_cam.job, two_cam.plan)
    assert bow_view(two_cam.plan, answers, ROOM)["brace_plot"] is None
    assert bow_sheet_data(two_cam.plan, answers)["braces"] is None
    assert not any("against turns" in line for line in bow_lines(two_cam.job, answers))


def test_the_sheet_asks_for_what_is_wanted_though_nothing_is_read_yet() -> None:
    """The height wanted, not the one that was there before."""
    table = example("MERE-1").model_dump(mode="json", exclude_defaults=True)
    table["bow"]["wanted"] = {"brace_height": "8 5/8 in"}
    job = job_from_table(table)
    plan = plan_line(job)
    rows = bow_sheet_data(plan, answer_bow(job, plan))["rows"]
    wanted = next(row["wanted"] for row in rows if row["label"] == "brace height")
    assert "8 5/8" in str(wanted)
    assert "8 3/8" not in str(wanted)
