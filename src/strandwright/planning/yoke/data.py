"""Data: a yoke as plain dictionaries, for JSON and for the screens."""

from __future__ import annotations

from typing import Any

from strandwright.planning.estimate import Estimate
from strandwright.planning.result.plan import Plan
from strandwright.planning.result.yoke import LegsMatched, YokePlan, YokeTurns
from strandwright.planning.written import Written
from strandwright.planning.yoke.cable import PlannedYoke
from strandwright.planning.yoke.matched import legs_load

Fields = dict[str, Any]


def yoke_data(plan: Plan) -> Fields | None:
    """Give the yoke of a plan as plain data.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    dict or None
        Lengths in metres, moments in newton metres; None of a line without one.
    """
    yoke = plan.yoke
    if yoke is None:
        return None
    return {
        "made": yoke.made,
        "leg_m": yoke.leg,
        **_three("overall", yoke.overall, "_m"),
        "legs": [
            {
                "name": leg.name,
                "strands": leg.strands,
                "turns": leg.turns,
                "colours": [
                    {"name": name, "colour": colour, "strands": strands}
                    for name, colour, strands in leg.colours
                ],
            }
            for leg in yoke.legs
        ],
        "on_pin": None if yoke.on_pin is None else _turns(yoke.on_pin),
        "on_axle": None if yoke.on_axle is None else _turns(yoke.on_axle),
        "reserve": _reserve(yoke),
        "lean": _lean(yoke),
        "read": [_read(read) for read in yoke.read],
        "strap": _strap(yoke),
    }


def _three(name: str, estimate: Estimate, unit: str) -> Fields:
    return {f"{name}{unit}": estimate.value, f"{name}_plus_minus{unit}": estimate.u95}


def _turns(turns: YokeTurns) -> Fields:
    return {
        "span_m": turns.span,
        **_three("one_leg", turns.one_leg, "_m"),
        **_three("both_legs", turns.both_legs, "_m"),
        **_three("body", turns.body, "_m"),
        "moved": [
            {"turns": number, **_three("length", length, "_m"), **_three("moment", moment, "_n_m")}
            for number, length, moment in turns.moved
        ],
    }


def _reserve(yoke: YokePlan) -> Fields | None:
    reserve = yoke.reserve
    if reserve is None:
        return None
    return {
        "turns": reserve.turns,
        "least_turns": reserve.least,
        "correction_m": reserve.correction,
        "apart_m": reserve.apart,
        "enough": reserve.is_enough,
    }


def _lean(yoke: YokePlan) -> Fields | None:
    lean = yoke.lean
    if lean is None:
        return None
    return {
        "span_m": lean.span,
        "angle_rad": lean.angle,
        "shorter_m": lean.shorter,
        "righting_n_m_per_rad": lean.righting,
        "apart": [
            {"apart_m": apart, "tight_n": tight, "loose_n": loose, **_three("moment", m, "_n_m")}
            for (apart, tight, loose), m in zip(lean.pulls, lean.moments, strict=True)
        ],
    }


def _read(read: LegsMatched) -> Fields:
    return {
        **_three("difference", read.difference, "_m"),
        "matched": read.matched,
        "longer": read.longer,
        # A number that cannot be is no number in JSON.
        "turns": read.turns if read.turns == read.turns else None,
        "moved": read.moved,
        "said": list(read.said),
    }


def _strap(yoke: YokePlan) -> Fields | None:
    strap = yoke.strap
    if strap is None:
        return None
    return {
        "strands": strap.strands,
        "length_m": strap.length,
        "turns": strap.turns,
        "posts_m": None if strap.posts is None else strap.posts.value,
        "cut_m": strap.cut,
        "loop_m": strap.loop,
        **_three("overall", strap.overall, "_m"),
        "friction": strap.friction,
        "ratio": strap.ratio,
        "why_not": strap.why_not,
    }


def legs_asked(plan: Plan, to: Written) -> Fields:
    """Say what is to be told back of both legs at the jig.

    Parameters
    ----------
    plan : Plan
        The plan.
    to : Written
        The job's units.

    Returns
    -------
    dict
        Loads either way of hanging them, turns in them, the span, the last comparison.
    """
    yoke, told = PlannedYoke.of(plan), plan.job.line.yoke
    assert told is not None
    span = told.span
    last = plan.yoke.read[-1] if plan.yoke is not None and plan.yoke.read else None
    return {
        "alone_load_text": to.force(legs_load(yoke, "one by one")),
        "together_load_text": to.force(legs_load(yoke, "together")),
        "span_text": "" if span is None else span.text,
        "left_turns": yoke.leg_turns if last is None else last.left_turns,
        "right_turns": yoke.leg_turns if last is None else last.right_turns,
        "read_before": last is not None,
    }
