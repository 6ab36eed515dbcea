"""Joint chance: several lines within their tolerances at once, when they share what is unknown.

Of each line a reading moves the mean error by m and leaves the error e about it; both are normal
beforehand, and those of different lines go together as far as the lines share unknowns. Whoever
has read corrects the mean to the nearest multiple of a step, so that a remainder r(m) stays:

.. math:: P = \\operatorname{E}_m P(|r_i(m_i) + e_i| \\le T_i \\text{ for all } i \\mid m)

The inner chance is a normal distribution over a box, taken line by line in the way of Genz [1]_;
the outer mean is taken over the points of a lattice, so that the same input gives the same chance.

References
----------
.. [1] Genz, A., Numerical computation of multivariate normal probabilities, Journal of
   Computational and Graphical Statistics 1 (1992) 141-149 (from memory).
"""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError

Floats = NDArray[np.float64]

#: Points of the lattice; the chance of three lines is then right to about 0.001 [-]
_POINTS = 16384
#: Variance of a direction, over the greatest, below which it is settled by those before it [-]
_SETTLED = 1e-12
_EDGE = 1e-15
_ROOT_2 = math.sqrt(2.0)
_INVERSE = np.frompyfunc(NormalDist().inv_cdf, 1, 1)
_ERFC = np.frompyfunc(math.erfc, 1, 1)
_PRIMES = (2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71, 73, 79)
#: Most lines that the lattice has directions for [-]
MOST = len(_PRIMES) // 2


def chance_jointly(
    errors: ArrayLike, covariance: ArrayLike, tolerances: ArrayLike, steps: ArrayLike
) -> float:
    """Chance that every line is within its tolerance once readings corrected each.

    Parameters
    ----------
    errors : array_like, shape (n,)
        Mean errors as they stand, from which corrections are counted [m]
    covariance : array_like, shape (2 n, 2 n)
        Of what the readings will move each mean by, and after these of the errors left [m^2]
    tolerances : array_like, shape (n,)
        Half-widths of the tolerances, > 0 [m]
    steps : array_like, shape (n,)
        Smallest correction of each, >= 0; with 0 the mean is corrected exactly [m]

    Returns
    -------
    float
        Chance, 0 to 1 [-].

    Raises
    ------
    InputError
        If there are no lines or too many, or shapes disagree.

    Notes
    -----
    Points of one lattice, so an error of about 0.001 that is always the same one.
    """
    error, tolerance, step = (np.asarray(a, dtype=np.float64) for a in (errors, tolerances, steps))
    both = np.asarray(covariance, dtype=np.float64)
    count = error.size
    _check(count, both.shape)
    factor = _factor(both)
    points = _lattice(2 * count)
    latent = np.empty_like(points)
    latent[:, :count] = _inverse(points[:, :count])
    moved = latent[:, :count] @ factor[:count, :count].T + error
    rest = _remainder(moved, step)
    chance = np.ones(len(points))
    for i in range(count):
        row = count + i
        known = rest[:, i] + latent[:, :row] @ factor[row, :row]
        pivot = factor[row, row]
        if pivot == 0.0:
            chance = chance * (np.abs(known) <= tolerance[i])
            latent[:, row] = 0.0
            continue
        low, high = (_below((side * tolerance[i] - known) / pivot) for side in (-1.0, 1.0))
        inside = np.maximum(high - low, 0.0)
        chance = chance * inside
        latent[:, row] = _inverse(low + points[:, row] * inside)
    return float(min(max(chance.mean(), 0.0), 1.0))


def _check(count: int, shape: tuple[int, ...]) -> None:
    if not 1 <= count <= MOST:
        rule = f"must be 1 to {MOST}"
        raise InputError("lines", count, rule, "take fewer lines together")
    if shape != (2 * count, 2 * count):
        rule = f"must be {2 * count} by {2 * count}, for {count} lines"
        raise InputError("covariance", shape, rule, "give two rows for each line")


def _factor(covariance: Floats) -> Floats:
    """Lower factor of a semi-definite matrix, zero columns where a direction is settled."""
    rest, size = covariance.copy(), len(covariance)
    factor = np.zeros((size, size))
    least = _SETTLED * max(float(np.diagonal(covariance).max()), 0.0)
    for pivot in range(size):
        if rest[pivot, pivot] <= least:
            continue
        column = rest[:, pivot] / math.sqrt(rest[pivot, pivot])
        column[:pivot] = 0.0
        factor[:, pivot] = column
        rest = rest - np.outer(column, column)
    return factor


def _lattice(directions: int) -> Floats:
    """Richtmyer's lattice: multiples of the roots of primes, folded so that its ends meet."""
    roots = np.sqrt(np.array(_PRIMES[:directions], dtype=np.float64))
    raw = (np.arange(1, _POINTS + 1)[:, None] * roots + 0.5) % 1.0
    return np.clip(np.abs(2.0 * raw - 1.0), _EDGE, 1.0 - _EDGE)


def _remainder(mean: Floats, step: Floats) -> Floats:
    """What stays of each mean corrected to the nearest multiple of its step."""
    whole = np.where(step > 0.0, step, 1.0)
    return np.where(step > 0.0, mean - whole * np.round(mean / whole), 0.0)


def _below(deviate: Floats) -> Floats:
    """Chance of a unit normal variable to stay under a value."""
    return 0.5 * np.asarray(_ERFC(-deviate / _ROOT_2), dtype=np.float64)


def _inverse(chance: Floats) -> Floats:
    """Value that a unit normal variable stays under with a chance."""
    return np.asarray(_INVERSE(np.clip(chance, _EDGE, 1.0 - _EDGE)), dtype=np.float64)
