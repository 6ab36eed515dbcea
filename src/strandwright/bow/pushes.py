r"""Pushes: what a change of a line's length, or a turn of a limb's root, does to the balance.

In equilibrium :math:`g(q, p) = 0`; the push of a parameter is :math:`\partial g/\partial p` with
the state held, and the state answers with :math:`dq = -H^{-1}\,\partial g/\partial p`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.limb import PivotLimb
from strandwright.bow.rig import Potential, Rig

Floats = NDArray[np.float64]
#: Rig, states and what holds there, to the push: (batch, n, parameters).
Push = Callable[[Rig, Floats, Potential], Floats]
#: Half a step of a root that is not a link's [rad].
_STEP = 1e-4


def by_length(rig: Rig, q: Floats, at: Potential) -> Floats:
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
    ndarray, shape (batch, n, reaches)
        Change of the gradient with the state held [J/m].
    """
    del rig, q
    return at.tension_by_length[:, None, :] * np.swapaxes(at.length_gradient, 1, 2)


def by_root(rig: Rig, q: Floats, at: Potential) -> Floats:
    r"""Push of each limb's root as it turns the way the limb bends: a bolt let out.

    Of a link on a pivot that is a shift of the angle at which its spring is slack,
    :math:`\partial g/\partial\vartheta_0 = -U''`. A bent limb turns about its root as a whole,
    and its push is the central difference of the gradient, exact to rounding's half.

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
    ndarray, shape (batch, n, limbs)
        Change of the gradient with the state held [J/rad].
    """
    push = np.zeros((*q.shape, len(rig.limbs)))
    for i, (mount, cut) in enumerate(zip(rig.bow.mounts, rig.limbs, strict=True)):
        if isinstance(mount.limb, PivotLimb):
            curve = mount.limb.energy(q[:, cut])[2]
            push[:, cut, i] = -np.broadcast_to(curve, (len(q), 1, 1))[:, :, 0]
            continue
        ends = [
            _turned(rig, i, sign * _STEP).potential(q, at.spans.direction).gradient
            for sign in (1.0, -1.0)
        ]
        push[:, :, i] = (ends[0] - ends[1]) / (2.0 * _STEP)
    return push


def _turned(rig: Rig, limb: int, angle: float) -> Rig:
    """The same bow with one limb turned about its root."""
    mounts = list(rig.bow.mounts)
    mount = mounts[limb]
    sense = -1.0 if mount.mirrored else 1.0
    mounts[limb] = replace(mount, heading=np.asarray(mount.heading) + sense * angle)
    other = Rig(replace(rig.bow, mounts=tuple(mounts)))
    return other.taken(np.arange(len(rig.natural)), rig.natural)


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
