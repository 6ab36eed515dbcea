"""Doubt: finished builds whose readings do not fit what all other builds of their groups say.

A build's readings, scaled so that all they have of their own is standard normal, are a sum Z of the
effects of its groups. With the mean :math:`\\hat f` of that sum and its covariance C by the pool of
*all* builds, and r the scaled readings, what the pool *without* the build expects of it is missed
by

.. math:: e = (I - C)^{-1} (r - \\hat f), \\qquad \\operatorname{cov} e = (I - C)^{-1},

so that its squared distance is

.. math:: d^2 = (r - \\hat f)^T (I - C)^{-1} (r - \\hat f),

chi-square with as many degrees as readings [1]_: taking a build away costs no new pool. One bad
build pulls others of its groups away with it, so the worst is taken out before the next is judged.

References
----------
.. [1] Cook, R. D. and Weisberg, S., Residuals and influence in regression, 1982, 2.2: deleted
   residuals by the matrix identity of Sherman, Morrison and Woodbury (from memory).
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from strandwright.statistics.lesson import Floats, Lesson
from strandwright.statistics.pooling import Pool, pool_of
from strandwright.statistics.quantiles import chi_square_above

Name = TypeVar("Name", bound=Hashable)
Groups = tuple[tuple[str, str], ...]

#: A shop whose builds are all good doubts one in so many shops [-].
DOUBT_BELOW = 0.01
#: With fewer builds than this nothing tells which of them is the odd one [-].
FEWEST = 5
#: More than this part of all builds is no outlier but another way of working [-].
_MOST = 0.25


@dataclass(frozen=True, eq=False)
class Misfit:
    """How far one build lies from what the others expect of it.

    Attributes
    ----------
    square : float
        Squared distance [-].
    degrees : int
        Independent readings it is made of [-].
    explains : ndarray, shape (p,)
        Part of the squared distance that one unknown alone being another would take away, 0 to 1
        [-].
    """

    square: float
    degrees: int
    explains: NDArray[np.float64]

    @cached_property
    def chance(self) -> float:
        """Chance that a good build lies as far away [-]."""
        return chi_square_above(self.square, self.degrees) if self.degrees else 1.0


@dataclass(frozen=True, eq=False)
class Doubt(Generic[Name]):
    """A build that does not fit.

    Attributes
    ----------
    name : hashable
        The build.
    misfit : Misfit
        How far it lies from all builds that are not doubted before it.
    or_else : tuple of hashable
        Builds that did not fit either while this one was among them, and do without it: it may as
        well be one of those.
    """

    name: Name
    misfit: Misfit
    or_else: tuple[Name, ...]


@dataclass(frozen=True, eq=False)
class Doubts(Generic[Name]):
    """What does not fit among the builds of a shop.

    Attributes
    ----------
    doubted : tuple of Doubt
        The worst first.
    builds : int
        Builds that were held against one another [-].
    """

    doubted: tuple[Doubt[Name], ...]
    builds: int

    @property
    def are_many(self) -> bool:
        """Whether so many do not fit that the spreads are in doubt, and not the builds."""
        return len(self.doubted) > _MOST * self.builds


def misfit_within(pool: Pool, lesson: Lesson) -> Misfit:
    """Hold a build that a pool has learned from against all others in it.

    Parameters
    ----------
    pool : Pool
        Of all builds, this one among them.
    lesson : Lesson
        The build.

    Returns
    -------
    Misfit
        The same as by a pool from scratch without it, but for rounding.
    """
    return _misfit_within(pool, lesson, *pool.shared_for(lesson.groups))


def misfit_of_new(pool: Pool, lesson: Lesson) -> Misfit:
    """Hold a build that a pool has not learned from against all builds in it.

    Parameters
    ----------
    pool : Pool
        Of other builds.
    lesson : Lesson
        The build.

    Returns
    -------
    Misfit
        How far it lies from what they expect.
    """
    mean, covariance = pool.prior_for(lesson.groups)
    total = lesson.noise + lesson.slopes @ covariance @ lesson.slopes.T
    information = np.asarray(np.linalg.inv(total), dtype=np.float64)
    return _misfit(lesson.slopes, lesson.value - lesson.slopes @ mean, information)


def doubts_among(
    pool: Pool, lessons: Mapping[Name, Lesson], *, below: float = DOUBT_BELOW
) -> Doubts[Name]:
    """Find the builds of a shop that do not fit the others.

    Parameters
    ----------
    pool : Pool
        Of all these builds.
    lessons : mapping of hashable to Lesson
        What each says, in any order.
    below : float
        Share of shops without a bad build in which one is doubted all the same, 0 to 1 [-].

    Returns
    -------
    Doubts
        None with fewer builds than :data:`FEWEST`.

    Notes
    -----
    A build is doubted where a good one lies so far away with a chance below ``below`` over the
    number of builds (Bonferroni). Two bad builds of the same groups that agree with each other
    stand by each other, and may not be seen.
    """
    count, kept = len(lessons), dict(lessons)
    found: list[tuple[Name, Misfit]] = []
    suspects: list[set[Name]] = []
    while len(kept) >= FEWEST and len(found) <= _MOST * count:
        fits = _misfits(pool, kept)
        odd = {name for name, fit in fits.items() if fit.chance * count < below}
        if not odd:
            break
        # The chance of what lies very far is nought; the distance still tells the worst.
        worst = min(odd, key=lambda name: (fits[name].chance, -fits[name].square, str(name)))
        found.append((worst, fits[worst]))
        suspects.append(odd)
        del kept[worst]
        pool = pool_of(pool.spreads, pool.mean, kept.values())
    taken = {name for name, _ in found}
    return Doubts(
        tuple(
            Doubt(name, fit, tuple(sorted(odd - taken, key=str)))
            for (name, fit), odd in zip(found, suspects, strict=True)
        ),
        count,
    )


def _misfits(pool: Pool, lessons: Mapping[Name, Lesson]) -> dict[Name, Misfit]:
    """Hold each build against all others; what is known of the same groups is asked once."""
    shared: dict[Groups, tuple[Floats, Floats]] = {}
    found: dict[Name, Misfit] = {}
    for name, lesson in lessons.items():
        if lesson.groups not in shared:
            shared[lesson.groups] = pool.shared_for(lesson.groups)
        found[name] = _misfit_within(pool, lesson, *shared[lesson.groups])
    return found


def _misfit_within(pool: Pool, lesson: Lesson, mean: Floats, covariance: Floats) -> Misfit:
    named = pool.spreads.members(lesson.groups)
    slopes, residual = lesson.whitened(mean, pool.spreads.own(named))
    left = np.eye(residual.size) - slopes @ covariance @ slopes.T
    # The pool without it misses it by left^-1 @ residual, of covariance left^-1.
    missed = np.asarray(np.linalg.solve(left, residual), dtype=np.float64)
    return _misfit(slopes, missed, left)


def _misfit(slopes: Floats, missed: Floats, information: Floats) -> Misfit:
    """Squared distance of what was missed, and what single unknowns would explain of it."""
    pull = information @ missed
    square = float(missed @ pull)
    told = np.einsum("mp,mn,np->p", slopes, information, slopes)
    gained = np.divide((slopes.T @ pull) ** 2, told, out=np.zeros_like(told), where=told > 0.0)
    explains = gained / square if square > 0.0 else np.zeros_like(gained)
    return Misfit(square, missed.size, np.minimum(explains, 1.0))
