"""Settling: how a line goes on getting longer on its bow, by readings, and when it is done."""

from strandwright.statistics.settling.fit import Settling, Steps, fit_settling
from strandwright.statistics.settling.judge import (
    Judgement,
    Moment,
    Ranged,
    Rule,
    Verdict,
    creep_excess,
    deviation,
    judge,
    movement,
)
from strandwright.statistics.settling.law import Prior
from strandwright.statistics.settling.look import NextLook, Pace, Why, next_look
from strandwright.statistics.settling.mode import Mode, most_probable

__all__ = [
    "Judgement",
    "Mode",
    "Moment",
    "NextLook",
    "Pace",
    "Prior",
    "Ranged",
    "Rule",
    "Settling",
    "Steps",
    "Verdict",
    "Why",
    "creep_excess",
    "deviation",
    "fit_settling",
    "judge",
    "most_probable",
    "movement",
    "next_look",
]
