"""The Y at rest: where its throat lies, and what each of its three members pulls.

Members only pull, so the stored energy is a convex function of the places of throat and pin,
and Newton's steps, halved where they go past the lowest point on their way, find its one minimum.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.yoke.state import Tripod, YokeState, leg_pins
from strandwright.numerics.outcome import Outcome, Reason

Bools = NDArray[np.bool_]

_STEPS = 60
_HALVINGS = 12
#: A step may go past its lowest point to this share of the slope it began with [-]
_PAST = 0.1
#: Longest step over the length of a leg [-]
_REACH = 0.1
#: Forces are balanced to this share of the largest pull [-]
_BALANCED = 1e-9


def settle(
    tripod: Tripod,
    load: FloatArray,
    lean: FloatArray | float = 0.0,
    start: YokeState | None = None,
) -> Outcome[YokeState]:
    """Find the Y at rest under a load on the body's pin, which is guided along z.

    Parameters
    ----------
    tripod : Tripod
        The members and the pins.
    load : ndarray
        Load along z, > 0, shape (B,) [N]
    lean : ndarray or float
        Angle of the axle, shape () or (B,) [rad]
    start : YokeState or None
        A state near the one sought; it does not change what is found.

    Returns
    -------
    Outcome of YokeState
        The state; ``ok`` false where a member would be past its law, or forces do not balance.
        The residual is the force left [N].
    """
    given = np.asarray(load, dtype=float)
    leans = np.broadcast_to(np.asarray(lean, dtype=float), given.shape)
    at = _begin(tripod, given) if start is None else _places(start)
    pulls = np.stack([0.5 * given, 0.5 * given, given], axis=1) if start is None else start.pulls
    return _minimise(tripod, at, pulls, leans, given, 3)


def settle_held(
    tripod: Tripod, overall: FloatArray, lean: FloatArray | float = 0.0
) -> Outcome[YokeState]:
    """Find the Y at rest where axle and body's pin are both held in place.

    Parameters
    ----------
    tripod : Tripod
        The members and the pins.
    overall : ndarray
        Outside of the axle to outside of the body's pin along z, shape (B,) [m]
    lean : ndarray or float
        Angle of the axle, shape () or (B,) [rad]

    Returns
    -------
    Outcome of YokeState
        The state; the residual is the force left [N]. Not ``ok`` where the cable hangs slack.
    """
    frame = tripod.frame
    far = np.asarray(overall, dtype=float) - 0.5 * (frame.leg_pin + frame.body_pin)
    leans = np.broadcast_to(np.asarray(lean, dtype=float), far.shape)
    at = _begin(tripod, np.full_like(far, 1.0))
    at[:, 1] *= far / at[:, 2]
    at[:, 2] = far
    return _minimise(tripod, at, np.ones((len(far), 3)), leans, np.zeros_like(far), 2)


def _begin(tripod: Tripod, load: FloatArray) -> FloatArray:
    """Places of throat and pin if both legs were the mean of the two, shape (B, 3)."""
    frame = tripod.frame
    reach = 0.5 * sum(leg.length(0.5 * load) for leg in tripod.legs)
    along = np.sqrt(np.maximum(reach * reach - 0.25 * frame.span**2, 1e-4 * reach * reach))
    body = tripod.body.length(load)
    straight = np.sqrt(np.maximum(body * body - frame.aside**2, 1e-4 * body * body))
    return np.stack([np.zeros_like(load), along, along + straight], axis=1)


def _places(state: YokeState) -> FloatArray:
    return np.column_stack([state.throat, state.far])


@dataclass(frozen=True)
class _Forces:
    """What the members do at some places: pulls, out-of-balance forces and their slopes."""

    distances: FloatArray
    toward: FloatArray
    pulls: FloatArray
    stiffness: FloatArray
    net: FloatArray
    ok: Bools

    @property
    def size(self) -> FloatArray:
        return np.sqrt((self.net * self.net).sum(axis=1))

    def carried(self, distances: FloatArray) -> FloatArray:
        """Pulls at other distances, by their slopes; they are bounded by whoever takes them."""
        return self.pulls + self.stiffness * (distances - self.distances)


def _forces(
    tripod: Tripod,
    at: FloatArray,
    near: FloatArray | _Forces,
    lean: FloatArray,
    load: FloatArray,
    free: int,
) -> _Forces:
    """Pull of every member at the places, and the force left on throat and pin.

    Pulls are begun at those given, or where those of other places would go by their slopes.
    """
    far = np.stack([np.full(len(at), tripod.frame.aside), at[:, 2]], axis=1)
    pins = np.concatenate([leg_pins(tripod.frame, lean), far[:, None]], axis=1)
    away = pins - at[:, None, :2]
    distances = np.sqrt((away * away).sum(axis=2))
    toward = away / np.maximum(distances, 1e-12)[..., None]
    guess = near if isinstance(near, np.ndarray) else near.carried(distances)
    solved = [m.pull(distances[:, i], guess[:, i]) for i, m in enumerate(tripod.members)]
    pulls = np.stack([outcome.value for outcome, _ in solved], axis=1)
    ok: Bools = np.logical_and.reduce([outcome.ok for outcome, _ in solved])
    throat = (pulls[..., None] * toward).sum(axis=1)
    pin = load - pulls[:, 2] * toward[:, 2, 1]
    net = np.column_stack([throat, pin])[:, :free]
    stiffness = np.stack([slope for _, slope in solved], axis=1)
    return _Forces(distances, toward, pulls, stiffness, net, ok)


def _curvature(forces: _Forces, free: int) -> FloatArray:
    """Second derivatives of the energy by throat and pin, shape (B, free, free)."""
    outer = forces.toward[..., :, None] * forces.toward[..., None, :]
    across = (forces.pulls / np.maximum(forces.distances, 1e-12))[..., None, None]
    blocks = forces.stiffness[..., None, None] * outer + across * (np.eye(2) - outer)
    whole = np.empty((len(blocks), 3, 3))
    whole[:, :2, :2] = blocks.sum(axis=1)
    whole[:, 2, :2] = whole[:, :2, 2] = -blocks[:, 2, :, 1]
    whole[:, 2, 2] = blocks[:, 2, 1, 1]
    part = whole[:, :free, :free]
    # A slack throat has no stiffness of its own; a trace of some keeps the step finite.
    trace = np.trace(part, axis1=1, axis2=2) + 1.0
    return part + (1e-13 * trace)[:, None, None] * np.eye(free)


def _minimise(
    tripod: Tripod, at: FloatArray, guess: FloatArray, lean: FloatArray, load: FloatArray, free: int
) -> Outcome[YokeState]:
    """Newton's steps to where no force is left."""
    forces = _forces(tripod, at, guess, lean, load, free)
    steps = 0
    while steps < _STEPS and not bool(_balanced(forces).all()):
        steps += 1
        newton = np.linalg.solve(_curvature(forces, free), forces.net[..., None])
        step = np.asarray(newton[..., 0], dtype=np.float64)
        step *= _shortened(forces, step)[:, None]
        share = np.where(_balanced(forces), 0.0, 1.0)
        falling = (forces.net * step).sum(axis=1)
        moved, tried = at, forces
        for _ in range(_HALVINGS):
            moved = at.copy()
            moved[:, :free] += share[:, None] * step
            tried = _forces(tripod, moved, forces, lean, load, free)
            beyond = (tried.net * step).sum(axis=1) < -_PAST * falling
            if not bool((beyond & (share > 0.0)).any()):
                break
            share = np.where(beyond, 0.5 * share, share)
        at, forces = moved, tried
    state = YokeState(
        at[:, :2], at[:, 2], forces.distances, forces.pulls, forces.toward, lean, tripod.frame
    )
    ok = _balanced(forces) & forces.ok & (forces.pulls[:, 2] > 0.0)
    return Outcome(state, ok, _reason(ok, forces), forces.size, steps)


def _shortened(forces: _Forces, step: FloatArray) -> FloatArray:
    """Share of a step that keeps it short beside the legs: a slack throat would fly off."""
    longest = _REACH * forces.distances[:, :2].max(axis=1)
    return np.minimum(1.0, longest / np.maximum(np.abs(step).max(axis=1), 1e-300))


def _balanced(forces: _Forces) -> Bools:
    return forces.size <= _BALANCED * forces.pulls.max(axis=1) + 1e-8


def _reason(ok: Bools, forces: _Forces) -> Reason:
    """Reason of the worst case."""
    if bool(ok.all()):
        return Reason.CONVERGED
    if not bool(np.isfinite(forces.size).all()):
        return Reason.NOT_FINITE
    return Reason.NO_BRACKET if not bool(forces.ok.all()) else Reason.NOT_CONVERGED
