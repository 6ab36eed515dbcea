r"""Sensitivity: what a small change of a line's length does to the bow.

By implicit differentiation: in equilibrium :math:`g(q, L_0) = 0`, so a change of a natural
length moves the state by :math:`dq = -H^{-1}\,\partial g/\partial L_0`, where
:math:`\partial g/\partial L_0 = (\partial T/\partial L_0)\,\partial L/\partial q`. At a held draw
the force follows from the row of the draw; peak and valley do not care where along the draw they
lie, so theirs is the change at a held draw; the wall moves by what keeps the stop just touched,
and a force that is greatest or least at the wall moves along with it.

Up to the wall no stop pushes, so all is worked out on the bow without its stops: at the wall
itself rounding would decide whether they count. Where two stops are touched together, one comes
last for a longer line and the other for a shorter, the first holding meanwhile; the wall's change
is the mean of the two.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.figures import figures
from strandwright.bow.following import moved_by_length, tangent
from strandwright.bow.parts import Stop
from strandwright.bow.rig import Potential

Floats = NDArray[np.float64]

#: Turn within which stops are touched together [rad].
_TOGETHER = 1e-6
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

    @property
    def names(self) -> tuple[str, ...]:
        """Names of what is followed, in the order of the table's rows."""
        return FOLLOWED

    def table(self) -> Floats:
        """Everything followed, one row each.

        Returns
        -------
        ndarray, shape (bows, figures, reaches)
            In the order of ``FOLLOWED`` [m/m, N/m, rad/m].
        """
        return np.stack([getattr(self, name) for name in FOLLOWED], axis=1)


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
    stops = cycle.rig.bow.stops
    cycle = replace(cycle, rig=cycle.rig.unstopped())
    rig = cycle.rig
    bow = rig.bow
    brace = cycle.potential(0)
    everything = np.ones(rig.freedoms, dtype=bool)
    state, _ = moved_by_length(brace, everything)
    read = figures(cycle)
    apart = _apart_gradient(brace, bow.tip(0), bow.tip(1))
    height = _brace_gradient(cycle, brace)
    wall, at_wall = _wall_change(cycle, stops)
    peak = _force_change_at(cycle, read.peak_draw)
    holding = _force_change_at(cycle, read.holding_draw)
    if stops:
        ends = cycle.draw[:, -1]
        peak = np.where((read.peak_draw >= ends)[:, None], at_wall, peak)
        holding = np.where((read.holding_draw >= ends)[:, None], at_wall, holding)
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


def _wall_change(cycle: DrawCycle, stops: tuple[Stop, ...]) -> tuple[Floats, Floats]:
    """Shift of the draw at which the last stop is met, and change of the force there."""
    rig = cycle.rig
    if not stops:
        none = np.full((len(cycle.draw), len(rig.of_line)), np.nan)
        return none, none
    at = _at(cycle, np.full(len(cycle.draw), cycle.points - 1))
    pressed = [rig.stop_excess(stop, at.poses) for stop in stops]
    excess = np.stack([e for e, _ in pressed], axis=-1)
    touched = excess < excess.min(axis=1, keepdims=True) + _TOGETHER
    gradients = [g for _, g in pressed]
    held = [_touch_change(at, rig.draw, k, stops, gradients) for k in range(len(stops))]
    # Left to themselves, the stop that moves out most is last for a longer line, and the one that
    # moves in most for a shorter.
    state, _ = moved_by_length(at, np.arange(rig.freedoms) != rig.draw)
    by, drawn = np.stack(gradients, axis=1), tangent(at, rig.draw)
    alone = np.where(touched[..., None], -(by @ state) / (by @ drawn[..., None]), np.nan)
    longer, shorter = np.nanargmax(alone, axis=1), np.nanargmin(alone, axis=1)

    def mean(changes: Floats) -> Floats:
        ends = [np.take_along_axis(changes, k[:, None], axis=1)[:, 0] for k in (longer, shorter)]
        return 0.5 * (ends[0] + ends[1])

    shift, force = (np.stack([h[i] for h in held], axis=1) for i in (0, 1))
    return mean(shift), mean(force)


def _touch_change(
    at: Potential, draw: int, late: int, stops: tuple[Stop, ...], by: list[Floats]
) -> tuple[Floats, Floats]:
    """Shift of the draw at which one stop is touched, the others holding, and of the force."""
    hessian = at.hessian
    for k, (stop, gradient) in enumerate(zip(stops, by, strict=True)):
        if k != late:
            hard = np.asarray(stop.stiffness)[..., None, None]
            hessian = hessian + hard * gradient[:, :, None] * gradient[:, None, :]
    held = replace(at, hessian=hessian)
    state, push = moved_by_length(held, np.arange(hessian.shape[1]) != draw)
    drawn = tangent(held, draw)
    shift = -(by[late][:, None, :] @ state)[:, 0]
    shift = shift / np.einsum("bn,bn->b", by[late], drawn)[:, None]
    at_draw = push[:, draw] + np.einsum("bn,bnr->br", hessian[:, draw], state)
    slope = np.einsum("bn,bn->b", hessian[:, draw], drawn)
    return shift, at_draw + slope[:, None] * shift


def _timing_change(cycle: DrawCycle, state: Floats) -> Floats:
    rig = cycle.rig
    if len(rig.bow.wheels) != 2:
        return np.zeros((len(state), state.shape[2]))
    sense = np.sign(cycle.q[:, -1, rig.wheels] - cycle.q[:, 0, rig.wheels])
    turned = state[:, rig.wheels] * sense[..., None]
    return turned[:, 0] - turned[:, 1]
