"""The nock's fit mended: wraps of a trial, and strands more or fewer under a serving."""

from __future__ import annotations

import math

from strandwright.line.serving_geometry import served_span
from strandwright.units import INCH, System, format_length_decimal

#: A trial wrap long enough to try a nock on, by common practice [m]
TRIAL = 0.5 * INCH
#: Strands more or fewer that are looked at: past them another thread or bundle is meant.
_MOST = 6


def trial_text(core: float, thread: float, flattening: float, units: System) -> str:
    """Say how long a trial wrap to lay, and how many wraps that is.

    Parameters
    ----------
    core : float
        Diameter inside the serving [m]
    thread : float
        Nominal diameter of the thread [m]
    flattening : float
        Laid thickness over nominal diameter [-]
    units : {"in", "mm"}
        Units to write in.

    Returns
    -------
    str
        Such as ``a trial wrap of 1/2 in, 26 wraps,``.
    """
    pitch = float(served_span(core, thread, flattening, 1.0).pitch)
    long = "1/2 in" if units == "in" else "13 mm"
    return f"a trial wrap of {long}, {round(TRIAL / pitch)} wraps,"


def strands_for(
    core: float, strands: int, span: tuple[float, float], wanted: tuple[float, float]
) -> tuple[int, float] | None:
    """Find strands more or fewer under a serving that bring it to what is wanted.

    Parameters
    ----------
    core : float
        Diameter inside the serving, with the strands there are [m]
    strands : int
        How many there are [-]
    span : (float, float)
        Nominal diameter of the thread [m], and its laid thickness over that [-]
    wanted : (float, float)
        Diameter over the serving that is wanted, and how near, both [m]

    Returns
    -------
    tuple of (int, float) or None
        Strands more, fewer below zero, the fewest that do; and the diameter then [m]. None where
        no few of them do.
    """
    found: list[tuple[int, float]] = []
    for more in range(-min(_MOST, strands - 2), _MOST + 1):
        own = core * math.sqrt((strands + more) / strands)
        over = float(served_span(own, span[0], span[1], 1.0).outside_diameter)
        if more and abs(over - wanted[0]) <= wanted[1]:
            found.append((more, over))
    return min(found, key=lambda one: (abs(one[0]), abs(one[1] - wanted[0])), default=None)


def strands_text(found: tuple[int, float] | None, units: System) -> str:
    """Say what strands to lay in or leave out.

    Parameters
    ----------
    found : tuple of (int, float) or None
        Strands more, fewer below zero [-], and the diameter then [m]
    units : {"in", "mm"}
        Units to write in.

    Returns
    -------
    str
        Empty where there are none.
    """
    if found is None:
        return ""
    more, over = found
    count = f"{abs(more)} strand{'' if abs(more) == 1 else 's'}"
    comes = f"comes to {format_length_decimal(over, units)}"
    if more > 0:
        return f"; or lay {count} of the line's kind under it, as long as the serving: it {comes}"
    return f"; or wind the line with {count} fewer: it {comes}"
