"""On the riser: what of each line lies in a guard or on a string stop, put among its touches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.contact import ROLLER, Lane, Touch
from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.guard import HeldLine
from strandwright.errors import SpecError

Floats = NDArray[np.float64]
SLIDE, STRING_STOP = "slide", "string stop"


def with_guard(
    lanes: Sequence[Lane], held: Sequence[HeldLine], on: str, long: float
) -> tuple[Lane, ...]:
    """Put what lies at a guard among the touches of each line.

    Parameters
    ----------
    lanes : sequence of Lane
        What the lines touch in the bow's plane.
    held : sequence of HeldLine
        The lines at the guard.
    on : str
        What the guard is called.
    long : float
        Length of a line that lies in it at one time, >= 0 [m]

    Returns
    -------
    tuple of Lane
        Each line longer by what the guard takes up at brace; what comes after the guard lies by
        so much farther along.
    """
    found = {lane.line: lane for lane in lanes}
    for own in held:
        lane = found[own.line]
        at = own.start[:, 0]
        touches = [_past(touch, at, own.taken_up) for touch in lane.touches if touch.on != ROLLER]
        half = 0.5 * long
        touches.append(
            Touch(
                own.line,
                on,
                False,
                at - half,
                own.stop[:, 0] + half,
                own.start.min(axis=1) - half,
                own.stop.max(axis=1) + half,
            )
        )
        found[own.line] = replace(
            lane, length=lane.length + own.taken_up, touches=_in_order(touches)
        )
    return tuple(found[lane.line] for lane in lanes)


def _past(touch: Touch, at: Floats, longer: Floats) -> Touch:
    if not np.mean(touch.brace_start) > np.mean(at):
        return touch
    return replace(
        touch,
        brace_start=touch.brace_start + longer,
        brace_stop=touch.brace_stop + longer,
        start=touch.start + longer,
        stop=touch.stop + longer,
    )


def with_string_stop(
    lanes: Sequence[Lane], cycle: DrawCycle, height: float, long: float
) -> tuple[Lane, ...]:
    """Put the string's part that rests on a string stop at brace among its touches.

    Parameters
    ----------
    lanes : sequence of Lane
        What the lines touch.
    cycle : DrawCycle
        From brace to the wall.
    height : float
        Of the stop's middle over the pivot of the grip [m]
    long : float
        Length of its face along the string, > 0 [m]

    Returns
    -------
    tuple of Lane
        The string is taken to lie on it unbent, with no force, and only at brace.

    Raises
    ------
    SpecError
        If the stop lies past the string's free part.
    """
    place = _at_height(cycle, height)
    half = 0.5 * long
    ends = place - half, place + half
    touch = Touch("string", STRING_STOP, False, *ends, *ends)
    return tuple(
        replace(lane, touches=_in_order([*lane.touches, touch])) if lane.line == "string" else lane
        for lane in lanes
    )


def _at_height(cycle: DrawCycle, height: float) -> Floats:
    """Where on the string, without load, a height over the pivot lies at brace, (bows,)."""
    bow, rig = cycle.rig.bow, cycle.rig
    line = bow.lines[bow.line("string")]
    at = rig.poses(cycle.q[:, 0]).at
    nock = at[:, bow.nock, 1]
    first = 0
    for index, reach in enumerate(line.reaches):
        into = reach.contacts[-1].body == bow.nock
        span = first + len(reach.contacts) - 2 if into else first
        rise = np.sin(cycle.direction[:, 0, span])
        # Along the string from the nocking point, up where the string runs up.
        away = (height - nock) / rise
        free = cycle.span_length[:, 0, span]
        if np.all(away <= 0.0 if into else away >= 0.0):
            if np.any(np.abs(away) >= free):
                raise SpecError(
                    "string_stop.height",
                    f"{height / 0.0254:.3g} in",
                    "must lie where the string runs free of the wheels at brace",
                    "measure it from the pivot of the grip, up or down",
                )
            stretch = 1.0 + cycle.tension[:, 0, index] / rig.stiffness[:, index]
            begins = rig.natural[:, 0] if len(line.reaches) > 1 else 0.0 * nock
            return begins + away / stretch
        first += len(reach.contacts) - 1
    raise SpecError(
        "string_stop.height",
        f"{height / 0.0254:.3g} in",
        "must not lie at the nocking point",
        "measure it from the pivot of the grip, up or down",
    )


def _in_order(touches: Sequence[Touch]) -> tuple[Touch, ...]:
    return tuple(sorted(touches, key=lambda touch: float(np.mean(touch.start))))
