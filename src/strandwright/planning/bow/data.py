"""The bow's answers as plain data: every number also as text, for a page, a sheet, a command."""

from __future__ import annotations

import math
from typing import Any

from strandwright.bow.near_wheel import Verdict
from strandwright.bow.tuning import Coefficients, Homeward
from strandwright.drawing.force_draw import ForceDraw
from strandwright.planning.advice import turns_text
from strandwright.planning.bow.answers import BowAnswers
from strandwright.planning.bow.pictures import force_draw
from strandwright.planning.bow.turning import TUNED, Turning
from strandwright.planning.estimate import Estimate
from strandwright.planning.written import Written
from strandwright.units import Dimension, to_unit
from strandwright.workshop.job import Job

Fields = dict[str, Any]

#: Names of figures as the trade says them.
LABELS = {
    "brace_height": "brace height",
    "axle_to_axle": "axle to axle",
    "axle_to_axle_drawn": "axle to axle, drawn",
    "draw_length": "draw length",
    "draw_weight": "draw weight",
    "peak": "draw weight, peak",
    "holding": "holding weight",
    "let_off": "let-off",
    "stored_energy": "stored energy",
    "string_angle": "string angle, drawn",
    "timing": "wheels apart",
}
#: A length that is given, and differs from bow to bow by no more than rounding, has no +- [m]
_EXACT = 5e-5
#: SI units of the figures that are tuned.
UNITS = {name: "m" for name, _, _ in TUNED} | {"draw_weight": "N", "timing": "rad"}
NEGLECTS = (
    "a plane bow of rigid links and rigid wheels: limbs do not twist, wheels do not lean",
    "cables held aside by a guard are taken as if they ran straight",
    "the other lines of the bow are taken to shorten per turn as this one does",
)
NEGLECTS_BENT = (
    "a plane bow of limbs that bend and never twist, on a riser that does not give",
    "how limbs and tips are shaped is not known: they are drawn from what is met with",
)
CAUTION_BENT = (
    "Turns are put in and taken out with the bow unstrung: use a stringer, and stand clear of the "
    "limbs' path. Never dry fire the bow, and never draw it past what its maker allows. A low "
    "stretch string on an old or wooden bow can break its nocks. Keep to the bow maker's manual; "
    "where it says otherwise, it is right. In doubt leave it to a qualified technician."
)
CAUTION = (
    "Turns are put in and taken out with the bow in a press made for it, the string relaxed. "
    "Never dry fire the bow: draw it on a draw board first, and never past its wall. Keep to the "
    "bow maker's manual for the press, the limb bolts and the limits of the bow; where it says "
    "otherwise, it is right. In doubt leave it to a qualified technician."
)
#: Order of work, as practice has it: cables set the wheels, then the string sets the draw.
_ORDER = ("cables first, alike where there are two", "the string", "settle, and read again")


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
    wheels = bool(family.strung.bow.wheels)
    return {
        "bow": job.bow.name or job.bow.kind,
        "line": answers.line,
        "source_text": (
            f"{family.members} bows of this kind that agree with what is known of yours; "
            "every ± is twice their spread"
        ),
        "neglects": list(NEGLECTS if wheels else NEGLECTS_BENT),
        "caution": CAUTION if wheels else CAUTION_BENT,
        "figures": [
            {
                "name": name,
                "label": LABELS[name],
                **_number(value),
                "text": figure_text(name, value, to),
            }
            for name, value in answers.figures.items()
        ],
        "tensions": [
            {
                "line": name,
                "brace_n": brace.value,
                "brace_text": _force(brace, to),
                "highest_n": most.value,
                "highest_text": _force(most, to),
            }
            for name, (brace, most) in answers.tension.items()
        ],
        "curve": curve_data(force_draw(job, answers.model)),
        "touches": _touches(answers, to),
        "servings": _servings(answers, to),
        "turns": _turns(answers.turning, to),
        "home": _home(answers.turning, to),
        "speed": _speed(answers, to),
    }


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


