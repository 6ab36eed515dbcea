"""Free run: the part of a line, next to one of its ends, that twist spreads over if tracks hold it.

A line that lies on a track under load does not turn about itself there, so that a turn put in at
an end stays between the track that end is fastened on and the next one the line lies on. A
nocking point holds no twist: the line runs through it in the air.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.contact import body_name
from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.parts import BowLine

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class FreeRun:
    """A line's free run at brace, from one of its ends.

    Attributes
    ----------
    line : str
        The line.
    from_body, to_body : str
        What the line is fastened on there, and the next it lies on.
    length : ndarray, shape (bows,)
        How long the run is [m].
    share : ndarray, shape (bows, reaches)
        How much of it lies in each reach of the line; 1 in all [-].
    """

    line: str
    from_body: str
    to_body: str
    length: Floats
    share: Floats


@dataclass(frozen=True)
class _Straight:
    """A straight part of a line: its reach, its place in the draw, and what lies behind it."""

    reach: int
    span: int
    body: int
    #: Whether the line lies on that body, bow by bow.
    held: NDArray[np.bool_]


def free_runs(cycle: DrawCycle) -> tuple[tuple[FreeRun, FreeRun], ...]:
    """Find each line's free run from its zero end and from its far end.

    Parameters
    ----------
    cycle : DrawCycle
        Of which only the brace is looked at.

    Returns
    -------
    tuple of (FreeRun, FreeRun)
        Line by line. Where the line lies on no track between its ends both are the whole of it
        that is in the air.
    """
    found: list[tuple[FreeRun, FreeRun]] = []
    first = 0
    for line in cycle.rig.bow.lines:
        onward = _straights(cycle, line, first, back=False)
        back = _straights(cycle, line, first, back=True)[::-1]
        ends = line.reaches[0].contacts[0].body, line.reaches[-1].contacts[-1].body
        found.append(
            (_run(cycle, line, onward, ends[0]), _run(cycle, line, back, ends[1]))
        )  # fmt: skip
        first += len(onward)
    return tuple(found)


def _straights(cycle: DrawCycle, line: BowLine, first: int, *, back: bool) -> list[_Straight]:
    """Every straight part of a line from its zero end on, with what is met behind it."""
    found: list[_Straight] = []
    span = first
    for k, reach in enumerate(line.reaches):
        last = len(reach.contacts) - 2
        for j in range(last + 1):
            met = reach.contacts[j if back else j + 1]
            # Reaches meet at the nocking point, which no wrap holds; a track lies within one.
            within = j > 0 if back else j < last
            at = span if back else span + 1
            held = cycle.touching[:, 0, at] if within else np.zeros(len(cycle.draw), dtype=bool)
            found.append(_Straight(k, span, met.body, held))
            span += 1
    return found


def _run(cycle: DrawCycle, line: BowLine, along: list[_Straight], end: int) -> FreeRun:
    """Add up straight parts until the line lies on something."""
    bow = cycle.rig.bow
    part = np.zeros((len(cycle.draw), len(line.reaches)))
    free = np.ones(len(cycle.draw), dtype=bool)
    to = body_name(bow, along[-1].body)
    for straight in along:
        part[:, straight.reach] += np.where(free, cycle.span_length[:, 0, straight.span], 0.0)
        if np.all(straight.held & free):
            # A wheel that carries the line on turns freely about its axle.
            to = body_name(bow, straight.body).replace("axle", "wheel")
        free = free & ~straight.held
        if not np.any(free):
            break
    length = part.sum(axis=1)
    return FreeRun(line.name, body_name(bow, end), to, length, part / length[:, None])
