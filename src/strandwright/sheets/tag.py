"""The tag: a small card that stays with a finished line, so that it can be matched."""

from __future__ import annotations

from typing import Any

from strandwright.planning.desk.advice import Advice
from strandwright.planning.desk.advice_data import verdict_of
from strandwright.planning.written import Written
from strandwright.sheets.data import qr_code
from strandwright.sheets.prose import words
from strandwright.sheets.records import Pen, Record, count, identifier, record
from strandwright.sheets.render import render_template
from strandwright.workshop.happenings.bench import LengthRead

#: Template that new tags are printed by.
TEMPLATE = "tag_1"


def tag_data(build_id: str, advice: Advice) -> dict[str, Any]:
    """Gather everything that is printed on the tag of a build.

    Parameters
    ----------
    build_id : str
        The build.
    advice : Advice
        Its advice; before the line is locked the tag says that it is not finished.

    Returns
    -------
    dict
        JSON-ready; ``template`` names the template.
    """
    plan, state = advice.plan, advice.state
    pen = Pen(Written.on(plan.job.paper))
    proofs = [
        taken.reading.length.si
        for taken in advice.counted
        if isinstance(taken.reading, LengthRead) and taken.reading.stage == "proof"
    ]
    turns = state.turns if state.locked is None else state.locked.turns
    return {
        "template": TEMPLATE,
        "job": identifier(plan.job.id),
        "build": identifier(build_id[:8]),
        "name": words(plan.job.name),
        "line": words(plan.job.line.name),
        "zero_end": words(plan.job.line.zero_end.name),
        "asked": _as_read(pen, plan.target.length.value),
        "read": _as_read(pen, proofs[-1]) if proofs else None,
        "load": pen.force(plan.target.measuring_load),
        "pins": pen.length(plan.target.pin_diameter),
        "turns": count(turns, "turn"),
        "hand": plan.twist.hand,
        "strands": count(plan.winding.strands, "strand"),
        "strand": words(plan.job.makeup.strand),
        "lot": words(plan.job.makeup.lot),
        "colours": [{"name": words(r.name), "colour": r.colour} for r in plan.winding.runs],
        "threads": ", ".join(dict.fromkeys(words(s.thread) for s in plan.servings)),
        "date": (state.ended_at or state.began_at)[:10],
        "state": verdict_of(advice) or "not finished",
        "qr": qr_code(f"strandwright job {plan.job.id} build {build_id}"),
    }


def _as_read(pen: Pen, metres: float) -> Record:
    """Write a length as finely as a tape is read: to the shop's fraction it would be another."""
    return record("setting", pen.written.fine(metres), metres, "m")


def render_tag(data: dict[str, Any]) -> bytes:
    """Print a tag from its data.

    Parameters
    ----------
    data : dict
        As :func:`tag_data` gave it.

    Returns
    -------
    bytes
        A PDF of one small page, the same bytes for the same data.

    Raises
    ------
    SheetError
        If the data's template is not known, or the page cannot be set.
    """
    return render_template(data)
