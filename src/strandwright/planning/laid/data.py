"""Data: how a line is laid in as plain dictionaries, for JSON and for other programs."""

from __future__ import annotations

import math
from typing import Any

from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.planning.result.laid import CutBundle, CutList, Hold, LaidEnd, LaidIn, LaidRope
from strandwright.planning.written import Written

Fields = dict[str, Any]


def laid_data(plan: Plan) -> Fields | None:
    """Give how a line is laid in as plain data.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    dict or None
        Lengths in metres, angles in radians; None of a line that is wound.
    """
    laid = plan.laid
    if laid is None:
        return None
    to = Written.on(plan.job.paper)
    return {
        "hand": laid.hand,
        "by_hand": laid.by_hand,
        "cut": _cut(laid.cut, to),
        "loop": _rope(laid.loop, to),
        "married": _rope(laid.married, to),
        "ends": [_end(end) for end in laid.ends],
        "second_loop": _marks(laid, to),
        "hold": _hold(laid.hold, to),
        "body_diameter_m": laid.body_diameter,
        "nesting": laid.nesting,
        "fewest_turns": laid.fewest,
        "warnings": list(laid.warnings),
    }


def _three(to: Written, name: str, estimate: Estimate, unit: str) -> Fields:
    small = name == "diameter"
    return {
        f"{name}{unit}": estimate.value,
        f"{name}_plus_minus{unit}": estimate.u95,
        f"{name}_text": to.small_estimate(estimate) if small else to.estimate(estimate),
    }


def _finite(metres: float) -> float | None:
    """A length that no married part is long enough for is no number in JSON."""
    return metres if math.isfinite(metres) else None


def _cut(cut: CutList, to: Written) -> Fields:
    return {
        "board": cut.board,
        "step_m": cut.step,
        **_three(to, "needed", cut.needed, "_m"),
        "longest_m": cut.longest,
        "taper_m": cut.taper,
        "fibre_m": cut.fibre,
        **_three(to, "mass", cut.mass, "_kg"),
        "bundles": [_bundle(bundle) for bundle in cut.bundles],
        "common_practice": [
            {"name": one.name, "length_m": one.length, "far_off": one.far_off} for one in cut.sums
        ],
    }


def _bundle(bundle: CutBundle) -> Fields:
    return {
        "number": bundle.number,
        "strands": bundle.strands,
        "colours": [
            {"name": one.name, "colour": one.colour, "strands": one.strands}
            for one in bundle.shares
        ],
        "lengths": [{"cut_m": length} for length in bundle.lengths],
    }


def _rope(rope: LaidRope, to: Written) -> Fields:
    return {
        "strands": rope.strands,
        "by_hand_per_m": rope.by_hand,
        "lay_per_m": rope.lay,
        "angle_rad": rope.angle,
        **_three(to, "diameter", rope.diameter, "_m"),
    }


def _end(end: LaidEnd) -> Fields:
    return {
        "name": end.name,
        "far": end.far,
        "size_m": end.size,
        "round_m": end.round,
        "turns": end.turns,
        "tail_m": end.tail,
        "loop_m": end.loop,
        "standing_m": end.standing,
        "married_m": end.married,
        "throat_m": end.throat,
    }


def _marks(laid: LaidIn, to: Written) -> Fields:
    marks = laid.marks
    return {
        **_three(to, "body_ends", marks.body_ends, "_m"),
        **_three(to, "throat", marks.throat, "_m"),
        **_three(to, "fold", marks.fold, "_m"),
        **_three(to, "begin", marks.begin, "_m"),
        "quarter_inch_is_m": marks.quarter,
        "quarter_inch_is_turns": _finite(marks.turns),
    }


def _hold(hold: Hold, to: Written) -> Fields:
    return {
        "married_m": hold.married,
        "needed_m": _finite(hold.needed),
        "with_own_turns_m": _finite(hold.with_turns),
        "wanted": hold.wanted,
        "factor": hold.factor,
        **_three(to, "load", hold.load, "_n"),
        "tail_n": hold.tail,
        "friction": hold.friction,
        "cover": hold.cover,
        "taper": hold.taper,
        "enough": hold.is_enough,
    }
