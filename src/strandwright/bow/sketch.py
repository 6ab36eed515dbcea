"""A sketch of the draw: its figures from the states followed, quick enough to fit thousands.

Between the states followed, force is the cubic with their own slopes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.equilibrium import Trouble
from strandwright.bow.following import Followed
from strandwright.bow.limb import PivotLimb
from strandwright.bow.rig import Rig

Floats = NDArray[np.float64]
#: Places looked at in each stride when seeking peak and valley [-].
_FINE = 12


@dataclass(frozen=True)
class Sketch:
    """Figures of bows, to about a thousandth.

    Attributes
    ----------
    peak, holding : ndarray, shape (bows,)
        Largest force of the draw, and the least after it [N].
    stored_energy : ndarray, shape (bows,)
        Work to the last draw [J].
    axle_to_axle_drawn : ndarray, shape (bows,)
        Between the limbs' tips there [m].
    nock_travel, nock_travel_midway : ndarray, shape (bows,)
        Rise of the nocking point from brace to the last draw, and to halfway [m].
    timing, timing_midway : ndarray, shape (bows,)
        Turn of the first of two wheels less the second's, over the draw and over half of it;
        0 where there are not two [rad].
    limb_bend : ndarray, shape (bows,)
        Turn of the links at brace from where their springs are slack, the mean of both; not a
        number where limbs are beams [rad].
    """

    peak: Floats
    holding: Floats
    stored_energy: Floats
    axle_to_axle_drawn: Floats
    nock_travel: Floats
    nock_travel_midway: Floats
    timing: Floats
    timing_midway: Floats
    limb_bend: Floats


def sketch(rig: Rig, followed: Followed) -> Sketch:
    """Read figures off the states followed.

    Parameters
    ----------
    rig : Rig
        The bows.
    followed : Followed
        From brace to full draw.

    Returns
    -------
    Sketch
        Not to be trusted where a bow could not be followed.
    """
    nodes = followed.draw.shape[1]
    places = np.linspace(0.0, 1.0, _FINE * (nodes - 1) + 1)
    first, last = followed.draw[:, :1], followed.draw[:, -1:]
    force = force_at(followed, first + places * (last - first))
    peak_at = np.argmax(force, axis=1)
    after = np.where(np.arange(force.shape[1]) >= peak_at[:, None], force, np.inf)
    step = (last - first)[:, 0] / (nodes - 1)
    inner = np.sum(followed.force, axis=1) - 0.5 * (followed.force[:, 0] + followed.force[:, -1])
    ends = followed.stiffness[:, 0] - followed.stiffness[:, -1]
    drawn = rig.poses(followed.q[:, -1]).at
    apart = drawn[:, rig.bow.tip(0), :2] - drawn[:, rig.bow.tip(1), :2]
    rise = followed.draw * np.sin(followed.q[:, :, rig.bearing])
    return Sketch(
        _topped(force, peak_at, 1.0),
        _topped(force, np.argmin(after, axis=1), -1.0),
        step * inner + step**2 / 12.0 * ends,
        np.hypot(apart[:, 0], apart[:, 1]),
        rise[:, -1] - rise[:, 0],
        rise[:, nodes // 2] - rise[:, 0],
        _timing(rig, followed, -1),
        _timing(rig, followed, nodes // 2),
        _limb_bend(rig, followed),
    )


def states_of(cycle: DrawCycle) -> Followed:
    """Give a draw that is solved as states that were followed.

    Parameters
    ----------
    cycle : DrawCycle
        The draw.

    Returns
    -------
    Followed
        All its points; slopes are those of the parabolas through three of them.
    """
    step = (cycle.draw[:, -1] - cycle.draw[:, 0])[:, None] / (cycle.points - 1)
    stiffness = np.gradient(cycle.force, axis=1, edge_order=2) / step
    slope = np.gradient(cycle.q, axis=1, edge_order=2) / step[..., None]
    ok = np.array([trouble is Trouble.NONE for trouble in cycle.trouble])
    return Followed(cycle.draw, cycle.q, slope, cycle.force, stiffness, cycle.direction, ok)


def force_at(followed: Followed, draws: Floats) -> Floats:
    """Force between the states followed.

    Parameters
    ----------
    followed : Followed
        The states.
    draws : ndarray, shape (bows, places)
        Where to give it [m]

    Returns
    -------
    ndarray, shape (bows, places)
        Force [N].
    """
    nodes = followed.draw.shape[1] - 1
    step = ((followed.draw[:, -1] - followed.draw[:, 0]) / nodes)[:, None]
    at = (draws - followed.draw[:, :1]) / step
    k = np.clip(at.astype(int), 0, nodes - 1)
    t = at - k
    rows = np.arange(len(draws))[:, None]
    a, b = followed.force[rows, k], followed.force[rows, k + 1]
    ma, mb = followed.stiffness[rows, k] * step, followed.stiffness[rows, k + 1] * step
    rest = 1.0 - t
    return (
        a * (1 + 2 * t) * rest**2 + ma * t * rest**2 + b * t * t * (3 - 2 * t) - mb * t * t * rest
    )


def _topped(force: Floats, at: NDArray[np.intp], sign: float) -> Floats:
    """Extreme by the parabola through three places; the place itself at an end."""
    rows, inner = np.arange(len(force)), np.clip(at, 1, force.shape[1] - 2)
    a, b, c = (force[rows, inner + k] for k in (-1, 0, 1))
    curve = a - 2 * b + c
    top = b - (a - c) ** 2 / (8.0 * np.where(curve == 0, 1.0, curve))
    return np.where((at == inner) & (sign * curve < 0), top, force[rows, at])


def _timing(rig: Rig, followed: Followed, node: int) -> Floats:
    if len(rig.bow.wheels) != 2:
        return np.zeros(len(followed.q))
    turned = followed.q[:, node, rig.wheels] - followed.q[:, 0, rig.wheels]
    return np.abs(turned[:, 0]) - np.abs(turned[:, 1])


def _limb_bend(rig: Rig, followed: Followed) -> Floats:
    bent: list[Floats] = []
    for mount, cut in zip(rig.bow.mounts, rig.limbs, strict=True):
        limb, q = mount.limb, followed.q[:, 0, cut.start]
        slack = limb.rest_angle if isinstance(limb, PivotLimb) else np.nan
        bent.append(q - np.asarray(slack))
    return np.mean(bent, axis=0)
