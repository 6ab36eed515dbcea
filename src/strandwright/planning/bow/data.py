"""The bow's answers as plain data: every number also as text, for a page, a sheet, a command."""

from __future__ import annotations

from typing import Any

from strandwright.bow.near_wheel import Verdict
from strandwright.drawing.force_draw import ForceDraw
from strandwright.planning.bow.answers import BowAnswers
from strandwright.planning.bow.brace_data import braces_data
from strandwright.planning.bow.cost_text import lost_text
from strandwright.planning.bow.pictures import force_draw
from strandwright.planning.bow.riser_data import bare_data, bolts_data, guard_data
from strandwright.planning.bow.serving_data import servings_data
from strandwright.planning.bow.speech import NEGLECTS, kind_of, speech_of
from strandwright.planning.bow.turning_data import home_data, turns_data
from strandwright.planning.bow.words import LABELS, figure_text, force_text
from strandwright.planning.details.data import sections_data
from strandwright.planning.estimate import Estimate
from strandwright.planning.written import Written
from strandwright.units import Dimension, to_unit
from strandwright.workshop.job import Job

Fields = dict[str, Any]

#: In place of what is said of guards where the job names its own.
GUARD_BESIDE = "what a guard's hold adds to the draw force stands beside the figures, not in them"
#: Where a line runs free from end to end.
UNTOUCHED = "No wheel, tip or stop ever lies on the {line} beside its ends"
#: The mass that is assumed is for reckoning, and light for many bows.
ASSUMED = (
    "The {missile} is assumed, only to reckon with: weigh yours, and shoot none that is lighter "
    "than the bow's maker allows"
)


def bow_data(job: Job, answers: BowAnswers) -> Fields:
    """Write a bow's answers as plain data.

    Parameters
    ----------
    job : Job
        The job, for its units.
    answers : BowAnswers
        What its bow answers.

    Returns
    -------
    dict
        Numbers and texts under plain names.
    """
    to = Written.on(job.paper)
    family = answers.model.family
    speech = speech_of(answers.model)
    return {
        "bow": job.bow.name or kind_of(job),
        "kind": kind_of(job),
        "line": answers.line,
        "source_text": (
            f"{family.members} {'crossbows' if answers.model.crossbow else 'bows'} of this kind "
            "that agree with what is known of yours; "
            "every ± is twice their spread"
        ),
        "neglects": _neglects(answers),
        "caution": speech.caution,
        "crossbow": answers.model.crossbow,
        "missile": speech.missile,
        "full": speech.full,
        "figures": [
            {
                "name": name,
                "label": speech.labels.get(name, LABELS[name]),
                **_number(value),
                "text": figure_text(name, value, to),
            }
            for name, value in answers.figures.items()
        ],
        "tensions": [
            {
                "line": name,
                "brace_n": brace.value,
                "brace_text": force_text(brace, to),
                "highest_n": most.value,
                "highest_text": force_text(most, to),
            }
            for name, (brace, most) in answers.tension.items()
        ],
        "curve": curve_data(force_draw(job, answers.model)),
        "touches": _touches(answers, to),
        "untouched_text": "" if answers.parts else UNTOUCHED.format(line=answers.line),
        "guard": guard_data(answers.guarding, to),
        "bare": bare_data(answers.bare, to),
        "servings": servings_data(job, answers, to),
        "turns": turns_data(answers.turning, to),
        "braces": braces_data(answers.turning.braces, to),
        "bolts": bolts_data(answers.bolts, to),
        "home": home_data(answers.turning, to),
        "speed": _speed(answers, to),
        "details": sections_data(answers.details),
    }


def _neglects(answers: BowAnswers) -> list[str]:
    """What is left out; of a guard that is known, only what its hold adds to the force."""
    said = speech_of(answers.model).neglects
    return [GUARD_BESIDE if one == NEGLECTS[1] and answers.guarding else one for one in said]


def curve_data(curve: ForceDraw) -> Fields:
    """Write force over draw as plain data.

    Parameters
    ----------
    curve : ForceDraw
        In the units it is shown in.

    Returns
    -------
    dict
        Lists of numbers, and their units.
    """
    return {
        "draw": [round(v, 3) for v in curve.draw],
        "force": [round(v, 2) for v in curve.force],
        "low": [round(v, 2) for v in curve.low],
        "high": [round(v, 2) for v in curve.high],
        "board": [[round(a, 3), round(b, 2)] for a, b in curve.board],
        "draw_unit": curve.draw_unit,
        "force_unit": curve.force_unit,
    }


def _number(value: Estimate) -> Fields:
    """Give an estimate as numbers, with its unit beside it since that differs row by row."""
    return {"value": value.value, "plus_minus": value.u95, "unit": value.unit}


def _touches(answers: BowAnswers, to: Written) -> list[Fields]:
    return [
        {
            "on": part.on,
            "start": part.start.value,
            "stop": part.stop.value,
            "start_text": "the loop" if part.start.u == 0 else to.estimate(part.start),
            "stop_text": "the loop" if part.stop.u == 0 else to.estimate(part.stop),
            "long_text": to.length(part.stop.value - part.start.value),
            "brace_text": to.length(part.at_brace.value),
        }
        for part in answers.parts
    ]


def _speed(answers: BowAnswers, to: Written) -> Fields | None:
    speed = answers.speed
    if speed is None:
        return None
    unit = "ft/s" if to.system == "in" else "m/s"

    def per(value: float) -> float:
        return to_unit(Dimension.SPEED, value, unit)

    rows = []
    for cost in speed.costs:
        rows.append(
            {
                "name": cost.item.name,
                "mass_text": to.mass(cost.item.mass),
                "lost_text": lost_text(cost, to),
                "told": cost.bounds.verdict is Verdict.TELLS,
            }
        )
    by = "as shot over the chronograph" if speed.measured else "from stored energy, by practice"
    missile = speech_of(answers.model).missile
    arrow = f"{to.mass(speed.arrow)} {missile}{', assumed' if speed.arrow_assumed else ''}"
    v, half = per(speed.speed.value), per(speed.speed.u95)
    return {
        "text": f"{v:.0f} ± {half:.0f} {unit} with a {arrow}",
        "by": by,
        "assumed_text": ASSUMED.format(missile=missile) if speed.arrow_assumed else "",
        "rows": rows,
    }
