"""Roots of many independent scalar equations at once.

Every element of a batch is its own equation in its own unknown; the function is called with
the whole batch, so that an iteration costs a handful of array operations whatever its size.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.numerics.outcome import Outcome, Reason

Floats = NDArray[np.float64]
_ROUNDING = 4.0 * float(np.finfo(np.float64).eps)


def newton_monotone(
    f_and_slope: Callable[[Floats], tuple[Floats, Floats]],
    start: ArrayLike,
    lower: ArrayLike,
    upper: ArrayLike,
    tol: ArrayLike = 1e-12,
    max_iter: int = 100,
) -> Outcome[Floats]:
    """Solve f(x) = 0 for a batch of non-decreasing functions, by guarded Newton steps.

    Each f must be continuous and non-decreasing on [lower, upper]; kinks are allowed, and so are
    flat stretches away from the root (a strand that is slack up to some length). A Newton step
    which leaves the bracket towards a bound not yet tried goes to that bound; any other step that
    leaves the bracket, or fails to halve within two steps, is replaced by bisection.

    Parameters
    ----------
    f_and_slope : callable
        Takes x, shape (batch,), and gives f and df/dx, each of that shape; at a kink either
        one-sided slope will do. Solved elements are passed again unchanged.
    start : array_like, broadcast to (batch,)
        First guess; moved to the nearer bound if outside [unit of x].
    lower, upper : array_like, broadcast to (batch,)
        Finite bounds of the search, lower <= upper [unit of x].
    tol : array_like, broadcast to (batch,)
        Largest error allowed in x, as judged by the Newton step or the bracket's width, >= 0;
        a few units of rounding in x are always allowed on top [unit of x].
    max_iter : int
        Most evaluations of the function, >= 1 [-].

    Returns
    -------
    Outcome of ndarray, shape (batch,)
        The roots, and f there as residual. ``NO_BRACKET`` where f keeps one sign up to a bound,
        ``NOT_FINITE`` where f is not a number.

    Notes
    -----
    That a step must halve the one before last is the guard of R. P. Brent, "Algorithms for
    Minimization without Derivatives", 1973, ch. 4, there for secant steps (from memory).
    """
    x, low, high, error = _batch(start, lower, upper, tol)
    x = np.minimum(np.maximum(x, low), high)
    first_low, first_high = low, high
    before_last = last = high - low
    residual = np.full_like(x, np.nan)
    ok = stuck = np.zeros(x.shape, dtype=bool)
    iterations = 0
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        while iterations < max_iter:
            iterations += 1
            residual, slope = f_and_slope(x)
            low = np.where(residual < 0.0, x, low)
            high = np.where(residual > 0.0, x, high)
            newton = -residual / slope
            ok, stuck = _judge(x, residual, newton, (low, high), (first_low, first_high), error)
            if bool(np.all(ok | stuck)):
                break
            trial = _next_point(x, newton, (low, high), (first_low, first_high), before_last)
            trial = np.where(ok | stuck, x, trial)
            before_last, last = last, np.abs(trial - x)
            x = trial
    return _report(x, ok, stuck, residual, iterations)


def _judge(
    x: Floats,
    residual: Floats,
    newton: Floats,
    bracket: tuple[Floats, Floats],
    bounds: tuple[Floats, Floats],
    tol: Floats,
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Tell the elements that are solved, and those for which no root can be found."""
    allowed = tol + _ROUNDING * np.abs(x)
    at_bound = ((x == bounds[1]) & (residual < 0.0)) | ((x == bounds[0]) & (residual > 0.0))
    closed = (bracket[1] - bracket[0] <= allowed) & ~at_bound
    ok = (residual == 0.0) | (np.abs(newton) <= allowed) | closed
    ok &= ~np.isnan(residual)
    return ok, (at_bound | np.isnan(residual)) & ~ok


def _next_point(
    x: Floats,
    newton: Floats,
    bracket: tuple[Floats, Floats],
    bounds: tuple[Floats, Floats],
    before_last: Floats,
) -> Floats:
    """Newton's point where it can be trusted, else an untried bound, else the middle."""
    low, high = bracket
    trial = x + newton
    trusted = (trial > low) & (trial < high) & (np.abs(newton) <= 0.5 * before_last)
    point = np.where(trusted, trial, 0.5 * (low + high))
    # An untried bound is worth one evaluation: it settles whether a root exists at all.
    point = np.where((trial >= high) & (high == bounds[1]) & (x < high), high, point)
    return np.where((trial <= low) & (low == bounds[0]) & (x > low), low, point)


def _batch(*values: ArrayLike) -> tuple[Floats, ...]:
    """Broadcast to one batch of floats."""
    return np.broadcast_arrays(*(np.asarray(v, dtype=np.float64) for v in values))


def _report(
    x: Floats,
    ok: NDArray[np.bool_],
    stuck: NDArray[np.bool_],
    residual: Floats,
    iterations: int,
) -> Outcome[Floats]:
    """Name the reason of the worst case and put the outcome together."""
    reason = Reason.CONVERGED
    if bool(np.any(~ok & ~stuck)):
        reason = Reason.NOT_CONVERGED
    if bool(np.any(stuck)):
        reason = Reason.NO_BRACKET
    if bool(np.any(stuck & np.isnan(residual))):
        reason = Reason.NOT_FINITE
    return Outcome(x, ok, reason, residual, iterations)
