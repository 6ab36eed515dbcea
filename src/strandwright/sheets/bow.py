"""The bow's sheet: one page for the tuning bench, from what a job's bow answers."""

from __future__ import annotations

from typing import Any

from strandwright.drawing.bow_page import side_by_side_svg
from strandwright.drawing.force_draw import force_draw_svg
from strandwright.planning.bow.answers import BowAnswers
from strandwright.planning.bow.data import bow_data
from strandwright.planning.bow.pictures import force_draw, frames
from strandwright.planning.bow.turning_data import UNTRIED
from strandwright.planning.cautions import (
    CROSSBOW_PRESS,
    CROSSBOW_UNSTRING,
    DEFER,
    FIRST_COCKING,
    FIRST_DRAW,
    PRESS,
)
from strandwright.planning.result import Plan
from strandwright.planning.written import Written
from strandwright.sheets.bow_braces import braces_section
from strandwright.sheets.bow_lane import lane_section
from strandwright.sheets.bow_riser import bare_section, bolts_section, guard_section
from strandwright.sheets.data import qr_code
from strandwright.sheets.prose import Prose, prose, words
from strandwright.sheets.records import Record, identifier, record

#: Template that new sheets of a bow are printed by.
TEMPLATE = "bow_1"
UNSTRING = (
    "Unstring the bow with a stringer, the limbs' path clear of faces. A string of low stretch on "
    "an old or wooden bow can break its nocks: ask first."
)
_LIMITS = (
    "Stay within the bow maker's limits of draw weight, limb bolts and turns; where the manual "
    "says otherwise, it is right."
)
#: Sizes the pictures are drawn at, so that their lettering can be read once they are set [px]
_TALL, _CURVE = 300.0, (340.0, 300.0)

Section = dict[str, Any]


def bow_sheet_data(plan: Plan, answers: BowAnswers) -> Section:
    """Gather everything that is printed on the sheet of a job's bow.

    Parameters
    ----------
    plan : Plan
        The plan of the job's line.
    answers : BowAnswers
        What its bow answers.

    Returns
    -------
    dict
        JSON-ready. ``template`` names the template; each number is a record, as on the bench
        sheet.
    """
    job = plan.job
    data = bow_data(job, answers)
    return {
        "template": TEMPLATE,
        "paper": job.paper.size,
        "units": job.paper.units,
        "job": {
            "name": words(job.name),
            "id": identifier(job.id),
            "plan": identifier(plan.id),
            "line": words(job.line.name),
            "bow": words(", ".join(word for word in (job.bow.name, data["kind"]) if word)),
        },
        "qr": qr_code(f"strandwright job {job.id} plan {plan.id}"),
        "source": prose(data["source_text"]),
        "pictures": _pictures(plan, answers),
        "figures": [
            {"label": row["label"], "value": _value(row["text"], row)} for row in data["figures"]
        ],
        "turns": turns_section(data["turns"]),
        "braces": braces_section(plan, answers, data["braces"]),
        "bolts": bolts_section(data["bolts"], data["turns"]["rows"]),
        "guard": guard_section(data),
        "bare": bare_section(data),
        "untouched": prose(data["untouched_text"]),
        "lane": lane_section(plan, answers, data["touches"]),
        "servings": [
            {
                "name": words(row["name"]),
                "verdict": prose(row["verdict_text"]),
                "wanted": prose(row["wanted_text"]),
                "short": row["short"],
            }
            for row in data["servings"]
            # A stop's serving has nothing to do with the tracks; the page is for those that have.
            if row["wanted_text"]
        ],
        "home": home_section(data["home"]),
        "rows": rows_section(plan, data),
        "speed": None if data["speed"] is None else prose(data["speed"]["text"]),
        "wheels": bool(answers.model.family.strung.bow.wheels),
        "crossbow": answers.model.crossbow,
        "press": press_section(
            wheels=bool(answers.model.family.strung.bow.wheels), crossbow=answers.model.crossbow
        ),
        "first_draw": prose(FIRST_COCKING if data["crossbow"] else FIRST_DRAW, caution=True),
        "neglects": [prose(text) for text in data["neglects"]],
        "deferral": DEFER,
    }


