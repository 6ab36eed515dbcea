"""Sections: a yoke in rows, the same for screen, sheet and command."""

from __future__ import annotations

from collections.abc import Iterator

from strandwright.planning.details.section import DetailSection
from strandwright.planning.result import Plan, YokeTurns
from strandwright.planning.written import Written
from strandwright.planning.yoke.words import (
    LEAN_RULE,
    MATCH_RULE,
    halves,
    lean_rows,
    made_rows,
    turn_rows,
)

_NO_SPAN = "give line.yoke.span, between the two leg loops on the axle, for what turns do to lean"
_LEFT = (
    "left and right are as seen from behind the drawn bow; on the jig tag the left leg before the "
    "skein is halved"
)
_LEAN_NOTES = (
    "the side moment draws the rim on the side away from the cable towards the shorter leg, at the "
    "measuring load on a level axle",
    LEAN_RULE,
    "how far a wheel then leans is the limb tip's to say, whose stiffness no table tells: move "
    "half a turn, read the lean again",
)


def yoke_sections(plan: Plan, to: Written) -> Iterator[DetailSection]:
    """Give the sections of a plan's yoke.

    Parameters
    ----------
    plan : Plan
        The plan.
    to : Written
        The job's units.

    Yields
    ------
    DetailSection
        How it is made, what turns do, how it leans; none of a line without a yoke.
    """
    yoke = plan.yoke
    if yoke is None:
        return
    if yoke.strap is not None:
        note = "a strap that lies with its middle in the eye cannot right a wheel by turns"
        yield DetailSection("yoke", "The strap", made_rows(yoke, plan, to), (note,))
        return
    yield DetailSection("yoke", "The yoke", made_rows(yoke, plan, to), (MATCH_RULE, _LEFT))
    if yoke.on_pin is not None:
        moved = _moved_note(yoke.on_pin, to)
        notes = (moved,) if yoke.on_axle is not None else (moved, _NO_SPAN)
        title = "Turns in the yoke, on one pin as it is proved"
        yield DetailSection("yoke-turns", title, turn_rows(yoke.on_pin, to), notes)
    if yoke.on_axle is not None and yoke.lean is not None:
        title = f"Turns in the yoke, on the axle over {to.length(yoke.on_axle.span)}"
        notes = (_moved_note(yoke.on_axle, to),)
        yield DetailSection("yoke-turns", title, turn_rows(yoke.on_axle, to), notes)
        rows = lean_rows(yoke.lean, to)
        yield DetailSection("yoke-lean", "Lean of the wheel", rows, _LEAN_NOTES)


def _moved_note(turns: YokeTurns, to: Written) -> str:
    """Say what turns moved over cost in length beside a turn in one leg."""
    number, length, _ = turns.moved[-1]
    said = (
        "turns moved over, into one leg and out of the other, change the length by their square "
        f"alone: {halves(number)} moved over take {to.small(abs(length.value))} off, a turn in one "
        f"leg {to.small(abs(turns.one_leg.value))}"
    )
    return f"{said}; move them by half turns"
