"""The wall: where the last of a bow's stops is touched, for a whole batch of bows at once.

Each is sought with Newton's method along the draw, by the bow without the stop that is met last:
it is smooth past the touch, while the bow itself is not.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.equilibrium import stand
from strandwright.bow.following import Followed, tangent
from strandwright.bow.rig import Poses, Rig

Floats = NDArray[np.float64]
#: Most steps to the wall; four do, from the stride before it.
_WALL_STEPS = 10


def wall_of(rig: Rig, followed: Followed, longest: Floats) -> Floats:
    """Give the draw of the last touch, sought from the last state that no stop holds.

    Parameters
    ----------
    rig : Rig
        The bows.
    followed : Followed
        Their states along the draw.
    longest : ndarray, shape (bows,)
        Draw to give up at [m]

    Returns
    -------
    ndarray, shape (bows,)
        Draws; the longest where not every stop is touched before it [m]
    """
    nodes = followed.draw.shape[1]
    excess = np.stack([_pressed(rig, rig.poses(followed.q[:, i]))[0] for i in range(nodes)], axis=1)
    pressed = np.max(excess, axis=2) > 0.0
    met = np.any(pressed, axis=1)
    # What was followed past a touch, against a hard stop, need not be trusted.
    before = np.where(met, np.argmax(pressed, axis=1) - 1, nodes - 2).clip(0)
    rows = np.arange(len(excess))
    late = np.argmin(excess[rows, before], axis=1)
    q, ways = followed.q[rows, before], followed.direction[rows, before]
    most = float(np.max((longest - q[:, rig.draw]) * met, initial=0.0))
    wall, at_wall = _touch(rig, late, q, ways, most)
    all_met = np.min(_pressed(rig, rig.poses(at_wall))[0], axis=1) > -1e-6
    return np.where(met & all_met, np.minimum(wall, longest), longest)


def wall_near(rig: Rig, q: Floats, ways: Floats, reach: float) -> Floats:
    """Give the state at the last touch of a stop, from a state that is near it.

    Parameters
    ----------
    rig : Rig
        The bows.
    q : ndarray, shape (bows, n)
        States near it [-, rad, m, rad]
    ways : ndarray, shape (bows, spans)
        Directions of the spans there [rad]
    reach : float
        How far it may lie, > 0 [m]

    Returns
    -------
    ndarray, shape (bows, n)
        States at the touch [-, rad, m, rad]
    """
    at = stand(rig, q, ways, hold_draw=True).value
    late = np.argmin(_pressed(rig, at.potential.poses)[0], axis=1)
    return _touch(rig, late, at.q, at.potential.spans.direction, reach)[1]


def _touch(
    rig: Rig, late: NDArray[np.intp], q: Floats, ways: Floats, most: float
) -> tuple[Floats, Floats]:
    """Draw and state where each bow's last stop is touched, the others holding.

    It goes by the bow without the stop thought to be last, which is smooth past its touch; where
    another turns out to be later, that one is taken.
    """
    start = q[:, rig.draw].copy()
    for _ in rig.bow.stops:
        q, ways, excess = _touched(rig, late, q, ways, (start - most, start + most))
        later = np.argmin(excess, axis=1)
        if np.all((later == late) | (np.min(excess, axis=1) > -1e-9)):
            break
        late = later
    return q[:, rig.draw], q


def _touched(
    rig: Rig, late: NDArray[np.intp], q: Floats, ways: Floats, within: tuple[Floats, Floats]
) -> tuple[Floats, Floats, Floats]:
    """State and directions where one stop of each bow is touched, and how all are pressed."""
    free, rows = rig.released(late), np.arange(len(q))
    excess = np.zeros((len(q), len(rig.bow.stops)))
    for _ in range(_WALL_STEPS):
        at = stand(free, q, ways, hold_draw=True).value
        moved, ways = tangent(at.potential, rig.draw), at.potential.spans.direction
        excess, by = _pressed(rig, at.potential.poses)
        per_draw = np.einsum("bn,bn->b", by[rows, late], moved)
        step = -excess[rows, late] / np.where(per_draw > 1e-9, per_draw, np.inf)
        draw = at.q[:, rig.draw]
        step = np.clip(step, within[0] - draw, within[1] - draw)
        q = at.q + step[:, None] * moved
        if float(np.max(np.abs(step))) < 1e-10:
            break
    return q, ways, excess


def _pressed(rig: Rig, poses: Poses) -> tuple[Floats, Floats]:
    """How far each stop is pressed, (bows, stops), and the derivatives by the state."""
    found = [rig.stop_excess(stop, poses) for stop in rig.bow.stops]
    return np.stack([e for e, _ in found], axis=-1), np.stack([g for _, g in found], axis=1)
