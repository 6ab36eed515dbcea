r"""Following a bow along its draw: a few states one after the other, with their tangents.

Each state is foretold from the two before by the cubic through them, and corrected by Newton
steps; the solver takes over for the bows where these are not enough. What is left of a state is
then the square of a small correction: near enough to find a peak, and to start the exact solve.

Corrected as if lines could push: a state foretold a hair too near leaves a line slack, which then
tells Newton's method nothing of how stiff the bow is. A bow in which a line would have to push in
the end is the solver's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.equilibrium import Stand, stand
from strandwright.bow.rig import Potential, Rig
from strandwright.numerics.outcome import Outcome

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
#: Draw between two states that are followed one after the other [m].
_STRIDE = 0.045
#: Correction under which a state is near enough, and over which its step is not taken [rad].
_NEAR, _FAR = 1e-4, 0.3
#: Corrections in all; the last is the solver's, from what was foretold.
_CORRECTIONS = 6
#: Distance from what was foretold past which the bow has snapped to another state [rad].
_STRAYED = 0.6


@dataclass(frozen=True)
class Followed:
    """States met one after the other.

    Attributes
    ----------
    draw : ndarray, shape (bows, nodes)
        Nocking point to the pivot of the grip [m].
    q : ndarray, shape (bows, nodes, n)
        States [-, rad, m, rad].
    slope : ndarray, shape (bows, nodes, n)
        Their change along the draw [unit of the state per m].
    force, stiffness : ndarray, shape (bows, nodes)
        Draw force and its slope [N, N/m].
    direction : ndarray, shape (bows, nodes, spans)
        Directions of the straight parts [rad].
    ok : ndarray of bool, shape (bows,)
        Whether the bow could be followed all the way, and would stand at each of them with the
        draw held; where not, its states mean nothing [-].
    """

    draw: Floats
    q: Floats
    slope: Floats
    force: Floats
    stiffness: Floats
    direction: Floats
    ok: Flags


def follow(
    rig: Rig, brace: Floats, directions: Floats, full: Floats, strides: int | None = None
) -> Followed:
    """Follow bows from their brace to a draw.

    Parameters
    ----------
    rig : Rig
        The bow, or a batch of bows.
    brace : ndarray, shape (bows, n)
        States at brace, in equilibrium [-, rad, m, rad]
    directions : ndarray, shape (bows, spans)
        Directions of the spans there [rad]
    full : ndarray, shape (bows,)
        Last draw, past the brace [m]
    strides : int, optional
        Strides to take, >= 3; about two inches each if left out [-]

    Returns
    -------
    Followed
        Evenly apart.
    """
    first = brace[:, rig.draw]
    count = strides or max(3, int(np.ceil(float(np.max(full - first)) / _STRIDE)))
    draws = np.linspace(first, full, count + 1, axis=1)
    q, ways = np.array(brace), directions
    ok = steady(rig.potential(q, ways))
    firm = np.ones(len(q), dtype=bool)
    states: list[Floats] = []
    slopes: list[Floats] = []
    rest: list[tuple[Floats, Floats, Floats]] = []
    for i in range(count + 1):
        if i:
            q = _foretold(draws, states, slopes, i)
        q[:, rig.draw] = draws[:, i]
        q, ways, slope, force, stiffness, ok, held = _node(rig, q, ways, ok)
        firm &= held
        states.append(q)
        slopes.append(slope)
        rest.append((force, stiffness, ways))
    force, stiffness, ways = (np.stack(v, axis=1) for v in zip(*rest, strict=True))
    q, slope = np.stack(states, axis=1), np.stack(slopes, axis=1)
    return Followed(draws, q, slope, force, stiffness, ways, ok & firm)


def steady(at: Potential) -> Flags:
    """Tell whether a bow left to itself would come back to where it stands.

    Parameters
    ----------
    at : Potential
        In equilibrium.

    Returns
    -------
    ndarray of bool, shape (batch,)
        Where every small push, the string's included, is met by a force against it [-].
    """
    sound = np.asarray(np.all(np.isfinite(at.hessian), axis=(1, 2)))
    least = np.linalg.eigvalsh(np.where(sound[:, None, None], at.hessian, 0.0))[:, 0]
    return sound & (least > 0.0)


def _node(
    rig: Rig, q: Floats, ways: Floats, ok: Flags
) -> tuple[Floats, Floats, Floats, Floats, Floats, Flags, Flags]:
    """Bring what was foretold to rest: state, directions, tangent, force and its slope.

    With them whether the bow could be followed, and whether it would stand there.
    """
    at = rig.potential(q, ways, pushing=True)
    step, tangents = _step_and_tangent(at, rig.draw)
    force, stiffness = _pull(at, step, tangents, rig.draw)
    ways, ok, moved = np.array(at.spans.direction), ok.copy(), _size(step, at)
    held, slack = _held(at, rig.draw), _slack(at, step)
    q_foretold, q = q, q + np.where((moved < _FAR)[:, None], step, 0.0)
    for correction in range(_CORRECTIONS):
        last = correction == _CORRECTIONS - 1
        # A step that was not taken is the same again: such a bow waits for the solver.
        rows = np.flatnonzero(ok & (moved > _NEAR) & (moved < _FAR))
        if last:
            rows = np.flatnonzero(ok & ((moved > _NEAR) | slack))
        if not len(rows):
            continue
        part = rig.taken(rows)
        if not last:
            near = part.potential(q[rows], ways[rows], pushing=True)
            found, ended = q[rows], np.ones(len(rows), dtype=bool)
        else:
            out = _solved_for(part, q_foretold[rows], ways[rows])
            near, found, ended = out.value.potential, out.value.q, out.ok
        step, tangents[rows] = _step_and_tangent(near, rig.draw)
        force[rows], stiffness[rows] = _pull(near, step, tangents[rows], rig.draw)
        moved[rows], slack[rows] = _size(step, near), _slack(near, step)
        q[rows] = found + np.where((moved[rows] < _FAR)[:, None], step, 0.0)
        ways[rows] = near.spans.direction
        held[rows] = _held(near, rig.draw)
        ok[rows] = ended
    ok &= np.abs(q - q_foretold).max(axis=1) < _STRAYED
    return q, ways, tangents, force, stiffness, ok, held


def _solved_for(rig: Rig, q: Floats, ways: Floats) -> Outcome[Stand]:
    """Leave states to the solver, but not further than a bow goes that has not snapped."""
    return stand(rig, q, ways, hold_draw=True, tol=1e-4, max_iter=20, reach=_STRAYED)


def _slack(at: Potential, step: Floats) -> Flags:
    """Tell where a line that may push would have to, once the step is taken."""
    longer = np.einsum("brn,bn->br", at.length_gradient, np.nan_to_num(step))
    return np.any(at.tension + at.rate * longer <= 0.0, axis=1)


def _held(at: Potential, draw: int) -> Flags:
    """Tell whether a bow followed from where it stood still stands, the draw held.

    One push that is no longer met by a force against it turns the sign of the determinant.
    """
    free = np.arange(at.gradient.shape[1]) != draw
    return np.linalg.slogdet(at.hessian[:, free][:, :, free])[0] > 0.0


def _size(step: Floats, at: Potential) -> Floats:
    """Largest part of a step; without end where a straight part was lost."""
    size = np.abs(step).max(axis=1)
    return np.where(np.isfinite(size) & np.all(at.spans.length > 0, axis=1), size, np.inf)


def _pull(at: Potential, step: Floats, tangents: Floats, draw: int) -> tuple[Floats, Floats]:
    """Draw force after the step, and its slope."""
    by_state = at.hessian[:, draw]
    return (
        at.gradient[:, draw] + np.einsum("bn,bn->b", by_state, np.nan_to_num(step)),
        np.einsum("bn,bn->b", by_state, tangents),
    )


def _foretold(draws: Floats, states: list[Floats], slopes: list[Floats], i: int) -> Floats:
    """Carry the cubic through the last two states and tangents on by a stride."""
    step = (draws[:, i] - draws[:, i - 1])[:, None]
    if i == 1:
        return states[0] + slopes[0] * step
    (a, b), (ma, mb) = states[-2:], slopes[-2:]
    return 5 * a - 4 * b + step * (2 * ma + 4 * mb)


def _step_and_tangent(at: Potential, draw: int) -> tuple[Floats, Floats]:
    """Newton's step at a held draw, not a number where there is none; and the tangent."""
    free = np.arange(at.gradient.shape[1]) != draw
    step, moved = np.zeros_like(at.gradient), np.ones_like(at.gradient)
    both = np.stack([at.gradient[:, free], at.hessian[:, free, draw]], axis=-1)
    found = -solved(at.hessian[:, free][:, :, free], both)
    step[:, free], moved[:, free] = found[..., 0], found[..., 1]
    return step, _bounded(moved, free)


