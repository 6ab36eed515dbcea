"""Views of a job's bow: its answers, its pictures along the draw, and what another length does."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from strandwright.bow.draw_cycle import DrawCycle
from strandwright.drawing import ContactPicture, StripPicture, contacts_strip, draw_strip
from strandwright.drawing.bow import bow_svg
from strandwright.drawing.brace_turns import brace_turns_svg
from strandwright.drawing.force_draw import (
    ForceDraw,
    PlotScale,
    force_draw_scale,
    force_draw_svg,
)
from strandwright.planning.bow.answers import BowAnswers
from strandwright.planning.bow.brace_data import brace_plot
from strandwright.planning.bow.data import bow_data
from strandwright.planning.bow.model import WhatIf
from strandwright.planning.bow.pictures import force_draw, frame_points, frames, shown_draw
from strandwright.planning.bow.speech import speech_of
from strandwright.planning.bow.words import LABELS, change_text, figure_text
from strandwright.planning.estimate import Estimate
from strandwright.planning.picture import strip_picture
from strandwright.planning.result import Plan
from strandwright.planning.written import Written
from strandwright.units import Dimension, to_unit
from strandwright.workshop.job import Job

Fields = dict[str, Any]
#: The bow's picture has no lettering, so that a page may show it at any size [px].
_BOW_WIDTH = 520.0
#: Height of the curve over its width [-]
_TALL = 0.62


@dataclass(frozen=True)
class Room:
    """How the answer is to be drawn.

    Attributes
    ----------
    width, plot : float
        Room for the strip, and for force over draw [px]
    theme : str
        ``light``, ``dark`` or ``sun``.
    """

    width: float
    plot: float
    theme: str


def bow_view(plan: Plan, answers: BowAnswers, room: Room) -> Fields:
    """Give everything the bow's screen shows.

    Parameters
    ----------
    plan : Plan
        The job's line.
    answers : BowAnswers
        What its bow answers.
    room : Room
        How it is drawn.

    Returns
    -------
    dict
        Data, pictures along the draw, force over draw with its marker, the strip.
    """
    job = plan.job
    data = bow_data(job, answers)
    if len(answers.model.family.strung.bow.wheels) != 2:
        # One wheel cannot be apart from itself.
        turns = data["turns"]
        for table in (turns, *([] if turns["held"] is None else [turns["held"]])):
            table["rows"] = [row for row in table["rows"] if row["name"] != "timing"]
    return {
        "data": data,
        "lines": list(answers.model.lines),
        "strip": _strip(plan, answers, room),
        "brace_plot": _brace_plot(job, answers, room),
        "step_m": 0.0254 / 16 if job.paper.units == "in" else 0.001,
        **drawn(job, answers, answers.model.middle.cycle, room),
    }


def _brace_plot(job: Job, answers: BowAnswers, room: Room) -> Fields | None:
    """Draw brace height over turns, on a bow whose string sets it."""
    braces = answers.turning.braces
    if braces is None:
        return None
    height = round(room.plot * _TALL)
    plot = brace_plot(braces, Written.on(job.paper))
    svg = brace_turns_svg(plot, width=room.plot, height=height, theme=room.theme)
    return {"svg": svg, "width": room.plot, "height": height}


def drawn(job: Job, answers: BowAnswers, cycle: DrawCycle, room: Room) -> Fields:
    """Draw one bow along its draw, with force over draw beside it.

    Parameters
    ----------
    job : Job
        The job, for its units.
    answers : BowAnswers
        What its bow answers; the range of force is its family's.
    cycle : DrawCycle
        The draw that is shown.
    room : Room
        How it is drawn.

    Returns
    -------
    dict
        ``frames`` from brace to wall, each with its place on ``plot``.
    """
    to = Written.on(job.paper)
    curve = force_draw(job, answers.model, cycle)
    height = round(room.plot * _TALL)
    scale = force_draw_scale(curve, room.plot, height)
    model = answers.model
    pictures = frames(cycle, to, model.question.known.rail)
    shown: list[Fields] = []
    for point, picture in zip(frame_points(cycle), pictures, strict=True):
        draw = shown_draw(cycle, int(point), crossbow=model.crossbow)
        force = float(cycle.force[0, point])
        x, y = _place(curve, scale, draw, force)
        shown.append(
            {
                "svg": bow_svg(picture, width=_BOW_WIDTH, theme=room.theme),
                "draw_text": to.length(draw),
                "force_text": _force_text(max(force, 0.0), to),
                "x": x,
                "y": y,
            }
        )
    svg = force_draw_svg(curve, width=room.plot, height=height, theme=room.theme)
    return {"frames": shown, "plot": {"svg": svg, "width": room.plot, "height": height}}


def _place(curve: ForceDraw, scale: PlotScale, draw: float, force: float) -> tuple[float, float]:
    """Where a point of the draw lies on the plot [px]."""
    along = to_unit(Dimension.LENGTH, draw, curve.draw_unit)
    up = to_unit(Dimension.FORCE, max(force, 0.0), curve.force_unit)
    share = (along - scale.first) / (scale.last - scale.first)
    x = scale.left + share * (scale.right - scale.left)
    return round(x, 1), round(scale.bottom - up / scale.most * (scale.bottom - scale.top), 1)


def _force_text(newtons: float, to: Written) -> str:
    unit = "lbf" if to.system == "in" else "N"
    digits = 1 if unit == "lbf" else 0
    return f"{to_unit(Dimension.FORCE, newtons, unit):.{digits}f} {unit}"


def _touched_picture(plan: Plan, answers: BowAnswers) -> StripPicture:
    """Give the line with what the bow touches of it."""
    picture = strip_picture(plan, title="", subtitle="")
    length = picture.length
    ends = [
        (max(p.start.value, 0.0), min(p.stop.value, length), f"on the {p.on}")
        for p in answers.parts
    ]
    contacts = tuple(ContactPicture(*end) for end in ends if end[0] < end[1])
    return replace(picture, contacts=contacts)


def _strip(plan: Plan, answers: BowAnswers, room: Room) -> Fields:
    """Draw the line on its strip with what the bow touches of it."""
    picture = _touched_picture(plan, answers)
    drawing = draw_strip(picture, width=room.width, theme=room.theme, prefix="lane")
    return {"svg": drawing.svg, "width": room.width, "height": drawing.height}


def servings_view(plan: Plan, answers: BowAnswers, room: Room) -> Fields:
    """Give what the bow asks of a line's servings, for the line's own page.

    Parameters
    ----------
    plan : Plan
        The job's line.
    answers : BowAnswers
        What its bow answers.
    room : Room
        How it is drawn: as wide as the line's strip.

    Returns
    -------
    dict
        The lane of what is touched to the strip's scale, None where nothing is, and the
        servings' rows of the bow's data.
    """
    picture = _touched_picture(plan, answers)
    lane = None
    if picture.contacts:
        drawing = contacts_strip(picture, width=room.width, theme=room.theme, prefix="touched")
        lane = {"svg": drawing.svg, "width": room.width, "height": drawing.height}
    data = bow_data(plan.job, answers)
    return {
        "line": answers.line,
        "lane": lane,
        "servings": data["servings"],
        "source_text": data["source_text"],
        "errors": [],
    }


def what_if_view(
    plan: Plan, answers: BowAnswers, longer: dict[str, float], found: WhatIf, room: Room
) -> Fields:
    """Give what a bow would be with lines of other lengths.

    Parameters
    ----------
    plan : Plan
        The job's line.
    answers : BowAnswers
        What its bow answers as it is.
    longer : dict of str to float
        For each line how much longer it is [m]
    found : WhatIf
        The bow so changed.
    room : Room
        How it is drawn.

    Returns
    -------
    dict
        Changed figures, each with its change, and the pictures.

    Notes
    -----
    A change is the middle bow's, solved anew. Its +- holds the spread of the change over the
    family and how far the middle bow is from the family's mean.
    """
    to = Written.on(plan.job.paper)
    before = answers.model.middle.figures
    rows: list[Fields] = []
    for name, was in answers.figures.items():
        moved = float(getattr(found.figures, name)[0] - getattr(before, name)[0])
        u = 0.0
        if name in found.change:
            first, spread = found.change[name]
            u = math.hypot(spread, 0.5 * (moved - first))
        becomes = Estimate(was.value + moved, math.hypot(was.u, u), was.unit)
        rows.append(
            {
                "name": name,
                "label": speech_of(answers.model).labels.get(name, LABELS[name]),
                "text": figure_text(name, becomes, to),
                "change_text": _moved_text(name, moved, u, was.unit, to),
            }
        )
    return {
        "longer": [
            {"line": line, "metres": metres, "text": _longer_text(metres, to)}
            for line, metres in longer.items()
        ],
        "figures": rows,
        **drawn(plan.job, answers, found.family.cycle, room),
    }


def _moved_text(name: str, moved: float, u: float, unit: str, to: Written) -> str:
    """Write a change; one whose spread nobody works out has none."""
    if unit in ("m", "N"):
        words = change_text(name, moved, u, to).split(" ")
        return " ".join(words) if u > 0 or len(words) == 1 else f"about {words[0]} {words[-1]}"
    if unit == "rad":
        return f"about {_signed(math.degrees(moved))}°"
    if unit == "J":
        shown = "ft lbf" if to.system == "in" else "J"
        return f"about {_signed(to_unit(Dimension.ENERGY, moved, shown))} {shown}"
    return f"about {_signed(100.0 * moved)} %"


def _signed(number: float) -> str:
    """Write a number with its sign; what rounds to nothing has no direction."""
    sign = "−" if round(number, 1) < 0 else "+"
    return f"{sign}{abs(number):.1f}"


def _longer_text(metres: float, to: Written) -> str:
    if metres == 0:
        return "as it is"
    side = "longer" if metres > 0 else "shorter"
    return f"{to.small(abs(metres))} {side}"
