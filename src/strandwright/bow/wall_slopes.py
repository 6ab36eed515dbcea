"""Wall slopes: how the draw at which the last stop is met changes, and the force held there.

Where two stops are touched together, one comes last for a longer draw and the other for a
shorter, the first holding meanwhile; the change is the mean of the two.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.following import tangent
from strandwright.bow.parts import Stop
from strandwright.bow.pushes import Pushed, moved
from strandwright.bow.rig import Potential, Rig

Floats = NDArray[np.float64]
#: Turn within which stops are touched together [rad].
_TOGETHER = 1e-6


def wall_change(
    rig: Rig, at: Potential, stops: tuple[Stop, ...], pushed: Pushed
) -> tuple[Floats, Floats]:
    """Give the shift of the draw at which the last stop is met, and the force's change there.

    Parameters
    ----------
    rig : Rig
        The bows, their stops left out.
    at : Potential
        At the wall.
    stops : tuple of Stop
        What ends the draw; none where nothing does.
    pushed : Pushed
        What the parameters do there.

    Returns
    -------
    shift : ndarray, shape (bows, parameters)
        NaN where nothing stops the draw [m over the parameter's unit]
    force : ndarray, shape (bows, parameters)
        Likewise [N over the parameter's unit]
    """
    if not stops:
        none = np.full((len(at.energy), pushed.gradient.shape[2]), np.nan)
        return none, none
    pressed = [rig.stop_excess(stop, at.poses) for stop in stops]
    excess = np.stack([e for e, _ in pressed], axis=-1)
    touched = excess < excess.min(axis=1, keepdims=True) + _TOGETHER
    gradients = [g for _, g in pressed]
    alone = np.stack([_pressed(rig, stop, pushed) for stop in stops], axis=1)
    held = [_touch_change(at, pushed, k, stops, gradients, alone) for k in range(len(stops))]
    # Left to themselves, the stop that moves out most is last for a longer line, and the one that
    # moves in most for a shorter.
    state = moved(at, pushed.gradient, np.arange(rig.freedoms) != rig.draw)
    by, drawn = np.stack(gradients, axis=1), tangent(at, rig.draw)
    each = -(by @ state + alone) / (by @ drawn[..., None])
    each = np.where(touched[..., None], each, np.nan)
    longer, shorter = np.nanargmax(each, axis=1), np.nanargmin(each, axis=1)

    def mean(changes: Floats) -> Floats:
        ends = [np.take_along_axis(changes, k[:, None], axis=1)[:, 0] for k in (longer, shorter)]
        return 0.5 * (ends[0] + ends[1])

    shift, force = (np.stack([h[i] for h in held], axis=1) for i in (0, 1))
    return mean(shift), mean(force)


def _pressed(rig: Rig, stop: Stop, pushed: Pushed) -> Floats:
    """How far the parameters press a stop while the state is held, (bows, parameters)."""
    if pushed.drift is None:
        return np.zeros(pushed.gradient[:, 0].shape)
    turn = np.zeros(pushed.gradient[:, 0].shape)
    for index, sense in stop.wheels:
        wheel, tip = rig.bow.wheel(index), rig.bow.tip(rig.bow.wheels[index].limb)
        turn += sense * (pushed.drift[:, wheel, 2] - pushed.drift[:, tip, 2])
    return turn / len(stop.wheels)


def _touch_change(
    at: Potential,
    pushed: Pushed,
    late: int,
    stops: tuple[Stop, ...],
    by: list[Floats],
    alone: Floats,
) -> tuple[Floats, Floats]:
    """Shift of the draw at which one stop is touched, the others holding, and of the force.

    ``alone`` is how far the parameters press each stop while the state is held.
    """
    # A state ends with the draw and its bearing.
    hessian, push, draw = at.hessian, pushed.gradient, at.hessian.shape[1] - 2
    for k, (stop, gradient) in enumerate(zip(stops, by, strict=True)):
        if k != late:
            hard = np.asarray(stop.stiffness)[..., None, None]
            hessian = hessian + hard * gradient[:, :, None] * gradient[:, None, :]
            push = push + hard * gradient[:, :, None] * alone[:, None, k]
    held = replace(at, hessian=hessian)
    state = moved(held, push, np.arange(hessian.shape[1]) != draw)
    drawn = tangent(held, draw)
    shift = -(by[late][:, None, :] @ state)[:, 0] - alone[:, late]
    shift = shift / np.einsum("bn,bn->b", by[late], drawn)[:, None]
    at_draw = push[:, draw] + np.einsum("bn,bnr->br", hessian[:, draw], state)
    slope = np.einsum("bn,bn->b", hessian[:, draw], drawn)
    return shift, at_draw + slope[:, None] * shift
