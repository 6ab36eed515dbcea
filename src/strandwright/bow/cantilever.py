"""The cantilever: one limb alone, clamped at its root, under a dead force and moment at its tip.

What a limb must do before it is part of a bow, and what beams are checked by.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.bow.elastica import ElasticaLimb
from strandwright.bow.limb import Limb
from strandwright.bow.tip_load import TipLoad, tip_load
from strandwright.errors import InputError
from strandwright.numerics.outcome import Outcome, Reason

Floats = NDArray[np.float64]
_MOST_TURN = 1.2
"""Largest change of a coordinate in a step: beyond, a force's lever has another sign [rad]."""
_CLOSE = 0.2
"""Largest change of a coordinate from where the curvatures in hand may serve on [rad]."""
_SHRINKS, _LEAVES = 0.1, 4.0
"""Share of the step before that a step must stay under to go on with them, and how many times
that share of it is the most that it leaves: the first step of all was a better one [-]."""
_LEAST = 1e-13
"""What rounding leaves of a coordinate [-]."""
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
    halved while the energy rises; the last ones share their curvatures.

    Parameters
    ----------
    limb : Limb
        Any limb.
    force : array_like, shape (2,) or (batch, 2)
        At the tip, in the limb's frame [N]
    moment : array_like, () or (batch,)
        At the tip, positive counter-clockwise [N m]
    start : ndarray, shape (n,) or (batch, n), optional
        Where to begin; if not given, the answer to the load by small bending, held back [-]
    tolerance : float
        A Newton step this small, in every coordinate, is taken and is the last; what is left is
        about its square, however the end is come by, > 0 [-]
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
    loads, q = _batch(limb, force, moment, start)
    load = tip_load(limb, loads)
    if q is None:
        q = load.start()
    return _descend(load, q, tolerance, max_iterations)


def _descend(load: TipLoad, q: Floats, tolerance: float, most: int) -> Outcome[Floats]:
    """Take guarded Newton steps; from the first that is small, settle."""
    (gradient, hessian), energy = load.curved(q), None
    factor, iterations = None, 1
    while True:
        step, inverse = _downhill(gradient, hessian)
        largest = float(np.abs(step).max())
        if largest <= tolerance or not largest < np.inf or iterations >= most:
            finished = np.abs(step).max(axis=-1) <= tolerance
            return _report(q, step, gradient, finished, iterations)
        if largest <= _CLOSE:
            enough = max(tolerance * tolerance, _LEAST)
            sizes, left = (largest, enough), most - iterations
            q, step, last, spent = _settle(load, q + step, inverse, sizes, left)
            iterations += spent
            if last is not None:
                return _report(q, step, last, np.ones(len(q), dtype=bool), iterations)
            (gradient, hessian), energy, factor = load.curved(q), None, None
            continue
        if largest > _MOST_TURN:
            step *= _MOST_TURN / np.maximum(_MOST_TURN, np.abs(step).max(axis=-1, keepdims=True))
        if energy is None:
            energy = load.energy(q)
        trial = q + (step if factor is None else factor[:, None] * step)
        found = load.energy(trial)
        rises = found > energy + _ROUNDING * np.abs(energy)
        if np.count_nonzero(rises):
            factor = np.where(rises, 0.5 if factor is None else 0.5 * factor, 1.0)
            trial = np.where(rises[:, None], q, trial)
            found = np.where(rises, energy, found)
        else:
            factor = None
        q, energy = trial, found
        gradient, hessian = load.curved(q)
        iterations += 1


def _settle(
    load: TipLoad, q: Floats, inverse: Floats, sizes: tuple[float, float], most: int
) -> tuple[Floats, Floats, Floats | None, int]:
    """Go on with the curvatures in hand while each step is far shorter than the one before.

    The sizes are that of the step just taken, and what may be left. Gives no gradient where the
    steps no longer shrink, or there are too many.
    """
    before, enough = sizes
    step = np.zeros_like(q)
    for spent in range(1, most + 1):
        gradient = load.gradient(q)
        step = -(inverse @ gradient[..., None])[..., 0]
        largest = float(np.abs(step).max())
        if _LEAVES * largest * largest <= enough * before:
            return q, step, gradient, spent
        q = q + step
        if not largest <= _SHRINKS * before:
            return q, step, None, spent
        before = largest
    return q, step, None, most


