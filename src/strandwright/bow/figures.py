"""The figures of a draw: what a technician reads off a bow scale and a draw board."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.draw_cycle import DrawCycle

Floats = NDArray[np.float64]
#: True draw length counts this much from the pivot of the grip on: 1 3/4 in [m].
PIVOT_OFFSET = 0.04445
#: A stop pressed by more holds its wheel; by less it is just touched [rad].
_HELD = 1e-7


@dataclass(frozen=True)
class Figures:
    """Figures of each bow of a batch.

    Attributes
    ----------
    brace_height : ndarray, shape (bows,)
        Pivot of the grip to the string, square to the string [m].
    axle_to_axle : ndarray, shape (bows,)
        Between the tips of the limbs, at brace [m].
    axle_to_axle_drawn : ndarray, shape (bows,)
        The same at full draw [m].
    draw_length : ndarray, shape (bows,)
        Nocking point to pivot at full draw and 1 3/4 in [m].
    power_stroke : ndarray, shape (bows,)
        Way of the nocking point from brace to full draw [m].
    peak : ndarray, shape (bows,)
        Largest force of the draw [N].
    peak_draw : ndarray, shape (bows,)
        Draw where it lies, from the pivot [m].
    holding : ndarray, shape (bows,)
        Least force between the peak and full draw; the force at full draw where none lies
        between [N].
    holding_draw : ndarray, shape (bows,)
        Draw where it lies, from the pivot [m].
    last_force : ndarray, shape (bows,)
        Force at full draw [N].
    let_off : ndarray, shape (bows,)
        (Peak less holding) over peak [-].
    stored_energy : ndarray, shape (bows,)
        Work from brace to full draw [J].
    string_angle : ndarray, shape (bows,)
        Between the two halves of the string at full draw [rad].
    nock_travel : ndarray, shape (bows, points)
        Rise of the nocking point from where it lies at brace, in the bow's own frame [m].
    timing : ndarray, shape (bows, points)
        Turn of the first wheel since brace less that of the second, each in its own sense of
        the draw; zero columns where there are not two wheels [rad].
    """

    brace_height: Floats
    axle_to_axle: Floats
    axle_to_axle_drawn: Floats
    draw_length: Floats
    power_stroke: Floats
    peak: Floats
    peak_draw: Floats
    holding: Floats
    holding_draw: Floats
    last_force: Floats
    let_off: Floats
    stored_energy: Floats
    string_angle: Floats
    nock_travel: Floats
    timing: Floats


def figures(cycle: DrawCycle) -> Figures:
    """Read the figures off a draw cycle.

    Parameters
    ----------
    cycle : DrawCycle
        From brace to full draw.

    Returns
    -------
    Figures
        Peak and valley by a parabola through the three points about each, so that they do not
        jump from point to point.
    """
    rig, draw, force = cycle.rig, cycle.draw, cycle.force
    # What comes when a stop holds one wheel and not yet the other is the wall, not the peak.
    held = np.logical_or.accumulate((cycle.stop_excess > _HELD).any(axis=2), axis=1)
    free = np.where(held, -np.inf, force)
    peak, peak_draw = _extreme(draw, force, np.argmax(free, axis=1), 1.0)
    after = np.where(draw > peak_draw[:, None], force, np.inf)
    # Where the peak is at full draw, no point lies after it.
    after[:, -1] = force[:, -1]
    holding, holding_draw = _extreme(draw, force, np.argmin(after, axis=1), -1.0)
    braced, drawn = rig.poses(cycle.q[:, 0]).at, rig.poses(cycle.q[:, -1]).at
    height = draw * np.sin(cycle.q[:, :, rig.bearing])
    return Figures(
        brace_height=_square_to_string(cycle),
        axle_to_axle=_apart(rig.bow.tip(0), rig.bow.tip(1), braced),
        axle_to_axle_drawn=_apart(rig.bow.tip(0), rig.bow.tip(1), drawn),
        draw_length=draw[:, -1] + PIVOT_OFFSET,
        power_stroke=draw[:, -1] - draw[:, 0],
        peak=peak,
        peak_draw=peak_draw,
        holding=holding,
        holding_draw=holding_draw,
        last_force=force[:, -1],
        let_off=1.0 - holding / peak,
        stored_energy=cycle.energy[:, -1],
        string_angle=_string_angle(cycle),
        nock_travel=height - height[:, :1],
        timing=_timing(cycle),
    )


def _apart(a: int, b: int, poses: Floats) -> Floats:
    return np.hypot(*(poses[:, a, :2] - poses[:, b, :2]).T)


def _extreme(
    draw: Floats, force: Floats, at: NDArray[np.intp], sign: float
) -> tuple[Floats, Floats]:
    """Largest (or, with sign -1, least) force and its draw, between the points."""
    rows = np.arange(len(draw))
    inner = np.clip(at, 1, draw.shape[1] - 2)
    a, b, c = (force[rows, inner + k] for k in (-1, 0, 1))
    curve = a - 2 * b + c
    shift = np.where(sign * curve < 0, 0.5 * (a - c) / np.where(curve == 0, 1.0, curve), 0.0)
    within = (np.abs(shift) <= 1.0) & (at == inner)
    top = np.where(within, b - 0.25 * (a - c) * shift, force[rows, at])
    step = draw[rows, inner + 1] - draw[rows, inner]
    place = np.where(within, draw[rows, inner] + shift * step, draw[rows, at])
    return top, place


def _square_to_string(cycle: DrawCycle) -> Floats:
    """Distance of the pivot from the straight string at brace."""
    rig = cycle.rig
    span = _string_spans(cycle)[0]
    nock = rig.poses(cycle.q[:, 0]).at[:, rig.bow.nock, :2]
    way = cycle.direction[:, 0, span]
    return np.abs(nock[:, 0] * np.sin(way) - nock[:, 1] * np.cos(way))


def _string_spans(cycle: DrawCycle) -> tuple[int, int]:
    """Spans that meet at the nocking point."""
    bodies, nock = cycle.rig.paths.bodies, cycle.rig.bow.nock
    into = int(np.flatnonzero(bodies[:, 1] == nock)[0])
    out = int(np.flatnonzero(bodies[:, 0] == nock)[0])
    return into, out


def _string_angle(cycle: DrawCycle) -> Floats:
    into, out = _string_spans(cycle)
    turn = cycle.direction[:, -1, out] - cycle.direction[:, -1, into]
    return np.pi - np.abs(np.arctan2(np.sin(turn), np.cos(turn)))


def _timing(cycle: DrawCycle) -> Floats:
    rig = cycle.rig
    if len(rig.bow.wheels) != 2:
        return np.zeros((len(cycle.draw), cycle.points))
    turned = cycle.q[:, :, rig.wheels] - cycle.q[:, :1, rig.wheels]
    sense = np.sign(turned[:, -1:, :])
    return np.sum(turned * sense * np.array([1.0, -1.0]), axis=-1)
