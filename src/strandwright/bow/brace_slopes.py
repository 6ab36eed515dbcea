"""Brace slopes: how brace height and axle-to-axle change with the state a bow stands in."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.rig import Potential

Floats = NDArray[np.float64]


def axles_apart(at: Potential, a: int, b: int) -> Floats:
    """Give the slope of the distance between two bodies.

    Parameters
    ----------
    at : Potential
        In equilibrium.
    a, b : int
        The bodies [-]

    Returns
    -------
    ndarray, shape (bows, n)
        By the state [m over the unit of the state].
    """
    gap = at.poses.at[:, a, :2] - at.poses.at[:, b, :2]
    by = at.poses.gradient[:, a, :2] - at.poses.gradient[:, b, :2]
    unit = gap / np.linalg.norm(gap, axis=1, keepdims=True)
    return np.einsum("bx,bxn->bn", unit, by)


def brace_height(cycle: DrawCycle, at: Potential) -> Floats:
    """Give the slope of the distance from the pivot to the string's line.

    Parameters
    ----------
    cycle : DrawCycle
        From brace to the wall.
    at : Potential
        At its brace.

    Returns
    -------
    ndarray, shape (bows, n)
        By the state [m over the unit of the state].

    Notes
    -----
    At brace the string is straight through the nocking point, so a shift of the point along it
    counts for nothing; a turn of the line about the foot of the square counts by the offset.
    """
    rig = cycle.rig
    nock = rig.bow.nock
    into = int(np.flatnonzero(rig.paths.bodies[:, 1] == nock)[0])
    out = int(np.flatnonzero(rig.paths.bodies[:, 0] == nock)[0])
    way = cycle.direction[:, 0, into]
    c, s = np.cos(way), np.sin(way)
    x = at.poses.at[:, nock, :2]
    across = np.stack([s, -c], axis=-1)
    along = x[:, 0] * c + x[:, 1] * s
    by_shift = np.einsum("bx,bxn->bn", across, at.poses.gradient[:, nock, :2])
    # The line's turn, from where its two far contacts go.
    turn = _line_turn(cycle, at, into, out, across)
    sign = np.sign(np.einsum("bx,bx->b", across, x))[:, None]
    return sign * (by_shift + along[:, None] * turn)


def _line_turn(cycle: DrawCycle, at: Potential, into: int, out: int, across: Floats) -> Floats:
    """Turn of the straight string by the state: far contacts' shift across it over its length."""
    paths = cycle.rig.paths
    total = (at.spans.length[:, into] + at.spans.length[:, out])[:, None]
    ends = []
    for span, end in ((into, 0), (out, 1)):
        body = paths.bodies[span, end]
        shift = np.einsum("bx,bxn->bn", across, at.poses.gradient[:, body, :2])
        # A body that turns carries its tangent along by the slope of its support.
        lever = paths.side[span, end] * at.spans.slope[:, span, end]
        ends.append(shift - lever[:, None] * at.poses.gradient[:, body, 2])
    return (ends[0] - ends[1]) / total