def solved(matrix: Floats, right: Floats) -> Floats:
    """Solve a batch of systems, a singular one of which is its own matter.

    Parameters
    ----------
    matrix : ndarray, shape (batch, n, n)
        Of the systems [J]
    right : ndarray, shape (batch, n, k)
        Their right sides [J]

    Returns
    -------
    ndarray, shape (batch, n, k)
        Solutions; not a number in the cases that are singular, and in no other [-]
    """
    try:
        return np.asarray(np.linalg.solve(matrix, right), dtype=np.float64)
    except np.linalg.LinAlgError:
        found = np.full_like(right, np.nan)
    if len(matrix) > 1:
        half = len(matrix) // 2
        found[:half] = solved(matrix[:half], right[:half])
        found[half:] = solved(matrix[half:], right[half:])
    return found


def tangent(potential: Potential, draw: int) -> Floats:
    r"""How the state moves with the draw while it stays in equilibrium.

    .. math:: dq/dD = -H_{qq}^{-1} H_{qD}

    Parameters
    ----------
    potential : Potential
        At states of equilibrium, or near them.
    draw : int
        Index of the draw in the state [-]

    Returns
    -------
    ndarray, shape (batch, n)
        Derivative of the state by the draw, 1 for the draw itself; the rest 0 where the state
        has no tangent [unit of the state per m]
    """
    free = np.arange(potential.gradient.shape[1]) != draw
    moved = np.ones_like(potential.gradient)
    by_draw = potential.hessian[:, free, draw][..., None]
    moved[:, free] = -solved(potential.hessian[:, free][:, :, free], by_draw)[..., 0]
    return _bounded(moved, free)


