"""Equilibrium: where a bow stands, by Newton's method on its energy, for a whole batch at once.

A case that does not converge is data: the state it reached, its residual, and a reason a
technician understands (a line slack, a tangent lost because bodies overlap, a limb run through).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.rig import Potential, Rig, rows_of
from strandwright.numerics.outcome import Outcome, Reason

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
#: Largest change of an angle in one step [rad]; a wheel turns about three in a draw.
_LONGEST_STEP = 0.35
#: Most halvings of a step, and how many of them are looked at together.
_HALVINGS, _TOGETHER = 12, 4


class Trouble(Enum):
    """Why a bow has no state there, in the technician's words."""

    NONE = "It stands."
    SLACK = (
        "A line hangs slack: it is too long for this bow, or it has come off its wheel; "
        "shorten it or check its routing."
    )
    OVERLAP = (
        "Two things a line runs between lie inside each other, so no straight part is left; "
        "check the routing, or the line is too short for this bow."
    )
    UNSTEADY = (
        "It is balanced there as a stick on its end, and the least push tips it over; "
        "check the routing, the levers of the wheels, and the shape of the unstrung limbs."
    )
    NOT_CONVERGED = (
        "No state of rest was found near here; start from a measured brace height and "
        "axle-to-axle, or check the lengths of the lines."
    )


@dataclass(frozen=True)
class Stand:
    """A bow standing still, for a batch of cases.

    Attributes
    ----------
    q : ndarray, shape (batch, n)
        Its state [-, rad, m, rad].
    potential : Potential
        Energy and derivatives there.
    trouble : tuple of Trouble
        Case by case.
    """

    q: Floats
    potential: Potential
    trouble: tuple[Trouble, ...]


def stand(
    rig: Rig,
    start: Floats,
    directions: Floats,
    *,
    hold_draw: bool,
    tol: float = 1e-8,
    max_iter: int = 60,
    reach: float = np.inf,
) -> Outcome[Stand]:
    """Find where the bow stands, at its brace or held at a draw.

    Parameters
    ----------
    rig : Rig
        The bow, or a batch of them.
    start : ndarray, shape (batch, n)
        States to start from; their draw is kept where it is held [-, rad, m, rad]
    directions : ndarray, shape (batch, spans)
        Directions of the spans to start from [rad]
    hold_draw : bool
        Whether the nocking point is held at its distance from the grip; if not, it is free,
        and the bow comes to its brace.
    tol : float
        Size of the last step in any coordinate, > 0; what is left after it goes with its
        square [rad or m]
    max_iter : int
        Most Newton steps, >= 1 [-]
    reach : float
        How far from its start a case may come in any coordinate before it is given up [rad or m]

    Returns
    -------
    Outcome of Stand
        Residual is the largest moment or force left, the draw's apart where it is held [J].
    """
    free = np.ones(rig.freedoms, dtype=bool)
    free[rig.draw] = not hold_draw
    q, ways = np.array(start, dtype=np.float64), np.array(directions, dtype=np.float64)
    ways = np.array(np.broadcast_to(ways, (len(q), ways.shape[1])))
    done = np.zeros(len(q), dtype=bool)
    active, part = np.arange(len(q)), rig
    now = rig.potential(q, ways)
    iterations = 0
    while iterations < max_iter and len(active):
        iterations += 1
        q[active], now, longest = _advance(part, q[active], now, free)
        ways[active] = now.spans.direction
        still = longest >= tol
        done[active[~still]] = True
        still &= np.max(np.abs(q[active] - start[active]), axis=1) <= reach
        if not np.all(still):
            active = active[still]
            if len(active) or len(q) > len(still):
                part, now = rig.taken(active), rows_of(now, still)
    if len(now.energy) != len(q):
        now = rig.potential(q, ways)
    residual = np.max(np.abs(now.gradient[:, free]), axis=1)
    trouble = _troubles(now, done, residual, _steady(now.hessian[:, free][:, :, free]))
    ok = np.array([t is Trouble.NONE for t in trouble])
    reason = Reason.CONVERGED if bool(np.all(ok)) else Reason.NOT_CONVERGED
    return Outcome(Stand(q, now, trouble), ok, reason, residual, iterations)


