"""The tag: a small card that stays with a finished line, so that it can be matched."""

from __future__ import annotations

from typing import Any

from strandwright.planning.acts import accepted
from strandwright.planning.advice import Advice
from strandwright.planning.written import Written
from strandwright.sheets.data import qr_code
from strandwright.sheets.prose import words
from strandwright.sheets.records import Pen, count, identifier
from strandwright.sheets.render import render_template
from strandwright.workshop.events import LengthRead

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
        said.taken
        for said in advice.readings
        if said.counts
        and isinstance(said.taken.reading, LengthRead)
        and said.taken.reading.stage == "proof"
    ]
    counted = tuple(
        s.taken for s in advice.readings if s.counts and isinstance(s.taken.reading, LengthRead)
    )
    read = proofs[-1].reading if proofs else None
    turns = state.turns if state.locked is None else state.locked.turns
    return {
        "template": TEMPLATE,
        "job": identifier(plan.job.id),
        "build": identifier(build_id[:8]),
        "name": words(plan.job.name),
        "line": words(plan.job.line.name),
        "zero_end": words(plan.job.line.zero_end.name),
        "asked": pen.length(plan.target.length.value),
        "read": None if read is None else pen.length(read.length.si),  # pyright: ignore[reportAttributeAccessIssue]
        "load": pen.force(plan.target.measuring_load),
        "pins": pen.length(plan.target.pin_diameter),
        "turns": count(turns, "turn"),
        "hand": plan.twist.hand,
        "strands": count(plan.winding.strands, "strand"),
        "strand": words(plan.job.makeup.strand),
        "colours": [{"name": words(r.name), "colour": r.colour} for r in plan.winding.runs],
        "threads": ", ".join(dict.fromkeys(words(s.thread) for s in plan.servings)),
        "date": (state.ended_at or state.began_at)[:10],
        "state": _state(advice, counted),
        "qr": qr_code(f"strandwright job {plan.job.id} build {build_id}"),
    }


def _state(advice: Advice, counted: tuple[Any, ...]) -> str:
    if advice.state.locked is None:
        return "not finished"
    proved = accepted(advice.plan, advice.state, counted)
    return "proved" if proved else "logged, not proved"


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
