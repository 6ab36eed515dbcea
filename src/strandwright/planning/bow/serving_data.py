"""Servings held against what the bow touches, as plain data: every number also as text."""

from __future__ import annotations

from typing import Any

from strandwright.planning.bow.answers import BowAnswers
from strandwright.planning.bow.speed import BeyondCost
from strandwright.planning.bow.touched import ServingCover
from strandwright.planning.written import Written
from strandwright.units import Dimension, to_unit
from strandwright.workshop.job import Job

Fields = dict[str, Any]
#: Less than this short or past is within what a hand serves to [m]
_HARDLY = 0.003
#: Less than this in speed is nothing that anybody could find [m/s]
_NO_SPEED = 0.015


def servings_data(job: Job, answers: BowAnswers, to: Written) -> list[Fields]:
    """Write what the bow asks of each serving as plain data.

    Parameters
    ----------
    job : Job
        The job.
    answers : BowAnswers
        What its bow answers.
    to : Written
        How quantities are written.

    Returns
    -------
    list of dict
        Serving by serving; ``verdict_text`` has all of it in one line.
    """
    return [
        _serving(cover, answers.beyond.get(cover.name), to, _beside(job, cover.use))
        for cover in answers.covers
    ]


def _beside(job: Job, use: str) -> str:
    """Say what a serving that touches no wheel touches neither, or what is to be measured."""
    guard = job.bow.guard
    if use == "stop":
        known = job.bow.string_stop is not None
        return "neither track nor stop" if known else "no track; measure where the string stop sits"
    if use == "track" and job.line.kind == "cable":
        if guard is None or guard.height is None:
            return "no track; measure where the slide or the rollers hold the cables"
        return f"neither track nor {guard.kind}"
    return "no track"


def _serving(
    cover: ServingCover, cost: BeyondCost | None, to: Written, touches: str
) -> Fields:
    low, high = cover.wanted_start, cover.wanted_stop
    served = cover.stop - cover.start
    if low is None or high is None:
        return {
            "name": cover.name,
            "wanted_text": "",
            "short": False,
            "verdict_text": f"served {to.length(served)}, touches {touches}",
            "times_text": "",
            "needed": None,
            "served": served,
            "lacking": 0.0,
            "beyond": 0.0,
        }
    short = cover.short > _HARDLY
    return {
        "name": cover.name,
        "wanted_text": f"{to.length(low)} to {to.length(high)}",
        "short": short,
        "verdict_text": _verdict(cover, high - low, cost, to, short=short),
        "times_text": _times(cover),
        "needed": high - low,
        "served": served,
        "lacking": cover.short,
        "beyond": cover.beyond,
    }


def _times(cover: ServingCover) -> str:
    if cover.times_needed is None:
        return ""
    return f"{cover.times_needed:.1f} times what is touched"


def _verdict(
    cover: ServingCover, needed: float, cost: BeyondCost | None, to: Written, *, short: bool
) -> str:
    served = cover.stop - cover.start
    words = [f"needed {to.length(needed)}", f"served {to.length(served)}"]
    if short:
        words.append(f"{to.length(cover.short)} short")
    if cover.beyond > _HARDLY:
        equals = [to.length(cover.beyond), _thread_text(cover.beyond_mass, to)]
        if cost is not None:
            equals.append(_speed_text(cost, to))
        words.append(f"beyond {' = '.join(equals)}")
    return ", ".join(words)


def _thread_text(mass: float, to: Written) -> str:
    """Write the mass of a little thread, which is something however little it is."""
    text = to.mass(mass)
    number, unit = text.rsplit(" ", 1)
    return f"under 1 {unit}" if number == "0" else text


def _speed_text(cost: BeyondCost, to: Written) -> str:
    unit = "ft/s" if to.system == "in" else "m/s"

    def per(value: float) -> str:
        # What rounds to nothing has no direction.
        return f"{round(to_unit(Dimension.SPEED, value, unit), 1) + 0.0:.1f}".replace("-", "−")

    if max(abs(cost.lost), abs(cost.low)) < _NO_SPEED:
        return "no speed"
    if cost.told:
        return f"{per(cost.lost)} {unit}"
    return f"{per(cost.low)} to {per(cost.lost)} {unit}, cannot tell"
