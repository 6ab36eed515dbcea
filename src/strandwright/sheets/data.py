"""Sheet data: a plan as everything that is printed, typed, ready to be stored as JSON."""

from __future__ import annotations

import io
from typing import Any

from strandwright.drawing import strip_svg
from strandwright.planning.picture import strip_picture
from strandwright.planning.result import Plan
from strandwright.planning.written import Written
from strandwright.sheets.cautions import DEFERRAL, caution_lines
from strandwright.sheets.certainty import certainty_section, strength_section
from strandwright.sheets.details import detail_sections
from strandwright.sheets.gauges import gauge_section
from strandwright.sheets.prose import prose, words
from strandwright.sheets.records import Pen, count, identifier
from strandwright.sheets.steps import step_rows
from strandwright.sheets.tables import reading_section, serving_section, winding_section

#: Template that new sheets are printed by; an old sheet keeps the one it was made for.
TEMPLATE = "sheet_2"

_STRIP_WIDTH = 960.0


def sheet_data(plan: Plan) -> dict[str, Any]:
    """Gather everything that is printed on a plan's sheet.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    dict
        JSON-ready. ``template`` names the template; each number is a record of its kind, text,
        SI value and unit, values with their standard uncertainty (see
        :mod:`strandwright.sheets.records`).
    """
    pen = Pen(Written.on(plan.job.paper))
    return {
        "template": TEMPLATE,
        "paper": plan.job.paper.size,
        "units": plan.job.paper.units,
        "job": _job(plan),
        "qr": qr_code(f"strandwright job {plan.job.id} plan {plan.id}"),
        "summary": _summary(plan, pen),
        "cord": _cord(plan),
        "strip": _strip(plan),
        "warnings": [prose(warning) for warning in plan.warnings],
        "steps": step_rows(plan),
        "winding": winding_section(plan, pen),
        "servings": serving_section(plan, pen),
        "readings": reading_section(plan, pen),
        "certainty": certainty_section(plan, pen),
        "strength": strength_section(plan, pen),
        "gauges": gauge_section(plan, pen),
        "details": detail_sections(plan),
        "cautions": caution_lines(plan, pen),
        "deferral": DEFERRAL,
    }


def _job(plan: Plan) -> dict[str, Any]:
    job = plan.job
    return {
        "name": words(job.name),
        "id": identifier(job.id),
        "plan": identifier(plan.id),
        "customer": words(job.customer),
        "line": words(job.line.name),
        "bow": words(", ".join(word for word in (job.bow.name, job.bow.kind) if word)),
    }


def _summary(plan: Plan, pen: Pen) -> dict[str, Any]:
    """Give the finished line in a few numbers."""
    ends = plan.job.line
    return {
        "length": pen.estimate(plan.target.length),
        "load": pen.force(plan.target.measuring_load),
        "pins": pen.length(plan.target.pin_diameter),
        "tolerance": pen.within(plan.target.tolerance),
        "strands": count(plan.winding.strands, "strand"),
        "turns": count(plan.twist.turns, "turn"),
        "hand": plan.twist.hand,
        "zero_end": words(ends.zero_end.name),
        "far_end": words(ends.far_end.name),
        "order": str(plan.route.order),
        "source": prose(plan.target.source),
    }


def _cord(plan: Plan) -> dict[str, Any]:
    """Give the colours of the line that runs down beside the steps."""
    return {
        "hand": plan.twist.hand,
        "colours": [{"colour": r.colour, "strands": r.strands} for r in plan.winding.runs],
        "thread": plan.servings[0].colour if plan.servings else "#3A3A3A",
    }


def _strip(plan: Plan) -> dict[str, str]:
    picture = strip_picture(plan, title="", subtitle="")
    svg = strip_svg(picture, width=_STRIP_WIDTH, theme="print")
    return {"svg": "\n".join(words(line) for line in svg.splitlines())}


def qr_code(text: str) -> dict[str, str]:
    """Draw a code that leads a telephone or a scanner back to what it names.

    Parameters
    ----------
    text : str
        What it says.

    Returns
    -------
    dict
        The text, and the drawing as SVG.
    """
    # Imported here: a plan on screen needs no code.
    import segno

    out = io.BytesIO()
    segno.make(text, error="m", micro=False).save(out, kind="svg", border=2, xmldecl=False)
    return {"text": text, "svg": out.getvalue().decode()}
