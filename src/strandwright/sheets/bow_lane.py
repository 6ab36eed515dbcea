"""The contact lane of a bow's sheet: servings over what the bow touches, over a tape."""

from __future__ import annotations

from typing import Any

from strandwright.planning.bow.answers import BowAnswers
from strandwright.planning.result import Plan
from strandwright.sheets.prose import prose, words
from strandwright.units import INCH

Section = dict[str, Any]
#: Figures on the tape: at most this many, a whole number of these steps apart.
_MOST_FIGURES = 14
_STEPS = {"in": (4, 6, 12, 24), "mm": (100, 200, 500, 1000)}
#: Names nearer to each other than this share of the line stand on two rows [-].
_NEAR = 0.14
#: Width of a letter under the line, over the line's [-]
_LETTER = 0.0075


def lane_section(plan: Plan, answers: BowAnswers, touches: list[Section]) -> Section:
    """Give servings, touched parts and tape in shares of the line's length.

    Parameters
    ----------
    plan : Plan
        The plan of the line.
    answers : BowAnswers
        What its bow answers.
    touches : list of dict
        The touched parts with their texts.

    Returns
    -------
    dict
        JSON-ready; places run from 0 at the zero end to 1.
    """
    length = plan.target.length.value

    def share(metres: float) -> float:
        return round(min(max(metres / length, 0.0), 1.0), 5)

    servings = [
        {
            "name": words(serving.name),
            "colour": serving.colour,
            "from": share(serving.start.value),
            "to": share(serving.stop.value),
        }
        for serving in plan.servings
    ]
    return {
        "line": words(plan.job.line.name),
        "zero_end": words(plan.job.line.zero_end.name),
        "far_end": words(plan.job.line.far_end.name),
        "servings": _in_rows(servings),
        "touches": _under_each_other(
            [
                {
                    "on": part.on,
                    "from": share(part.start.value),
                    "to": share(part.stop.value),
                    "text": prose(f"{row['start_text']} to {row['stop_text']}"),
                }
                for part, row in zip(answers.parts, touches, strict=True)
            ]
        ),
        "marks": [
            {"name": words(mark.name), "at": share(mark.position.value)} for mark in plan.marks
        ],
        **_tape(plan.job.paper.units, length),
    }


def _in_rows(bars: list[Section]) -> list[Section]:
    """Give each bar the row its name stands on, so that neighbours do not meet."""
    last, row = -1.0, 0
    for bar in bars:
        middle = 0.5 * (bar["from"] + bar["to"])
        row = 1 - row if middle - last < _NEAR else 0
        bar["row"] = row
        last = middle
    return bars


def _under_each_other(bars: list[Section]) -> list[Section]:
    """Give each touched part the row its name stands on, so that names do not meet."""
    ends = [0.0, 0.0]
    for bar in bars:
        texts = (part if isinstance(part, str) else part["text"] for part in bar["text"])
        half = 0.5 * _LETTER * (len(bar["on"]) + sum(len(text) for text in texts))
        middle = min(max(0.5 * (bar["from"] + bar["to"]), half), 1.0 - half)
        bar["row"] = 0 if middle - half >= ends[0] else 1
        ends[bar["row"]] = middle + half
    return bars


def _tape(units: str, length: float) -> Section:
    size = INCH if units == "in" else 1e-3
    long = length / size
    step = next((s for s in _STEPS[units] if long / s <= _MOST_FIGURES), _STEPS[units][-1])
    fine = step // 4 if units == "in" and step < 12 else step / 12 if units == "in" else step / 10
    return {
        "figures": [
            {"text": f"{k * step}", "at": round(k * step / long, 5)}
            for k in range(int(long // step) + 1)
        ],
        "ticks": [round(k * fine / long, 5) for k in range(int(long // fine) + 1)],
    }