def _batch(
    limb: Limb, force: ArrayLike, moment: ArrayLike, start: Floats | None
) -> tuple[Floats, Floats | None]:
    """Check the load and give each case its row of it, and its start if there is one."""
    force, moment = np.asarray(force, dtype=np.float64), np.asarray(moment, dtype=np.float64)
    if force.shape[-1:] != (2,) or force.ndim > 2:
        raise _no_force(force)
    if moment.ndim > 1:
        raise _no_moment(moment)
    q = None if start is None else np.atleast_2d(start)
    lengths = {1 if force.ndim == 1 else len(force), 1 if moment.ndim == 0 else len(moment)}
    lengths |= {1 if q is None else len(q), _own_cases(limb)}
    cases = max(lengths)
    if not lengths <= {1, cases} or (q is not None and q.shape[-1] != limb.freedoms):
        shape = "none" if q is None else q.shape
        given = f"forces {force.shape}, moments {moment.shape}, start {shape}"
        rule = f"must be one, or as many as there are cases, starts with {limb.freedoms} numbers"
        raise InputError("cantilever.cases", given, rule, "give one load for each case")
    loads = np.empty((cases, 3))
    loads[:, :2], loads[:, 2] = force, moment
    if not np.isfinite(loads).all():
        raise _no_moment(moment) if np.isfinite(force).all() else _no_force(force)
    if isinstance(limb, ElasticaLimb) and not limb.bears_tip_moment and moment.any():
        rule = "cannot be borne by a tip without stiffness"
        raise InputError("cantilever.moment", moment.tolist(), rule, "give the tip a width")
    return loads, q if q is None or len(q) == cases else np.repeat(q, cases, axis=0)


def _own_cases(limb: Limb) -> int:
    """Count the limbs that are one limb here."""
    if isinstance(limb, ElasticaLimb):
        return 1 if limb.shared else max(np.size(limb.length), np.size(limb.root_stiffness))
    return len(np.atleast_2d(limb.rest()))


def _no_force(force: Floats) -> InputError:
    rule = "must be two finite components, or two for each case"
    return InputError("cantilever.force", force.tolist(), rule, "give N along x and y")


def _no_moment(moment: Floats) -> InputError:
    rule = "must be one finite moment, or one for each case"
    return InputError("cantilever.moment", moment.tolist(), rule, "give N m")


def _downhill(gradient: Floats, hessian: Floats) -> tuple[Floats, Floats]:
    """Newton's step and the inverse curvatures, made positive where they are not."""
    try:
        np.linalg.cholesky(hessian)
        inverse: Floats = np.linalg.inv(hessian).astype(np.float64, copy=False)
    except np.linalg.LinAlgError:
        if not np.isfinite(hessian).all():
            return np.full_like(gradient, np.nan), hessian
        size, axis = np.linalg.eigh(hessian)
        size = np.maximum(np.abs(size), 1e-12 * np.abs(size).max(axis=-1, keepdims=True))
        inverse = (axis / size[:, None, :]) @ axis.mT
    return -(inverse @ gradient[..., None])[..., 0], inverse


def _report(
    q: Floats, step: Floats, gradient: Floats, finished: NDArray[np.bool_], iterations: int
) -> Outcome[Floats]:
    """Take the last step where it is small, name the worst case's reason, and say what was left."""
    residual = np.abs(gradient).max(axis=-1)
    if np.count_nonzero(finished) == len(q):
        return Outcome(q + step, finished, Reason.CONVERGED, residual, iterations)
    finite = bool(np.isfinite(residual).all())
    reason = Reason.NOT_CONVERGED if finite else Reason.NOT_FINITE
    last = np.where(finished[:, None], q + step, q)
    return Outcome(last, finished, reason, residual, iterations)
