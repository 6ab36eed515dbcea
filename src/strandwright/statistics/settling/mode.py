"""Mode: the most probable unknowns of a curved model after readings, by damped Gauss-Newton steps.

The point found minimises

.. math:: \\sum_i \\frac{(y_i - f_i(\\theta))^2}{v_i} + \\sum_j \\frac{(\\theta_j - m_j)^2}{u_j^2}

with steps :math:`(H + \\lambda\\,\\mathrm{diag}\\,H)^{-1}` times the slope [1]_; the covariance is
the inverse of H there, and the damping follows what each step gained [2]_. A prior so wide that
it says nothing leaves least squares.

References
----------
.. [1] Marquardt, D. W., An algorithm for least-squares estimation of nonlinear parameters, Journal
   of the Society for Industrial and Applied Mathematics 11 (1963) 431-441 (from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.numerics.outcome import Outcome, Reason

Floats = NDArray[np.float64]
#: Gives values, shape (n,), and slopes, shape (n, p), at one point, shape (p,).
Curve = Callable[[Floats], tuple[Floats, Floats]]

_STEPS = 200
_DAMPED_FROM, _DAMPED_LEAST, _DAMPED_MOST = 1e-3, 1e-15, 1e12
#: A step that should gain less than this of the sum of squares is the last [-]
_SMALL_GAIN = 1e-13
_NOTHING = 1e-24


@dataclass(frozen=True, eq=False)
class Mode:
    """The most probable point and how sure it is.

    Attributes
    ----------
    point : ndarray, shape (p,)
        The unknowns [working units].
    covariance : ndarray, shape (p, p)
        Of the unknowns, the model laid straight there [product of working units].
    value : ndarray, shape (n,)
        What the model says there [reading's unit].
    slopes : ndarray, shape (n, p)
        Of the readings by unknown there [reading's unit per working unit].
    cost : float
        The sum of squares, readings and prior [-].
    """

    point: Floats
    covariance: Floats
    value: Floats
    slopes: Floats
    cost: float


def most_probable(
    curve: Curve,
    read: Floats,
    variance: Floats,
    mean: Floats,
    u: Floats,
    start: Floats | None = None,
    *,
    enough: float = 0.0,
) -> Outcome[Mode]:
    """Find the most probable unknowns.

    Parameters
    ----------
    curve : callable
        Values and slopes at a point.
    read : ndarray, shape (n,)
        Readings, n >= 0 [reading's unit].
    variance : ndarray, shape (n,)
        Of each reading, > 0 [reading's unit squared].
    mean, u : ndarray, shape (p,)
        Each unknown beforehand and its standard uncertainty, > 0 [working unit].
    start : ndarray or None
        Where to begin; None begins at the mean [working unit].
    enough : float
        A gain of the sum of squares after which it is done; 0 goes on to rounding. The next step
        is then no longer than its root, in standard uncertainties [-].

    Returns
    -------
    Outcome of Mode
        Not converged where the steps ran out; the last point stands in it.

    Notes
    -----
    Finds one minimum, that below the start. Unknowns are independent beforehand.
    """
    weight, information = 1.0 / variance, 1.0 / u**2
    theta = np.array(mean if start is None else start, dtype=np.float64)
    value, slopes = curve(theta)
    cost = _cost(read - value, weight, theta - mean, information)
    damping, grows, steps, ok = _DAMPED_FROM, 2.0, 0, bool(np.isfinite(cost))
    reason = Reason.NOT_CONVERGED if ok else Reason.NOT_FINITE
    while ok and steps < _STEPS:
        steps += 1
        left, away = read - value, theta - mean
        step, gain, foretold = _damped_step(slopes, weight, information, left, away, damping)
        if gain <= max(_SMALL_GAIN * cost, enough, _NOTHING):
            reason = Reason.CONVERGED
            break
        with np.errstate(over="ignore", invalid="ignore"):
            moved, tilted = curve(theta + step)
            there = _cost(read - moved, weight, theta + step - mean, information)
        if np.isfinite(there) and np.isfinite(tilted).all() and there <= cost:
            # Where the model bends, a step gains less than foretold: the next is held shorter.
            kept = 2.0 * (cost - there) / foretold - 1.0
            damping, grows = max(damping * max(1.0 / 3.0, 1.0 - kept**3), _DAMPED_LEAST), 2.0
            theta, value, slopes, cost = theta + step, moved, tilted, there
        else:
            damping, grows = max(damping * grows, _DAMPED_FROM), 2.0 * grows
            if damping > _DAMPED_MOST:
                # No step however short betters it: what is left is rounding.
                reason = Reason.CONVERGED
                break
    hessian = (slopes * weight[:, None]).T @ slopes + np.diag(information)
    found = Mode(theta, _inverse(hessian), value, slopes, cost)
    done = reason is Reason.CONVERGED
    return Outcome(found, np.array([done]), reason, np.array([cost]), steps)


def _damped_step(
    slopes: Floats, weight: Floats, information: Floats, left: Floats, away: Floats, damping: float
) -> tuple[Floats, float, float]:
    """The step, what it would gain of a straight model undamped, and what it is foretold to."""
    weighed = slopes * weight[:, None]
    hessian = weighed.T @ slopes + np.diag(information)
    pull = weighed.T @ left - information * away
    diagonal = np.diagonal(hessian)
    step = np.asarray(
        np.linalg.solve(hessian + damping * np.diag(diagonal), pull), dtype=np.float64
    )
    gain = float(pull @ step)
    return step, gain, gain + damping * float(step @ (diagonal * step))


def _cost(left: Floats, weight: Floats, away: Floats, information: Floats) -> float:
    return float(weight @ left**2 + information @ away**2)


def _inverse(hessian: Floats) -> Floats:
    """Inverse of a positive definite matrix whose unknowns may differ much in size."""
    scale = 1.0 / np.sqrt(np.diagonal(hessian))
    inner = np.linalg.inv(hessian * np.outer(scale, scale))
    inner = 0.5 * (inner + inner.T)
    return np.asarray(inner * np.outer(scale, scale), dtype=np.float64)
