"""The cantilever: one limb alone, clamped at its root, under a dead force and moment at its tip.

What a limb must do before it is part of a bow, and what beams are checked by.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.bow.elastica import ElasticaLimb
from strandwright.bow.limb import Limb
from strandwright.errors import InputError
from strandwright.numerics.outcome import Outcome, Reason

Floats = NDArray[np.float64]
_MOST_TURN = 1.2
"""Largest change of a coordinate in a step: beyond, a force's lever has another sign [rad]."""
_ROUNDING = 1e-12
"""Share of itself by which an energy may seem to rise near its least [-]."""


def cantilever(
    limb: Limb,
    force: ArrayLike,
    moment: ArrayLike = 0.0,
    start: Floats | None = None,
    tolerance: float = 1e-7,
    max_iterations: int = 100,
) -> Outcome[Floats]:
    """Find the shape in which a limb bears a dead load at its tip, by guarded Newton steps.

    Energy less the load's work is made least. The load keeps its direction, however far the tip
    turns. Steps are cut to a turn within which the load's lever cannot change sign unseen, and
    halved while the energy rises.

    Parameters
    ----------
    limb : Limb
        Any limb.
    force : array_like, shape (2,) or (batch, 2)
        At the tip, in the limb's frame [N]
    moment : array_like, () or (batch,)
        At the tip, positive counter-clockwise [N m]
    start : ndarray, shape (n,) or (batch, n), optional
        Where to begin; the unstrained shape if not given [-]
    tolerance : float
        A Newton step this small, in every coordinate, is taken and is the last; what it leaves
        is about its square, > 0 [-]
    max_iterations : int
        Most evaluations, >= 1 [-]

    Returns
    -------
    Outcome of ndarray, shape (batch, n)
        The limb's coordinates [-]; as residual the largest generalised force before the last
        step [J].

    Raises
    ------
    InputError
        If the load does not fit or its numbers are not finite.

    Notes
    -----
    A limb that is loaded exactly along itself stays straight even over its buckling load, where
    that is not stable: begin from a bent shape. Of several stable shapes the one nearest to the
    start is found as a rule; none is promised to be the lowest.
    """
    force, moment, trial = _batch(limb, force, moment, start)
    state = _potential(limb, trial, force, moment)
    q, factor, iterations = trial, None, 1
    while True:
        step = _downhill(state[1], state[2])
        largest = float(np.abs(step).max())
        if largest <= tolerance or not largest < np.inf or iterations >= max_iterations:
            break
        if largest > _MOST_TURN:
            step *= _MOST_TURN / np.maximum(_MOST_TURN, np.abs(step).max(axis=-1, keepdims=True))
        trial = q + (step if factor is None else factor[:, None] * step)
        found = _potential(limb, trial, force, moment)
        iterations += 1
        rises = found[0] > state[0] + _ROUNDING * np.abs(state[0])
        if np.count_nonzero(rises):
            factor = np.where(rises, 0.5 if factor is None else 0.5 * factor, 1.0)
            trial = np.where(rises[:, None], q, trial)
            found = _potential(limb, trial, force, moment)
        else:
            factor = None
        q, state = trial, found
    finished = np.abs(step).max(axis=-1) <= tolerance
    return _report(np.where(finished[:, None], q + step, q), state[1], finished, iterations)


def _batch(
    limb: Limb, force: ArrayLike, moment: ArrayLike, start: Floats | None
) -> tuple[Floats, Floats, Floats]:
    """Check the load; give each a row for each case or one for all, the start one for each."""
    force, moment = np.asarray(force, dtype=np.float64), np.asarray(moment, dtype=np.float64)
    if force.shape[-1:] != (2,) or force.ndim > 2 or not np.isfinite(force).all():
        rule = "must be two finite components, or two for each case"
        raise InputError("cantilever.force", force.tolist(), rule, "give N along x and y")
    if moment.ndim > 1 or not np.isfinite(moment).all():
        rule = "must be one finite moment, or one for each case"
        raise InputError("cantilever.moment", moment.tolist(), rule, "give N m")
    if moment.any() and isinstance(limb, ElasticaLimb) and not limb.bears_tip_moment:
        rule = "cannot be borne by a tip without stiffness"
        raise InputError("cantilever.moment", moment.tolist(), rule, "give the tip a width")
    q = limb.rest() if start is None else start
    force, moment, q = np.atleast_2d(force), np.atleast_1d(moment), np.atleast_2d(q)
    lengths = {len(force), len(moment), len(q)}
    cases = max(lengths)
    if not lengths <= {1, cases} or q.shape[-1] != limb.freedoms:
        given = f"{len(force)} forces, {len(moment)} moments, start {q.shape}"
        rule = f"must be one, or as many as there are cases, starts with {limb.freedoms} numbers"
        raise InputError("cantilever.cases", given, rule, "give one load for each case")
    return force, moment, q if len(q) == cases else np.repeat(q, cases, axis=0)


def _potential(
    limb: Limb, q: Floats, force: Floats, moment: Floats
) -> tuple[Floats, Floats, Floats]:
    """Energy less the work of the load, with its derivatives."""
    energy, gradient, hessian = limb.energy(q)
    tip = limb.tip(q)
    row, n = force[:, None, :], q.shape[-1]
    work = np.vecdot(force, tip.position) + moment * tip.angle
    pull = (row @ tip.position_gradient)[:, 0] + moment[:, None] * tip.angle_gradient
    bend = (row @ tip.position_hessian.reshape(-1, 2, n * n)).reshape(-1, n, n)
    return energy - work, gradient - pull, hessian - bend


def _downhill(gradient: Floats, hessian: Floats) -> Floats:
    """Newton's step, its curvatures made positive in the cases where it would lead uphill."""
    try:
        step: Floats = -np.linalg.solve(hessian, gradient[..., None])[..., 0].astype(
            float, copy=False
        )
        uphill = np.vecdot(step, gradient) > 0.0
        if not np.count_nonzero(uphill):
            return step
    except np.linalg.LinAlgError:
        step, uphill = np.zeros_like(gradient), np.ones(len(gradient), dtype=bool)
    size, axis = np.linalg.eigh(hessian[uphill])
    size = np.maximum(np.abs(size), 1e-12 * np.abs(size).max(axis=-1, keepdims=True))
    along = (gradient[uphill][:, None, :] @ axis)[:, 0] / size
    step[uphill] = -(axis @ along[..., None])[..., 0]
    return step


def _report(
    q: Floats, gradient: Floats, finished: NDArray[np.bool_], iterations: int
) -> Outcome[Floats]:
    """Name the reason of the worst case and put the outcome together."""
    residual = np.abs(gradient).max(axis=-1)
    reason = Reason.CONVERGED
    if np.count_nonzero(finished) < len(q):
        finite = bool(np.isfinite(residual).all())
        reason = Reason.NOT_CONVERGED if finite else Reason.NOT_FINITE
    return Outcome(q, finished, reason, residual, iterations)
