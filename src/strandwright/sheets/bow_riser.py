"""What sits on the riser, on a bow's sheet: limb bolts by the turns, the guard by the lane."""

from __future__ import annotations

from typing import Any

from strandwright.sheets.prose import prose
from strandwright.sheets.records import record

Section = dict[str, Any]
CAUTION = (
    "Both limb bolts alike and within the bow maker's turns out, the bow at rest or in a press as "
    "its manual has it."
)


def bolts_section(bolts: Section | None, rows: list[Section]) -> Section | None:
    """Give one more column of the table of turns: a turn out of both limb bolts.

    Parameters
    ----------
    bolts : dict or None
        What a turn of them does; None for a bow without.
    rows : list of dict
        Rows of the table they stand beside.

    Returns
    -------
    dict or None
        A cell for each row, None where it says nothing of that figure; and what to heed.
    """
    if bolts is None:
        return None
    found = {row["name"]: row for row in bolts["rows"]}
    return {
        "title": "both limb bolts, out",
        "cells": [_cell(found.get(row["name"])) for row in rows],
        "source": prose(bolts["tilt_text"]),
        "caution": prose(CAUTION, caution=True),
        "uneven": prose(_begun(bolts["uneven_text"])),
    }


def _begun(text: str) -> str:
    """Let a text begin a sentence."""
    return text[:1].upper() + text[1:]


def _cell(row: Section | None) -> Any:
    if row is None:
        return None
    text, half = row["text"][0], row["change_plus_minus"][0]
    if "±" not in text:
        return None
    return record("value", text, row["change"][0], row["unit"], 0.5 * half)


def guard_section(data: Section) -> list[Any]:
    """Give what the cable guard bears in one line.

    Parameters
    ----------
    data : dict
        What the bow answers, as plain data.

    Returns
    -------
    list
        Prose; empty without a guard.
    """
    found: list[Any] = []
    guard = data["guard"]
    if guard is not None:
        # Of several rows of forces the last but the torque is of all lines together.
        brace, peak, full = guard["rows"][-2]["text"]
        forces = f"{brace} at brace, {peak} at the peak, {full} at full draw"
        found.append(prose(f"Cable guard, side force: {forces}."))
    return found


def bare_section(data: Section) -> list[Any]:
    """Give what is touched and not served.

    Parameters
    ----------
    data : dict
        What the bow answers, as plain data.

    Returns
    -------
    list
        Prose, one for each part.
    """
    return [prose(f"{part['text']}.") for part in data["bare"]]