def figure_text(name: str, value: Estimate, to: Written) -> str:
    """Write one figure of a bow with its +-.

    Parameters
    ----------
    name : str
        Which figure.
    value : Estimate
        Its value [SI]
    to : Written
        How quantities are written.

    Returns
    -------
    str
        ``60.2 ± 1.1 lbf``.
    """
    if value.unit == "rad":
        digits = 1 if name == "timing" else 0
        number, half = math.degrees(value.value), max(math.degrees(value.u95), 0.5)
        # Adding nothing takes the sign from a number that rounds to nought.
        return f"{round(number, digits) + 0.0:.{digits}f} ± {half:.{digits}f}°"
    if value.unit == "J":
        unit = "ft lbf" if to.system == "in" else "J"
        number, half = (to_unit(Dimension.ENERGY, v, unit) for v in (value.value, value.u95))
        return f"{number:.0f} ± {max(half, 1.0):.0f} {unit}"
    if name == "let_off":
        return to.share_estimate(value)
    if value.unit == "m" and value.u95 < _EXACT:
        return to.fine(value.value)
    return _force(value, to) if value.unit == "N" else to.estimate(value)


def _number(value: Estimate) -> Fields:
    """Give an estimate as numbers, with its unit beside it since that differs row by row."""
    return {"value": value.value, "plus_minus": value.u95, "unit": value.unit}


def _force(value: Estimate, to: Written) -> str:
    unit = "lbf" if to.system == "in" else "N"
    number, half = (to_unit(Dimension.FORCE, v, unit) for v in (value.value, value.u95))
    digits = 1 if half < 2 else 0
    return f"{number:.{digits}f} ± {max(half, 0.1 if digits else 1.0):.{digits}f} {unit}"


def change_text(name: str, value: float, u: float, to: Written) -> str:
    """Write a change of a figure with its sign.

    Parameters
    ----------
    name : str
        Which figure.
    value, u : float
        Its change, and the standard uncertainty of that [SI]
    to : Written
        How quantities are written.

    Returns
    -------
    str
        ``+0.004 ± 0.002 in``.
    """
    if name in ("draw_weight", "peak", "holding"):
        unit, digits = ("lbf" if to.system == "in" else "N"), 2
        number, half = (to_unit(Dimension.FORCE, v, unit) for v in (value, 2 * u))
    elif name == "timing":
        unit, digits = "°", 2
        number, half = math.degrees(value), math.degrees(2 * u)
    else:
        unit, digits = to.system, 3 if to.system == "in" else 2
        number, half = (to_unit(Dimension.LENGTH, v, unit) for v in (value, 2 * u))
    if 0.0 < half < 0.5 * 10.0**-digits:
        digits += 2
    # What rounds to nothing has no direction.
    sign = "−" if round(number, digits) < 0 else "+"
    space = "" if unit == "°" else " "
    return f"{sign}{abs(number):.{digits}f} ± {half:.{digits}f}{space}{unit}"


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


def _servings(answers: BowAnswers, to: Written) -> list[Fields]:
    found: list[Fields] = []
    for cover in answers.covers:
        if cover.wanted_start is None or cover.wanted_stop is None:
            text = "nothing of the bow's tracks is touched here; it is there for something else"
            found.append({"name": cover.name, "text": text, "wanted_text": "", "short": False})
            continue
        wanted = f"{to.length(cover.wanted_start)} to {to.length(cover.wanted_stop)}"
        short = cover.short > 0.003
        words = []
        if short:
            words.append(f"{to.length(cover.short)} short of what is touched and its margin")
        if cover.beyond > 0.003:
            gram = to.mass(cover.beyond_mass)
            words.append(f"{to.length(cover.beyond)} past it ({gram} of thread)")
        if cover.times_needed is not None:
            words.append(f"{cover.times_needed:.1f} times what is touched")
        text = "; ".join(words) or "just what is touched and its margin"
        found.append({"name": cover.name, "text": text, "wanted_text": wanted, "short": short})
    return found


