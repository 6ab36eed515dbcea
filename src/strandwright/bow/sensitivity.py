r"""Sensitivity: what a small change of a line's length does to the bow.

By implicit differentiation: in equilibrium :math:`g(q, L_0) = 0`, so a change of a natural
length moves the state by :math:`dq = -H^{-1}\,\partial g/\partial L_0`, where :math:`\partial g/\partial L_0 =
(\partial T/\partial L_0)\,\partial L/\partial q`. At a held draw the force follows from the row
of the draw; peak and valley do not care where along the draw they lie, so theirs is the change
at a held draw; the wall moves by what keeps the stop just touched.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.figures import figures
from strandwright.bow.rig import Potential

Floats = NDArray[np.float64]

#: What is followed, in the order of the rows of a response.
FOLLOWED = (
    "brace_height",
    "axle_to_axle",
    "draw_length",
    "peak",
    "holding",
    "timing",
)


@dataclass(frozen=True)
class Response:
    """Change of a bow's figures by the natural length of each reach.

    Attributes
    ----------
    brace_height, axle_to_axle : ndarray, shape (bows, reaches)
        At brace [m/m].
    draw_length : ndarray, shape (bows, reaches)
        At the wall; NaN where nothing stops the draw [m/m].
    peak, holding : ndarray, shape (bows, reaches)
        Forces [N/m].
    timing : ndarray, shape (bows, reaches)
        First wheel's turn less the second's, at brace; 0 where there are not two [rad/m].
    """

    brace_height: Floats
    axle_to_axle: Floats
    draw_length: Floats
    peak: Floats
    holding: Floats
    timing: Floats

    def table(self) -> Floats:
        """Everything followed, one row each.

        Returns
        -------
        ndarray, shape (bows, figures, reaches)
            In the order of ``FOLLOWED`` [m/m, N/m, rad/m].
        """
        return np.stack([getattr(self, name) for name in FOLLOWED], axis=1)


def moved_by_length(at: Potential, free: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """How a state of equilibrium moves when a reach's natural length grows.

    Parameters
    ----------
    at : Potential
        In equilibrium.
    free : ndarray of bool, shape (n,)
        Coordinates that may move; the draw is not one of them where it is held [-]

    Returns
    -------
    state : ndarray, shape (batch, n, reaches)
        Change of the state [unit of the state per m].
    push : ndarray, shape (batch, n, reaches)
        Change of the gradient with the whole state held [J/m].
    """
    natural_rate = at.tension_by_length
    push = natural_rate[:, None, :] * np.swapaxes(at.length_gradient, 1, 2)
    state = np.zeros_like(push)
    inner = at.hessian[:, free][:, :, free]
    state[:, free] = -np.linalg.solve(inner, push[:, free])
    return state, push


def respond(cycle: DrawCycle) -> Response:
    """Work out what each reach's natural length does to the bow.

    Parameters
    ----------
    cycle : DrawCycle
        From brace to the wall.

    Returns
    -------
    Response
        To first order.
    """
    rig = cycle.rig
    bow = rig.bow
    brace = cycle.potential(0)
    everything = np.ones(rig.freedoms, dtype=bool)
    state, _ = moved_by_length(brace, everything)
    read = figures(cycle)
    apart = _apart_gradient(brace, bow.tip(0), bow.tip(1))
    height = _brace_gradient(cycle, brace)
    wall = _wall_change(cycle)
    peak = _force_change_at(cycle, read.peak_draw)
    holding = _force_change_at(cycle, read.holding_draw)
    # A bow stopped before its valley holds what it has at the wall, and moves along with it.
    slope = np.gradient(cycle.force, axis=1, edge_order=2)[:, -1]
    slope = slope / (cycle.draw[:, 1] - cycle.draw[:, 0])
    stopped = (read.holding_draw >= cycle.draw[:, -1]) & bool(cycle.rig.bow.stops)
    holding += np.where(stopped[:, None], slope[:, None] * np.nan_to_num(wall), 0.0)
    return Response(
        np.einsum("bn,bnr->br", height, state),
        np.einsum("bn,bnr->br", apart, state),
        wall,
        peak,
        holding,
        _timing_change(cycle, state),
    )


def _apart_gradient(at: Potential, a: int, b: int) -> Floats:
    gap = at.poses.at[:, a, :2] - at.poses.at[:, b, :2]
    by = at.poses.gradient[:, a, :2] - at.poses.gradient[:, b, :2]
    unit = gap / np.linalg.norm(gap, axis=1, keepdims=True)
    return np.einsum("bx,bxn->bn", unit, by)


def _brace_gradient(cycle: DrawCycle, at: Potential) -> Floats:
    """Change of the distance from the pivot to the string's line.

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


def _force_change_at(cycle: DrawCycle, draw: Floats) -> Floats:
    """Change of the force with the draw held, between points by the parabola through three."""
    step = cycle.draw[:, 1] - cycle.draw[:, 0]
    at = (draw - cycle.draw[:, 0]) / step
    middle = np.clip(np.rint(at).astype(np.intp), 1, cycle.points - 2)
    t = (at - middle)[:, None]
    before, here, after = (_force_change(cycle, middle + k) for k in (-1, 0, 1))
    return here + 0.5 * t * (after - before) + 0.5 * t * t * (after - 2 * here + before)


def _force_change(cycle: DrawCycle, point: NDArray[np.intp]) -> Floats:
    """Change of the draw force with the draw held, at one point of each bow."""
    at = _at(cycle, point)
    rig = cycle.rig
    free = np.arange(rig.freedoms) != rig.draw
    state, push = moved_by_length(at, free)
    return push[:, rig.draw] + np.einsum("bn,bnr->br", at.hessian[:, rig.draw], state)


def _at(cycle: DrawCycle, point: NDArray[np.intp]) -> Potential:
    rows = np.arange(len(cycle.draw))
    return cycle.rig.potential(cycle.q[rows, point], cycle.direction[rows, point])


def _wall_change(cycle: DrawCycle) -> Floats:
    """Shift of the draw at which the first stop is met."""
    rig = cycle.rig
    count = len(rig.of_line)
    if not rig.bow.stops:
        return np.full((len(cycle.draw), count), np.nan)
    last = np.full(len(cycle.draw), cycle.points - 1)
    at = _at(cycle, last)
    first = np.argmax(cycle.stop_excess[:, -1], axis=1)
    by = np.stack([rig.stop_excess(s, at.poses)[1] for s in rig.bow.stops], axis=1)
    by = by[np.arange(len(by)), first]
    free = np.arange(rig.freedoms) != rig.draw
    state, _ = moved_by_length(at, free)
    inner = at.hessian[:, free][:, :, free]
    drawn = np.zeros_like(by)
    drawn[:, rig.draw] = 1.0
    drawn[:, free] = -np.linalg.solve(inner, at.hessian[:, free, rig.draw][..., None])[..., 0]
    per_draw = np.einsum("bn,bn->b", by, drawn)
    return -np.einsum("bn,bnr->br", by, state) / per_draw[:, None]


def _timing_change(cycle: DrawCycle, state: Floats) -> Floats:
    rig = cycle.rig
    if len(rig.bow.wheels) != 2:
        return np.zeros((len(state), state.shape[2]))
    sense = np.sign(cycle.q[:, -1, rig.wheels] - cycle.q[:, 0, rig.wheels])
    turned = state[:, rig.wheels] * sense[..., None]
    return turned[:, 0] - turned[:, 1]