def _value(text: str, row: Section) -> Record:
    return record("value", text, row["value"], row["unit"], 0.5 * row["plus_minus"])


def _pictures(plan: Plan, answers: BowAnswers) -> dict[str, str]:
    model = answers.model
    shown = frames(model.middle.cycle, Written.on(plan.job.paper), model.question.known.rail)
    wide, tall = _CURVE
    curve = force_draw(plan.job, model)
    drawn = {
        "bows": side_by_side_svg(shown[0], shown[-1], tall=_TALL, theme="print"),
        "curve": force_draw_svg(curve, width=wide, height=tall, theme="print"),
    }
    return {key: "\n".join(words(line) for line in svg.splitlines()) for key, svg in drawn.items()}


def turns_section(turns: Section) -> Section:
    """Give the table of what one turn does, one column a line.

    Parameters
    ----------
    turns : dict
        The turns of a bow's data.

    Returns
    -------
    dict
        JSON-ready.
    """
    return {
        "lines": turns["lines"],
        "shorter": [prose(text) for text in turns["shorter_text"]],
        "rows": [
            {
                "label": row["label"],
                "cells": [
                    identifier(text)
                    if text == UNTRIED
                    else record("value", text, change, row["unit"], 0.5 * half)
                    for text, change, half in zip(
                        row["per_turn"], row["change"], row["change_plus_minus"], strict=True
                    )
                ],
            }
            for row in turns["rows"]
        ],
        "source": prose(turns["source_text"]),
        "held": prose(_held_text(turns["held"])),
    }


def _held_text(held: Section | None) -> str:
    """Say in a line how much else a turn does where tracks hold the twist."""
    if held is None:
        return ""
    said = [f"{column['label']} {column['more_text']}" for column in held["columns"]]
    return f"Where tracks hold the twist a turn shortens by: {', '.join(said)}."


def home_section(home: Section | None) -> Section | None:
    """Give the turns to put in, in the order of work: cables first, the string after them.

    Parameters
    ----------
    home : dict or None
        The way home of a bow's data.

    Returns
    -------
    dict or None
        JSON-ready; None where there is none.
    """
    if home is None:
        return None
    whole = home["whole"]["text"]
    acts = sorted(home["half"]["acts"], key=lambda act: act["line"] == "string")
    return {
        "acts": [{"text": prose(act["text"]), "moves": act["turns"] != 0} for act in acts],
        "whole": prose(whole if whole != home["half"]["text"] else ""),
    }


def press_section(*, wheels: bool, crossbow: bool) -> list[Prose]:
    """Give what is to be heeded before a line is touched: a bow without wheels knows no press.

    Parameters
    ----------
    wheels, crossbow : bool
        Whether the bow has wheels, and whether it is a crossbow.

    Returns
    -------
    list
        One text each.
    """
    if wheels:
        first = CROSSBOW_PRESS if crossbow else PRESS
    else:
        first = CROSSBOW_UNSTRING if crossbow else UNSTRING
    return [prose(text, caution=True) for text in (first, _LIMITS)]


def rows_section(plan: Plan, data: Section) -> list[Section]:
    """Give one row for each figure that is read at the bench, what is not known left empty.

    Parameters
    ----------
    plan : Plan
        The plan of the line.
    data : dict
        A bow's data: its turns and its way home.

    Returns
    -------
    list of dict
        JSON-ready.
    """
    home = data["home"]
    told = {} if home is None else {row["label"]: row for row in home["half"]["rows"]}
    to = Written.on(plan.job.paper)
    found: list[Section] = []
    for name, label in ((row["name"], row["label"]) for row in data["turns"]["rows"]):
        row = told.get(label)
        if row is None:
            bow = plan.job.bow
            before = getattr(bow.wanted, name, None) or getattr(bow, name, None)
            wanted = "" if before is None else _plain(name, before.si, to)
            wanted = "over the middle" if name == "centring" else wanted
            row = {"now_text": "", "wanted_text": wanted, "expected_text": "", "chance_text": ""}
        cells = {key: prose(row[f"{key}_text"]) for key in ("now", "wanted", "expected", "chance")}
        found.append({"label": label, **cells})
    return found


def _plain(name: str, si: float, to: Written) -> str:
    return to.force(si) if name == "draw_weight" else to.fine(si)
