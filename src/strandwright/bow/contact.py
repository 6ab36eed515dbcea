"""Contact: which part of each line ever touches a wheel, a roller or a stop, brace to wall.

Positions run along the line without load, from where its path begins; a part is *touched* if it
lies on a track at any point of the draw. What is touched must be served; what is not, need not.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.parts import RISER, Bow, Reach
from strandwright.geometry.taut import Contact
from strandwright.geometry.track import Track

Floats = NDArray[np.float64]
#: Name of what a line runs over on the riser.
ROLLER = "roller"


@dataclass(frozen=True)
class Touch:
    """One track's touch of one line, for a batch of bows.

    Attributes
    ----------
    line : str
        The line.
    on : str
        The body it touches, in the technician's words.
    fastened : bool
        Whether the line is fastened there, so that the touch begins at its end.
    brace_start, brace_stop : ndarray, shape (bows,)
        What is touched at brace [m].
    start, stop : ndarray, shape (bows,)
        What is touched at any point from brace to wall [m].
    """

    line: str
    on: str
    fastened: bool
    brace_start: Floats
    brace_stop: Floats
    start: Floats
    stop: Floats


@dataclass(frozen=True)
class Lane:
    """All touches of one line, with its own scale.

    Attributes
    ----------
    line : str
        The line.
    length : ndarray, shape (bows,)
        Its path's length without load [m].
    nock : ndarray or None, shape (bows,)
        Where the nocking point lies on it; None for a cable [m].
    touches : tuple of Touch
        From its zero end on; a track never touched is left out.
    """

    line: str
    length: Floats
    nock: Floats | None
    touches: tuple[Touch, ...]


@dataclass(frozen=True)
class Step:
    """One contact of a reach along the draw, reached from the reach's beginning.

    Attributes
    ----------
    contact : Contact
        What is touched, or passed.
    at, arc : ndarray, shape (bows, points)
        Length under load up to it, and on it; none where it is not touched [m].
    """

    contact: Contact
    at: Floats
    arc: Floats


def contact_map(cycle: DrawCycle) -> tuple[Lane, ...]:
    """Work out what each line touches.

    Parameters
    ----------
    cycle : DrawCycle
        From brace to the wall.

    Returns
    -------
    tuple of Lane
        One for each line of the bow.
    """
    bow, lanes = cycle.rig.bow, []
    span = reach_index = 0
    for line in bow.lines:
        begins = np.zeros((len(cycle.draw), 1))
        touches: list[Touch] = []
        nock: Floats | None = None
        for k, reach in enumerate(line.reaches):
            if k:
                nock = begins[:, 0]
            stretch = 1.0 + cycle.tension[:, :, reach_index] / _column(reach.stiffness)
            touches += _touches(cycle, line.name, reach, span, begins, stretch)
            begins = begins + cycle.rig.natural[:, reach_index, None]
            span += len(reach.contacts) - 1
            reach_index += 1
        lanes.append(Lane(line.name, begins[:, 0], nock, tuple(touches)))
    return tuple(lanes)


def body_name(bow: Bow, body: int) -> str:
    """Name a body in the technician's words.

    Parameters
    ----------
    bow : Bow
        The bow.
    body : int
        Index of the body [-]

    Returns
    -------
    str
        Such as ``upper wheel``.
    """
    if body == RISER:
        return ROLLER
    if body == bow.nock:
        return "nocking point"
    if body >= bow.wheel(0):
        name = bow.wheels[body - bow.wheel(0)].name
        return name if name == "cam" else f"{name} wheel"
    end = "axle" if bow.wheels else "tip"
    return bow.mounts[body - bow.tip(0)].name.replace("limb", end)


def steps(cycle: DrawCycle, reach: Reach, first: int) -> Iterator[Step]:
    """Walk along a reach, contact by contact, at every point of the draw.

    Parameters
    ----------
    cycle : DrawCycle
        The draw.
    reach : Reach
        The reach, one of the bow's.
    first : int
        Index of its first straight part [-]

    Yields
    ------
    Step
        One for each contact.
    """
    at = np.zeros(cycle.draw.shape)
    last = len(reach.contacts) - 1
    for k, contact in enumerate(reach.contacts):
        span = first + k
        track, side = alongside(contact.track), contact.side
        out = cycle.normal[:, :, span, 0] if k < last else None
        into = cycle.normal[:, :, span - 1, 1] if k else None
        if into is None or out is None:
            peg = None if contact.peg is None else _column(contact.peg)
            a, b = (peg, out) if into is None else (into, peg)
        else:
            a, b = into, out
        arc = np.zeros(cycle.draw.shape)
        if a is not None and b is not None:
            swept = side * (b - a)
            arc = np.where(swept > 0, side * track.arc(a, b), 0.0)
            if 0 < k < last:
                arc = np.where(cycle.touching[:, :, span], arc, 0.0)
        yield Step(contact, at, arc)
        at = at + arc
        if k < last:
            at = at + cycle.span_length[:, :, span]


def _touches(
    cycle: DrawCycle, line: str, reach: Reach, first: int, begins: Floats, stretch: Floats
) -> list[Touch]:
    """What a reach touches at every point of the draw."""
    found: list[Touch] = []
    last = len(reach.contacts) - 1
    for k, step in enumerate(steps(cycle, reach, first)):
        start, stop = begins + step.at / stretch, begins + (step.at + step.arc) / stretch
        if np.any(step.arc > 0):
            # A track that is not touched at a point counts for nothing there.
            low = np.where(step.arc > 0, start, np.inf)
            high = np.where(step.arc > 0, stop, -np.inf)
            found.append(
                Touch(
                    line,
                    _place(cycle.rig.bow, step.contact.body, k in (0, last)),
                    step.contact.peg is not None,
                    start[:, 0],
                    stop[:, 0],
                    np.min(low, axis=1),
                    np.max(high, axis=1),
                )
            )
    return found


def _place(bow: Bow, body: int, at_end: bool) -> str:
    name = body_name(bow, body)
    # A wheel that turns freely about an axle and carries the line on is no body of its own.
    return name if at_end else name.replace("axle", "wheel")


def _column(values: Floats) -> Floats:
    return np.atleast_1d(np.asarray(values, dtype=np.float64))[:, None]


def alongside(track: Track) -> Track:
    """Give tracks an axis for the points of the draw.

    Parameters
    ----------
    track : Track
        One for all bows, or one for each.

    Returns
    -------
    Track
        The same, evaluated at (bows, points).
    """
    if track.mean.ndim == 0:
        return track
    return Track(track.mean[:, None], track.cosine[:, None, :], track.sine[:, None, :])
