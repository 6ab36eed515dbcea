"""Spread fit: how far benches, fibres, lots, builders and builds of this shop really differ.

The table's variances are a guess. With the effects e of all groups integrated out, the most
probable variances v have, for every level and parameter,

.. math:: v = \\frac{\\sum \\mu^2 + w v_0}{\\gamma + w}, \\qquad
    \\gamma = \\sum \\left(1 - \\frac{u^2}{v}\\right)

over the members of the level, :math:`\\mu` and u being mean and uncertainty of each one's effect
given v, and :math:`\\gamma` how many of them the readings tell of [1]_. The table's :math:`v_0`
counts as w members whose effects had been seen exactly. The equations are solved by iteration. With
w = 0 and a widest level so wide that it says nothing, this is restricted maximum likelihood.
Every third step goes on to where the last two lead (Aitken's rule, each variance by itself).

References
----------
.. [1] MacKay, D. J. C., Bayesian interpolation, Neural Computation 4 (1992) 415-447; Harville,
   D. A., Maximum likelihood approaches to variance component estimation, Journal of the American
   Statistical Association 72 (1977) 320-338 (both from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError
from strandwright.statistics.lesson import Lesson
from strandwright.statistics.pooling import Pool, pool_of
from strandwright.statistics.spreads import Floats, Spreads

#: The table counts as much as this many groups whose effects had been seen exactly [-].
PRIOR_WEIGHT = 4.0

#: No variance falls below this part of the table's: a tenth of its deviation [-].
FLOOR = 0.01

#: Relative step of a variance that is small [-].
_SMALL_CHANGE = 1e-5

#: Ratio of two steps beyond which the second is not lengthened any more [-].
_LONGEST = 0.9


@dataclass(frozen=True, eq=False)
class SpreadFit:
    """Variances as the builds of a shop show them.

    Attributes
    ----------
    spreads : Spreads
        The most probable variances; zero where the table has zero.
    told : ndarray, shape (levels, p)
        How many members of each level the readings tell of: none at 0, and then the table stands,
        as many as there are where every effect is known exactly [-].
    converged : bool
        Whether the last step was small.
    iterations : int
        Steps taken [-].
    """

    spreads: Spreads
    told: NDArray[np.float64]
    converged: bool
    iterations: int


def fit_spreads(
    spreads: Spreads,
    mean: ArrayLike,
    lessons: Sequence[Lesson],
    *,
    weight: float = PRIOR_WEIGHT,
    floor: float = FLOOR,
    held: Sequence[str] | None = None,
    iterations: int = 100,
) -> SpreadFit:
    """Estimate variances from builds, drawn towards the table.

    Parameters
    ----------
    spreads : Spreads
        The table.
    mean : array_like, shape (p,)
        Of the unknowns before any build [working unit].
    lessons : sequence of Lesson
        One a build, in any order.
    weight : float
        Members that the table counts for, >= 0 [-].
    floor : float
        Least variance, as a part of the table's, above 0 [-].
    held : sequence of str, optional
        Levels whose variances stay as they are; the widest if left out, because one shop cannot
        tell how far shops differ.
    iterations : int
        Most steps taken, >= 1 [-].

    Returns
    -------
    SpreadFit
        Not having converged is told, not raised.

    Raises
    ------
    InputError
        If weight is negative, floor is not above 0 or a lesson does not fit the table.
    """
    if not (weight >= 0.0 and floor > 0.0):
        raise InputError(
            "weight, floor", (weight, floor), "must be >= 0 and > 0", "leave them at their defaults"
        )
    table = spreads.variance
    levels = spreads.levels[:1] if held is None else tuple(held)
    free = np.array([level not in levels for level in spreads.levels])[:, None] & (table > 0.0)
    fitted, way, told = spreads, np.zeros_like(table), np.zeros_like(table)
    for taken in range(iterations + 1):
        squares, told = _members(pool_of(fitted, mean, lessons), lessons)
        best = np.divide(
            squares + weight * table, told + weight, out=table.copy(), where=told + weight > 0.0
        )
        best = np.maximum(best, floor * table)
        before, way = way, np.log(np.where(free, best / np.where(free, fitted.variance, 1.0), 1.0))
        if np.abs(way).max() <= _SMALL_CHANGE:
            return SpreadFit(fitted, told, True, taken)
        if taken < iterations:
            longer = _lengthening(way, before) if taken % 3 == 2 else 1.0
            variance = np.maximum(fitted.variance * np.exp(longer * way), floor * table)
            fitted = replace(fitted, variance=np.where(free, variance, table))
    return SpreadFit(fitted, told, False, iterations)


def _lengthening(way: Floats, before: Floats) -> Floats:
    """How much further two steps, the second shorter than the first, would lead in the end."""
    ratio = np.divide(way, before, out=np.zeros_like(way), where=before != 0.0)
    return 1.0 / (1.0 - np.clip(ratio, 0.0, _LONGEST))


def _members(pool: Pool, lessons: Sequence[Lesson]) -> tuple[Floats, Floats]:
    """Squares of the effects of every level, and how many of its members are told of."""
    spreads = pool.spreads
    squares, told = np.zeros_like(spreads.variance), np.zeros_like(spreads.variance)
    for level, key in pool.counts:
        row = spreads.levels.index(level)
        mean, covariance = pool.effect(level, key)
        places = spreads.active[level][0]
        left = np.diagonal(covariance)[places] / spreads.variance[row, places]
        squares[row] += mean**2
        told[row, places] += 1.0 - left
    shared: dict[frozenset[tuple[str, str]], tuple[Floats, Floats]] = {}
    for lesson in lessons:
        groups = frozenset(lesson.groups)
        if groups not in shared:
            shared[groups] = pool.shared_for(groups)
        named = spreads.members(groups)
        rows = [level not in named for level in spreads.levels]
        own, part = _own(lesson, spreads.own(named), *shared[groups])
        squares[rows] += (spreads.variance[rows] * own) ** 2
        told[rows] += spreads.variance[rows] * part
    return squares, told


def _own(
    lesson: Lesson, variance: Floats, mean: Floats, covariance: Floats
) -> tuple[Floats, Floats]:
    """What a build has of its own, and how well that is told, each per unit of variance."""
    slopes, residual = lesson.whitened(mean, variance)
    through = slopes @ covariance @ slopes.T
    part = np.square(slopes).sum(axis=0) - np.einsum("mp,mn,np->p", slopes, through, slopes)
    return slopes.T @ residual, part