def _downhill(gradient: Floats, hessian: Floats) -> Floats:
    """Newton's step, made a descent where the energy is not convex."""
    finite = np.all(np.isfinite(gradient), axis=1) & np.all(np.isfinite(hessian), axis=(1, 2))
    step: Floats = np.zeros_like(gradient)
    safe = np.where(finite[:, None, None], hessian, np.eye(gradient.shape[1]))
    try:
        step = -np.asarray(np.linalg.solve(safe, gradient[..., None])[..., 0], np.float64)
        rising = np.einsum("bi,bi->b", step, gradient) > 0
        rising |= ~np.isfinite(step).all(axis=1)
    except np.linalg.LinAlgError:
        rising = np.ones(len(gradient), dtype=bool)
    rising = np.asarray(rising | ~finite)
    if np.any(rising):
        values, vectors = np.linalg.eigh(safe[rising])
        floor = 1e-6 * np.maximum(np.max(np.abs(values), axis=1, keepdims=True), 1.0)
        turned = np.einsum("bij,bi->bj", vectors, np.nan_to_num(gradient[rising]))
        scaled = turned / np.maximum(np.abs(values), floor)
        step[rising] = -np.einsum("bij,bj->bi", vectors, scaled)
    return step


def _advance(rig: Rig, q: Floats, now: Potential, free: Flags) -> tuple[Floats, Potential, Floats]:
    """One step, halved in the cases where the energy would rise; with its size before halving."""
    step = np.zeros_like(q)
    step[:, free] = _downhill(now.gradient[:, free], now.hessian[:, free][:, :, free])
    longest = np.max(np.abs(step), axis=1)
    step *= np.minimum(1.0, _LONGEST_STEP / np.maximum(longest, 1e-300))[:, None]
    trial, ways = q + step, now.spans.direction
    after = rig.potential(trial, ways)
    # At the end a step moves the energy by less than rounding: it is taken as it is.
    worse = np.flatnonzero(_rises(now, after) & (longest >= 1e-6))
    if not len(worse):
        return trial, after, longest
    if len(worse) == len(q):
        trial, after = _shortened(rig, q, step, now)
        return trial, after, longest
    trial[worse], _ = _shortened(rig.taken(worse), q[worse], step[worse], rows_of(now, worse))
    return trial, rig.potential(trial, ways), longest


def _shortened(rig: Rig, q: Floats, step: Floats, now: Potential) -> tuple[Floats, Potential]:
    """Steps halved until the energy no longer rises, several halvings looked at together."""
    cases, each = np.arange(len(q)), np.repeat(np.arange(len(q)), _TOGETHER)
    part, before, ways = rig.taken(each), rows_of(now, each), now.spans.direction[each]
    share = np.full(len(q), 0.5**_HALVINGS)
    found, at = np.zeros(len(q), dtype=bool), before
    for first in range(1, _HALVINGS + 1, _TOGETHER):
        tried = 0.5 ** np.tile(np.arange(first, first + _TOGETHER), len(q))
        at = part.potential(q[each] + tried[:, None] * step[each], ways)
        falls = ~_rises(before, at).reshape(-1, _TOGETHER)
        now_found = np.any(falls, axis=1) & ~found
        longest = cases * _TOGETHER + np.argmax(falls, axis=1)
        share = np.where(now_found, tried[longest], share)
        found |= now_found
        if np.all(found):
            if np.all(now_found):
                return q + share[:, None] * step, rows_of(at, longest)
            break
    trial = q + share[:, None] * step
    return trial, rig.potential(trial, now.spans.direction)


def _rises(now: Potential, after: Potential) -> Flags:
    """Whether the energy rose, or a straight part was lost."""
    lost = np.any(after.spans.length <= 0, axis=1) & np.all(now.spans.length > 0, axis=1)
    return lost | ~(after.energy <= now.energy + 1e-9 * np.abs(now.energy))


def _steady(hessian: Floats) -> Flags:
    """Whether every small push, the draw's apart where it is held, is met by a force against it."""
    try:
        np.linalg.cholesky(hessian)
    except np.linalg.LinAlgError:
        sound = np.asarray(np.all(np.isfinite(hessian), axis=(1, 2)))
        least = np.linalg.eigvalsh(np.where(sound[:, None, None], hessian, 0.0))[:, 0]
        return sound & (least > 0.0)
    return np.ones(len(hessian), dtype=bool)


def _troubles(now: Potential, done: Flags, residual: Floats, steady: Flags) -> tuple[Trouble, ...]:
    overlap = np.asarray(np.any(now.spans.length <= 0, axis=1))
    slack = np.asarray(np.any(now.tension <= 0, axis=1))
    rest = done & np.isfinite(residual)
    if np.all(rest & steady & ~overlap & ~slack):
        return (Trouble.NONE,) * len(done)
    found: list[Trouble] = []
    for i in range(len(done)):
        if overlap[i]:
            found.append(Trouble.OVERLAP)
        elif slack[i]:
            found.append(Trouble.SLACK)
        elif not rest[i]:
            found.append(Trouble.NOT_CONVERGED)
        else:
            found.append(Trouble.NONE if steady[i] else Trouble.UNSTEADY)
    return tuple(found)
