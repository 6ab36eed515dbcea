r"""Sensitivity: what a small change of a line's length, or of a limb's root, does to the bow.

By implicit differentiation: in equilibrium :math:`g(q, p) = 0`, so a change of a natural length
or of a root's angle moves the state by :math:`dq = -H^{-1}\,\partial g/\partial p`, with the
push :math:`\partial g/\partial p` of each in :mod:`strandwright.bow.pushes`. At a held draw the
force follows from the row of the draw; peak and valley do not care where along the draw they
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

from strandwright.bow.brace_slopes import axles_apart, brace_height
from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.figures import figures
from strandwright.bow.following import tangent
from strandwright.bow.parts import Stop
from strandwright.bow.pushes import Push, by_length, by_root, moved
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
    "centring",
)


@dataclass(frozen=True)
class Response:
    """Change of a bow's figures by the natural length of each reach, or by each limb's root.

    Of roots the columns are limbs, and the units are per rad in place of per m.

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
    centring : ndarray, shape (bows, reaches)
        Nocking point along +y, at brace: on a crossbow the string's centre to the right [m/m].
    """

    brace_height: Floats
    axle_to_axle: Floats
    draw_length: Floats
    peak: Floats
    holding: Floats
    timing: Floats
    centring: Floats

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
    return _respond(cycle, by_length)


def respond_to_roots(cycle: DrawCycle) -> Response:
    """Work out what each limb's root does to the bow as it turns the way the limb bends.

    Parameters
    ----------
    cycle : DrawCycle
        From brace to the wall.

    Returns
    -------
    Response
        To first order, one column a limb; a limb bolt let out turns its limb so.
    """
    return _respond(cycle, by_root)


def _respond(cycle: DrawCycle, push: Push) -> Response:
    stops = cycle.rig.bow.stops
    cycle = replace(cycle, rig=cycle.rig.unstopped())
    rig = cycle.rig
    bow = rig.bow
    brace = cycle.potential(0)
    everything = np.ones(rig.freedoms, dtype=bool)
    state = moved(brace, push(rig, cycle.q[:, 0], brace), everything)
    read = figures(cycle)
    apart, height = axles_apart(brace, bow.tip(0), bow.tip(1)), brace_height(cycle, brace)
    wall, at_wall = _wall_change(cycle, stops, push)
    peak = _force_change_at(cycle, read.peak_draw, push)
    holding = _force_change_at(cycle, read.holding_draw, push)
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
        np.einsum("bn,bnr->br", brace.poses.gradient[:, bow.nock, 1], state),
    )


def _force_change_at(cycle: DrawCycle, draw: Floats, push: Push) -> Floats:
    """Change of the force with the draw held, between points by the parabola through three."""
    step = cycle.draw[:, 1] - cycle.draw[:, 0]
    at = (draw - cycle.draw[:, 0]) / step
    middle = np.clip(np.rint(at).astype(np.intp), 1, cycle.points - 2)
    t = (at - middle)[:, None]
    before, here, after = (_force_change(cycle, middle + k, push) for k in (-1, 0, 1))
    return here + 0.5 * t * (after - before) + 0.5 * t * t * (after - 2 * here + before)


def _force_change(cycle: DrawCycle, point: NDArray[np.intp], push: Push) -> Floats:
    """Change of the draw force with the draw held, at one point of each bow."""
    at, q = _at(cycle, point)
    rig = cycle.rig
    pushed = push(rig, q, at)
    state = moved(at, pushed, np.arange(rig.freedoms) != rig.draw)
    return pushed[:, rig.draw] + np.einsum("bn,bnr->br", at.hessian[:, rig.draw], state)


def _at(cycle: DrawCycle, point: NDArray[np.intp]) -> tuple[Potential, Floats]:
    rows = np.arange(len(cycle.draw))
    q = cycle.q[rows, point]
    return cycle.rig.potential(q, cycle.direction[rows, point]), q


def _wall_change(cycle: DrawCycle, stops: tuple[Stop, ...], push: Push) -> tuple[Floats, Floats]:
    """Shift of the draw at which the last stop is met, and change of the force there."""
    rig = cycle.rig
    at, q = _at(cycle, np.full(len(cycle.draw), cycle.points - 1))
    pushed = push(rig, q, at)
    if not stops:
        none = np.full((len(q), pushed.shape[2]), np.nan)
        return none, none
    pressed = [rig.stop_excess(stop, at.poses) for stop in stops]
    excess = np.stack([e for e, _ in pressed], axis=-1)
    touched = excess < excess.min(axis=1, keepdims=True) + _TOGETHER
    gradients = [g for _, g in pressed]
    held = [_touch_change(at, pushed, k, stops, gradients) for k in range(len(stops))]
    # Left to themselves, the stop that moves out most is last for a longer line, and the one that
    # moves in most for a shorter.
    state = moved(at, pushed, np.arange(rig.freedoms) != rig.draw)
    by, drawn = np.stack(gradients, axis=1), tangent(at, rig.draw)
    alone = np.where(touched[..., None], -(by @ state) / (by @ drawn[..., None]), np.nan)
    longer, shorter = np.nanargmax(alone, axis=1), np.nanargmin(alone, axis=1)

    def mean(changes: Floats) -> Floats:
        ends = [np.take_along_axis(changes, k[:, None], axis=1)[:, 0] for k in (longer, shorter)]
        return 0.5 * (ends[0] + ends[1])

    shift, force = (np.stack([h[i] for h in held], axis=1) for i in (0, 1))
    return mean(shift), mean(force)


def _touch_change(
    at: Potential, push: Floats, late: int, stops: tuple[Stop, ...], by: list[Floats]
) -> tuple[Floats, Floats]:
    """Shift of the draw at which one stop is touched, the others holding, and of the force."""
    # A state ends with the draw and its bearing.
    hessian, draw = at.hessian, push.shape[1] - 2
    for k, (stop, gradient) in enumerate(zip(stops, by, strict=True)):
        if k != late:
            hard = np.asarray(stop.stiffness)[..., None, None]
            hessian = hessian + hard * gradient[:, :, None] * gradient[:, None, :]
    held = replace(at, hessian=hessian)
    state = moved(held, push, np.arange(hessian.shape[1]) != draw)
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
