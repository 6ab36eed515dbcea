r"""Pushes: what a change of a line's length, or a limb let out of its pocket, does to the balance.

In equilibrium :math:`g(q, p) = 0`; the push of a parameter is :math:`\partial g/\partial p` with
the state held, and the state answers with :math:`dq = -H^{-1}\,\partial g/\partial p`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.limb import PivotLimb
from strandwright.bow.parts import Mount
from strandwright.bow.rig import Potential, Rig

Floats = NDArray[np.float64]
#: Half a step of a limb's root [rad].
_STEP = 1e-4


@dataclass(frozen=True)
class Pushed:
    """What parameters do while the state is held.

    Attributes
    ----------
    gradient : ndarray, shape (batch, n, parameters)
        Change of the energy's gradient [J over the parameter's unit].
    drift : ndarray or None, shape (batch, bodies, 3, parameters)
        Change of the bodies' poses; None where they stay [m, m, rad over the parameter's unit].
    """

    gradient: Floats
    drift: Floats | None


#: Rig, states (batch, n) and what holds there, to what the parameters do.
Push = Callable[[Rig, Floats, Potential], Pushed]


def by_length(rig: Rig, q: Floats, at: Potential) -> Pushed:
    """Push of each reach's natural length.

    Parameters
    ----------
    rig : Rig
        The bow, or a batch of bows.
    q : ndarray, shape (batch, n)
        States [-, rad, m, rad]
    at : Potential
        What holds there.

    Returns
    -------
    Pushed
        One column a reach, per m.
    """
    del rig, q
    return Pushed(at.tension_by_length[:, None, :] * np.swapaxes(at.length_gradient, 1, 2), None)


def by_root(behind: float) -> Push:
    """Push of each limb as it turns in its pocket the way it bends: a bolt let out.

    Parameters
    ----------
    behind : float
        Where it rocks, behind its root along it; over the link's length for a limb that is a
        link on a pivot, which lies farther out than a limb's root [-]

    Returns
    -------
    callable
        One column a limb, per rad. Its gradient is a central difference, exact to half of
        rounding's digits; with nothing behind it shifts the angle at which a link's spring is
        slack.
    """

    def push(rig: Rig, q: Floats, at: Potential) -> Pushed:
        gradient = np.zeros((*q.shape, len(rig.limbs)))
        drift = np.zeros((*at.poses.at.shape, len(rig.limbs)))
        for i, mount in enumerate(rig.bow.mounts):
            ends = [
                _rocked(rig, i, behind, sign * _STEP, len(q))
                .potential(q, at.spans.direction)
                .gradient
                for sign in (1.0, -1.0)
            ]
            gradient[:, :, i] = (ends[0] - ends[1]) / (2.0 * _STEP)
            x, y = _rocker(mount, behind)
            tip, sense = rig.bow.tip(i), _sense(mount)
            away = sense * (at.poses.at[:, tip, :2] - np.stack(np.broadcast_arrays(x, y), axis=-1))
            wheels = [rig.bow.wheel(j) for j, w in enumerate(rig.bow.wheels) if w.limb == i]
            for body in (tip, *wheels):
                drift[:, body, 0, i], drift[:, body, 1, i] = -away[:, 1], away[:, 0]
            drift[:, tip, 2, i] = sense
        return Pushed(gradient, drift)

    return push


def _sense(mount: Mount) -> float:
    """Which way round a limb bends in the bow's frame."""
    return -1.0 if mount.mirrored else 1.0


def _along(mount: Mount) -> tuple[Floats, Floats]:
    """Direction of a limb at its root, unstrung, and how long it is counted [rad, m]."""
    heading, limb = np.asarray(mount.heading, np.float64), mount.limb
    if not isinstance(limb, PivotLimb):
        return heading, np.ones(())
    return heading + _sense(mount) * np.asarray(limb.rest_angle), np.asarray(limb.length)


def _rocker(mount: Mount, behind: float) -> tuple[Floats, Floats]:
    way, long = _along(mount)
    back = behind * long
    return mount.x - back * np.cos(way), mount.y - back * np.sin(way)


def _rocked(rig: Rig, limb: int, behind: float, angle: float, cases: int) -> Rig:
    """The same bow with one limb turned about where it rocks."""
    mounts = list(rig.bow.mounts)
    mount = mounts[limb]
    way, long = _along(mount)
    turn, back = _sense(mount) * angle, behind * long
    x, y = _rocker(mount, behind)
    mounts[limb] = replace(
        mount,
        x=x + back * np.cos(way + turn),
        y=y + back * np.sin(way + turn),
        heading=np.asarray(mount.heading) + turn,
    )
    other = Rig(replace(rig.bow, mounts=tuple(mounts)))
    return other.taken(np.arange(cases), rig.natural)


def moved(at: Potential, push: Floats, free: NDArray[np.bool_]) -> Floats:
    """How a state of equilibrium moves under pushes.

    Parameters
    ----------
    at : Potential
        In equilibrium.
    push : ndarray, shape (batch, n, parameters)
        Of each parameter [J over its unit]
    free : ndarray of bool, shape (n,)
        Coordinates that may move; the draw is not one of them where it is held [-]

    Returns
    -------
    ndarray, shape (batch, n, parameters)
        Change of the state [unit of the state over that of the parameter].
    """
    state = np.zeros_like(push)
    state[:, free] = -np.linalg.solve(at.hessian[:, free][:, :, free], push[:, free])
    return state
