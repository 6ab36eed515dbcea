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
from strandwright.bow.pushes import Push, by_length, by_root, moved
from strandwright.bow.rig import Potential
from strandwright.bow.wall_slopes import wall_change

Floats = NDArray[np.float64]

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
    """Change of a bow's figures by the natural length of each reach, or by each limb bolt.

    Of bolts the columns are limbs, and the units are per rad in place of per m.

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


def respond_to_bolts(cycle: DrawCycle, behind: float) -> Response:
    """Work out what each limb does to the bow as its bolt lets it turn in its pocket.

    Parameters
    ----------
    cycle : DrawCycle
        From brace to the wall.
    behind : float
        Where a limb rocks, behind its root: see :func:`strandwright.bow.pushes.by_root` [-]

    Returns
    -------
    Response
        To first order, one column a limb, per rad of the way it bends.
    """
    return _respond(cycle, by_root(behind))


def _respond(cycle: DrawCycle, push: Push) -> Response:
    stops = cycle.rig.bow.stops
    cycle = replace(cycle, rig=cycle.rig.unstopped())
    rig = cycle.rig
    bow = rig.bow
    brace = cycle.potential(0)
    everything = np.ones(rig.freedoms, dtype=bool)
    pushed = push(rig, cycle.q[:, 0], brace)
    state = moved(brace, pushed.gradient, everything)
    read = figures(cycle)
    apart, height = axles_apart(brace, bow.tip(0), bow.tip(1)), brace_height(cycle, brace)
    at, q = _at(cycle, np.full(len(cycle.draw), cycle.points - 1))
    wall, at_wall = wall_change(rig, at, stops, push(rig, q, at))
    peak = _force_change_at(cycle, read.peak_draw, push)
    holding = _force_change_at(cycle, read.holding_draw, push)
    if stops:
        ends = cycle.draw[:, -1]
        peak = np.where((read.peak_draw >= ends)[:, None], at_wall, peak)
        holding = np.where((read.holding_draw >= ends)[:, None], at_wall, holding)
    high, long = (np.einsum("bn,bnr->br", by, state) for by in (height, apart))
    if pushed.drift is not None:
        held = _drifting(brace, pushed.drift)
        high = high + brace_height(cycle, held)
        long = long + axles_apart(held, bow.tip(0), bow.tip(1))
    return Response(
        high,
        long,
        wall,
        peak,
        holding,
        _timing_change(cycle, state),
        np.einsum("bn,bnr->br", brace.poses.gradient[:, bow.nock, 1], state),
    )


def _drifting(at: Potential, drift: Floats) -> Potential:
    """The same state with its bodies moved by the parameters alone, in place of the state."""
    return replace(at, poses=replace(at.poses, gradient=drift))


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
    pushed = push(rig, q, at).gradient
    state = moved(at, pushed, np.arange(rig.freedoms) != rig.draw)
    return pushed[:, rig.draw] + np.einsum("bn,bnr->br", at.hessian[:, rig.draw], state)


def _at(cycle: DrawCycle, point: NDArray[np.intp]) -> tuple[Potential, Floats]:
    rows = np.arange(len(cycle.draw))
    q = cycle.q[rows, point]
    return cycle.rig.potential(q, cycle.direction[rows, point]), q


def _timing_change(cycle: DrawCycle, state: Floats) -> Floats:
    rig = cycle.rig
    if len(rig.bow.wheels) != 2:
        return np.zeros((len(state), state.shape[2]))
    sense = np.sign(cycle.q[:, -1, rig.wheels] - cycle.q[:, 0, rig.wheels])
    turned = state[:, rig.wheels] * sense[..., None]
    return turned[:, 0] - turned[:, 1]
