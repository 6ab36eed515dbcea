"""Cable guard and limb bolts as plain data: every number also as text."""

from __future__ import annotations

from typing import Any

from strandwright.planning.bow.bolts import BoltTurn, turns_out, uneven
from strandwright.planning.bow.guarding import Along, Guarding
from strandwright.planning.bow.touched import TouchedPart
from strandwright.planning.bow.words import LABELS, change_text, force_text
from strandwright.planning.estimate import Estimate
from strandwright.planning.written import Written
from strandwright.workshop.riser import LimbBolts

Fields = dict[str, Any]
BOLT_CAUTION = (
    "Turn both bolts alike, a little at a time, and never farther out than the bow maker's "
    "manual allows: a limb held by too few threads can leave the bow. Turn them with the bow at "
    "rest or in a press as the manual has it, never drawn, and draw it on a draw board first."
)
#: What the guard's force does to the bow as a whole.
CARRIED = (
    "Riser and limbs carry this between them as twist, and the wheels lean by it; a hand that "
    "holds the bow still bears none of it"
)
#: Changes that nobody could read, in every unit [m, N, rad]
_NOTHING = {"m": 1e-5, "N": 0.02, "rad": 1e-4}
_LBF_IN = 0.112984829
_RADIAN = 57.29577951308232


def guard_data(guarding: Guarding | None, to: Written) -> Fields | None:
    """Write what a cable guard does as plain data.

    Parameters
    ----------
    guarding : Guarding or None
        What it does; None without a guard.
    to : Written
        How quantities are written.

    Returns
    -------
    dict or None
        Numbers and texts under plain names.
    """
    if guarding is None:
        return None
    rows = [_along(f"side force, {one.line}", one.force, to) for one in guarding.lines]
    if len(rows) > 1:
        rows.append(_along("side force, together", guarding.force, to))
    rows.append(_along("turns the riser by", guarding.torque, to))
    return {
        "on": guarding.on,
        "rows": rows,
        "lines": [
            {
                "line": one.line,
                "taken_up": one.taken_up.value,
                "taken_up_text": to.small(one.taken_up.value),
                "grows": one.grows.value,
                "grows_text": change_text("", one.grows.value, one.grows.u, to),
            }
            for one in guarding.lines
        ],
        "added": [guarding.peak_change.value, guarding.full_change.value],
        "notes": _guard_notes(guarding, to),
    }


def _along(label: str, values: Along, to: Written) -> Fields:
    return {
        "label": label,
        "unit": values[0].unit,
        "value": [value.value for value in values],
        "plus_minus": [value.u95 for value in values],
        "text": [_size(value, to) for value in values],
    }


def _size(value: Estimate, to: Written) -> str:
    """Write a force or a torque without its side."""
    size = Estimate(abs(value.value), value.u, value.unit)
    if value.unit == "N":
        return force_text(size, to)
    unit, per = ("lbf in", _LBF_IN) if to.system == "in" else ("N m", 1.0)
    digits = 0 if unit == "lbf in" else 1
    return f"{size.value / per:.{digits}f} ± {size.u95 / per:.{digits}f} {unit}"


def _guard_notes(guarding: Guarding, to: Written) -> list[str]:
    side = "right" if guarding.force[0].value >= 0.0 else "left"
    peak, full = (change_text("peak", v.value, v.u, to) for v in
                  (guarding.peak_change, guarding.full_change))  # fmt: skip
    longer = "; ".join(
        f"the {one.line}'s {to.small(one.taken_up.value)} at brace, "
        f"{change_text('', one.grows.value, one.grows.u, to)} by full draw"
        for one in guarding.lines
    )
    notes = [CARRIED] if any(v.value for v in guarding.force) else []
    if any(v.value for v in guarding.force):
        notes.append(f"held to the archer's {side}, a line's way is longer: {longer}")
        notes.append(
            f"beside straight cables that would be {peak} at the peak and {full} at full draw; the "
            "figures do not count it, for they are held to what the bow measures"
        )
    if guarding.pushes:
        notes.append(_PUSHES[guarding.pushes])
    if not guarding.measured:
        notes.append(
            "the guard's height is taken from practice: give it under guard to see where on the "
            "cables it lies"
        )
    return notes


_PUSHES = {
    "always": "the rollers push the cables in the bow's plane from brace to the wall; that is "
    "counted in every figure",
    "partly": "the rollers push the cables in the bow's plane over a part of the draw; that is "
    "counted in every figure",
    "never": "the rollers do not touch the cables in the bow's plane where they are said to "
    "stand: measure them again if they do",
}


def bare_data(bare: tuple[TouchedPart, ...], to: Written) -> list[Fields]:
    """Write what is touched and not served as plain data.

    Parameters
    ----------
    bare : tuple of TouchedPart
        Parts that no serving lies on.
    to : Written
        How quantities are written.

    Returns
    -------
    list of dict
        One for each.
    """
    return [
        {
            "on": part.on,
            "text": (
                f"{to.length(part.start.value)} to {to.length(part.stop.value)} "
                f"runs on the {part.on} and has no serving"
            ),
        }
        for part in bare
    ]


def bolts_data(turn: BoltTurn | None, to: Written) -> Fields | None:
    """Write what a turn of the limb bolts does as plain data.

    Parameters
    ----------
    turn : BoltTurn or None
        What it does; None for a bow without bolts.
    to : Written
        How quantities are written.

    Returns
    -------
    dict or None
        One turn out, figure by figure.
    """
    if turn is None:
        return None
    rows = [
        {
            "name": name,
            "label": LABELS[name],
            "unit": three[0].unit,
            "change": [one.value for one in three],
            "change_plus_minus": [one.u95 for one in three],
            "text": [_change_text(name, one, to) for one in three],
        }
        for name, *three in zip(turn.figures, turn.both, turn.upper, turn.lower, strict=True)
    ]
    tilt, half = turn.tilt.value * _RADIAN, turn.tilt.u95 * _RADIAN
    known = (
        "as measured"
        if turn.measured
        else "by practice; count its threads and measure the arm to be surer"
    )
    return {
        "columns": ["both bolts", "upper bolt only", "lower bolt only"],
        "rows": rows,
        "tilt_text": f"one turn lets a limb go by {tilt:.1f} ± {half:.1f}°",
        "source_text": f"one turn lets a limb go by {tilt:.1f} ± {half:.1f}°, {known}",
        "uneven_text": _uneven_text(turn.bolts),
        "caution": BOLT_CAUTION,
        "notes": _bolt_notes(turn),
    }


def _change_text(name: str, value: Estimate, to: Written) -> str:
    """Write a change, or that there is none."""
    if abs(value.value) + value.u95 < _NOTHING[value.unit]:
        return "none"
    return change_text(name, value.value, value.u, to)


def _uneven_text(bolts: LimbBolts | None) -> str:
    if not uneven(bolts):
        return ""
    upper, lower = turns_out(bolts)
    return f"the upper bolt is {upper:g} turns out, the lower {lower:g}: set them alike first"


def _bolt_notes(turn: BoltTurn) -> list[str]:
    bolts = turn.bolts
    upper, lower = turns_out(bolts)
    notes: list[str] = []
    if uneven(bolts):
        notes.append(_uneven_text(bolts))
    out = [turns for turns in (upper, lower) if turns is not None]
    if out and min(out) < 1.0:
        notes.append("a whole turn farther in is not there: a bolt is at its bottom before that")
    if bolts is not None and bolts.most is not None and out:
        left = bolts.most - max(out)
        notes.append(f"{left:g} turns more are allowed out of {bolts.most:g}")
    return notes