def _bounded(moved: Floats, free: Flags) -> Floats:
    lost = ~(np.abs(moved).max(axis=1) <= 1e3)
    if np.any(lost):
        moved[np.ix_(lost, free)] = 0.0
    return moved


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


def between(followed: Followed, draws: Floats, draw: int) -> tuple[Floats, Floats]:
    """States between those followed, by the cubic with their tangents.

    Parameters
    ----------
    followed : Followed
        The states followed.
    draws : ndarray, shape (bows, points)
        Where to give states [m]
    draw : int
        Index of the draw in the state [-]

    Returns
    -------
    q : ndarray, shape (bows, points, n)
        States, nearly in equilibrium [-, rad, m, rad].
    directions : ndarray, shape (bows, points, spans)
        Directions, interpolated straight [rad].
    """
    nodes = followed.draw.shape[1] - 1
    step = (followed.draw[:, -1] - followed.draw[:, 0]) / nodes
    at = (draws - followed.draw[:, :1]) / step[:, None]
    k = np.clip(at.astype(int), 0, nodes - 1)
    t = (at - k)[..., None]
    take = np.arange(len(draws))[:, None]
    a, b = followed.q[take, k], followed.q[take, k + 1]
    ma, mb = (followed.slope[take, k + j] * step[:, None, None] for j in (0, 1))
    q = (
        a * (1 + 2 * t) * (1 - t) ** 2
        + ma * t * (1 - t) ** 2
        + b * t * t * (3 - 2 * t)
        - mb * t * t * (1 - t)
    )
    q[..., draw] = draws
    ways = (1 - t) * followed.direction[take, k] + t * followed.direction[take, k + 1]
    return q, ways