def _turns(turning: Turning, to: Written) -> Fields:
    def rows(known: Coefficients) -> list[Fields]:
        return [
            {
                "name": name,
                "label": LABELS[name],
                "change": [float(v) for v in known.mean[k]],
                "change_plus_minus": [2.0 * float(u) for u in known.uncertainty[k]],
                "unit": UNITS[name],
                "per_turn": [
                    change_text(name, float(known.mean[k, j]), float(known.uncertainty[k, j]), to)
                    for j in range(len(known.lines))
                ],
            }
            for k, name in enumerate(known.figures)
            # The one wheel of a one-cam bow has no other to stand apart from.
            if known.mean[k].any() or known.uncertainty[k].any()
        ]

    lines = turning.passing.lines
    return {
        "lines": list(lines),
        "shorter_text": [to.small(abs(turning.per_turn[line])) for line in lines],
        "rows": rows(turning.passing),
        "held_rows": rows(turning.held),
        "source_text": turning.passing.source,
    }


def _home(turning: Turning, to: Written) -> Fields | None:
    if turning.home is None or turning.whole is None:
        return None
    return {
        "half": _homeward(turning, turning.home, to),
        "whole": _homeward(turning, turning.whole, to),
        "order": list(_ORDER if len(turning.passing.lines) > 1 else _ORDER[1:]),
    }


def _homeward(turning: Turning, home: Homeward, to: Written) -> Fields:
    # As the work goes: cables before the string.
    order = sorted(
        zip(turning.passing.lines, home.turns, home.at_limit, strict=True),
        key=lambda act: act[0] == "string",
    )
    acts = [
        {"line": line, "turns": turns, "at_limit": most, "text": _act(line, turns, most=most)}
        for line, turns, most in order
    ]
    rows = []
    for k, aim in enumerate(turning.aims):
        unit = UNITS[aim.figure]

        def text(value: float, u: float, figure: str = aim.figure, unit: str = unit) -> str:
            return figure_text(figure, Estimate(value, u, unit), to)

        rows.append(
            {
                "label": LABELS[aim.figure],
                "now_text": text(aim.now, aim.now_u),
                "wanted_text": text(aim.wanted, 0.5 * aim.within),
                "expected_text": text(home.expected[k], home.expected_u[k]),
                "chance_text": to.chance(home.chance[k]),
            }
        )
    moved = [_act(line, turns, most=most) for line, turns, most in order if turns]
    return {"acts": acts, "rows": rows, "text": "; ".join(moved) or "leave every line as it is"}


def _act(line: str, turns: float, *, most: bool) -> str:
    if turns == 0:
        return f"{line}: leave it"
    count = turns_text(abs(turns))
    act = f"{line}: put in {count}" if turns > 0 else f"{line}: take out {count}"
    return f"{act}, the most at one time" if most else act


def _speed(answers: BowAnswers, to: Written) -> Fields | None:
    speed = answers.speed
    if speed is None:
        return None
    unit = "ft/s" if to.system == "in" else "m/s"

    def per(value: float) -> float:
        return to_unit(Dimension.SPEED, value, unit)

    rows = []
    for cost in speed.costs:
        sure = cost.bounds.verdict is Verdict.TELLS
        lost, half = per(float(cost.lost)), 2 * per(float(cost.u))
        text = f"{lost:.1f} ± {max(half, 0.1):.1f} {unit}"
        if not sure:
            low, high = per(float(cost.low)), per(float(cost.high))
            text = f"cannot tell: {low:.1f} to {high:.1f} {unit}".replace("-", "−")
        rows.append(
            {
                "name": cost.item.name,
                "mass_text": to.mass(cost.item.mass),
                "lost_text": text,
                "told": sure,
            }
        )
    by = "as shot over the chronograph" if speed.measured else "from stored energy, by practice"
    arrow = to.mass(speed.arrow) + (" arrow, assumed" if speed.arrow_assumed else " arrow")
    v, half = per(speed.speed.value), per(speed.speed.u95)
    return {"text": f"{v:.0f} ± {half:.0f} {unit} with a {arrow}", "by": by, "rows": rows}
