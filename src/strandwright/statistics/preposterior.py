"""Preposterior chances: what a reading not yet taken does to the chance to land in tolerance.

A line's error e is normal. A reading moves its mean by an amount that is itself normal
beforehand, with variance

.. math:: m^2 = u_0^2 - u_1^2

(what is known of e before it, less what stays unknown after it) [1]_. Whoever has read corrects
the mean to the nearest multiple of a step h, so that of the mean there stays only the remainder
r, and the chance is

.. math:: V = \\operatorname{E}_x P(|r(x) + u_1 Z| \\le T), \\qquad x \\sim N(\\bar e, m^2)

a one-dimensional integral; where the mean moves by a step or more, r is even over the step and
the integral is closed, by the unit normal loss integral.

References
----------
.. [1] Raiffa, H. and Schlaifer, R., Applied Statistical Decision Theory, Harvard University,
   1961, chapters 5 and 11 (from memory).
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError

_ROOT_2 = math.sqrt(2.0)
_ROOT_2_PI = math.sqrt(2.0 * math.pi)
#: A mean that moves by this many steps leaves a remainder even over the step, to 1e-8 [-]
_EVEN = 1.0
#: Further out than this many standard deviations nothing is looked for [-]
_REACH = 8.0
#: Nodes and weights on (-1, 1) for each smooth piece.
_NODES, _WEIGHTS = (values.tolist() for values in np.polynomial.legendre.leggauss(8))
#: Where, in standard deviations about an edge of the tolerance, the chance bends.
_BENDS = (-4.0, -2.0, -1.0, 0.0, 1.0, 2.0, 4.0)


def unit_normal_loss(deviate: float) -> float:
    """Unit normal linear-loss integral: the mean of what a normal variable exceeds a limit by.

    Parameters
    ----------
    deviate : float
        The limit over the standard deviation, any sign [-].

    Returns
    -------
    float
        :math:`N(d) = \\varphi(d) - d\\,(1 - \\Phi(d))` [-].
    """
    density = math.exp(-0.5 * deviate * deviate) / _ROOT_2_PI
    return max(density - deviate * 0.5 * math.erfc(deviate / _ROOT_2), 0.0)


def left_after(output: ArrayLike, readings: ArrayLike, variances: ArrayLike) -> float:
    """Standard uncertainty of one output after readings, from slopes by unit directions.

    Parameters
    ----------
    output : array_like, shape (r,)
        Slopes of the output along independent directions of unit variance [output unit].
    readings : array_like, shape (m, r)
        Slopes of the readings along the same, m >= 0 [reading's unit].
    variances : array_like, shape (m,)
        Of the readings by themselves, independent, each > 0 [reading's unit squared].

    Returns
    -------
    float
        Standard uncertainty, whatever the readings will say [output unit].
    """
    own: NDArray[np.float64] = np.asarray(output, dtype=np.float64)
    rows = np.asarray(readings, dtype=np.float64).reshape(-1, own.size)
    shared = rows @ own
    total = rows @ rows.T + np.diag(np.asarray(variances, dtype=np.float64).reshape(-1))
    taken = shared @ np.linalg.solve(total, shared) if len(rows) else 0.0
    return math.sqrt(max(float(own @ own - taken), 0.0))


def chance_by_steps(
    error: float, moved: float, left: float, tolerance: float, step: float
) -> float:
    """Chance to be within tolerance once readings have been taken and the mean was corrected.

    Parameters
    ----------
    error : float
        Mean error as it stands, from which corrections are counted [m].
    moved : float
        Standard deviation of what the readings will move the mean by, >= 0 [m].
    left : float
        Standard uncertainty of the error after them, >= 0 [m].
    tolerance : float
        Half-width of the tolerance, >= 0 [m].
    step : float
        Smallest correction, >= 0; with 0 the mean is corrected exactly [m].

    Returns
    -------
    float
        Chance, 0 to 1 [-].

    Raises
    ------
    InputError
        If a value is not finite, or one that may not be is negative.

    Notes
    -----
    Of all corrections the one nearest to the mean gives the greatest chance, for the error is
    symmetric about its mean; hence a reading never lowers it.
    """
    _check(error=error, moved=moved, left=left, tolerance=tolerance, step=step)
    if step == 0.0:
        return _chance(0.0, left, tolerance)
    if moved >= _EVEN * step:
        return _chance_even(left, tolerance, step)
    if moved < 1e-9 * step:
        return _chance(_remainder(error, step), left, tolerance)
    return _integral(error, moved, left, tolerance, step)


def _remainder(error: float, step: float) -> float:
    """What stays of an error corrected to the nearest multiple of a step."""
    return error - step * round(error / step)


def _chance(mean: float, deviation: float, limit: float) -> float:
    """Probability of a normal error to lie within plus and minus the limit."""
    if deviation == 0.0:
        return float(abs(mean) <= limit)
    scale = deviation * _ROOT_2
    return 0.5 * (math.erf((limit - mean) / scale) + math.erf((limit + mean) / scale))


def _chance_even(left: float, tolerance: float, step: float) -> float:
    """Chance where the remainder is even over the step: closed."""
    half = 0.5 * step
    if left == 0.0:
        return min(tolerance / half, 1.0)
    # The integral of the normal distribution function to x is the loss integral at -x.
    far, near = (unit_normal_loss(-(tolerance + s * half) / left) for s in (1.0, -1.0))
    far_side, near_side = (unit_normal_loss((tolerance + s * half) / left) for s in (-1.0, 1.0))
    return min(max(left * ((far - near) - (far_side - near_side)) / step, 0.0), 1.0)


def _integral(error: float, moved: float, left: float, tolerance: float, step: float) -> float:
    """Chance where the mean moves by less than a step: Gauss-Legendre, smooth piece by piece."""
    total = weight_sum = 0.0
    edges = _edges(error, moved, left, tolerance, step)
    for low, high in pairwise(edges):
        half, middle = 0.5 * (high - low), 0.5 * (high + low)
        whole = step * round((error + moved * middle) / step)
        for node, weight in zip(_NODES, _WEIGHTS, strict=True):
            z = middle + half * node
            density = half * weight * math.exp(-0.5 * z * z)
            weight_sum += density
            total += density * _chance(error + moved * z - whole, left, tolerance)
    return total / weight_sum


def _edges(error: float, moved: float, left: float, tolerance: float, step: float) -> list[float]:
    """Ends of the pieces between which the chance is smooth, in standard deviations moved."""
    first = math.floor((error - _REACH * moved) / step)
    last = math.ceil((error + _REACH * moved) / step)
    bends = [side * (tolerance + b * left) for side in (-1.0, 1.0) for b in _BENDS]
    inside = [b for b in bends if abs(b) < 0.5 * step]
    places = [k * step + b for k in range(first, last + 1) for b in (-0.5 * step, *inside)]
    found = {(place - error) / moved for place in places}
    found |= {0.5 * k for k in range(-16, 17)}
    return sorted(z for z in found if abs(z) <= _REACH)


def _check(error: float, **sizes: float) -> None:
    """Refuse what cannot be reckoned with."""
    if not math.isfinite(error):
        raise InputError("error", error, "must be a finite number", "read the length again")
    for name, size in sizes.items():
        if not (math.isfinite(size) and size >= 0.0):
            raise InputError(name, size, "must be finite and not negative", "give its size")
