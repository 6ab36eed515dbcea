"""Speed of a shop's pool with the packaged table, beside dense mixed-model equations in SciPy.

The peer carries all effects with any spread in one matrix (Henderson's equations: information of
all builds plus the unit matrix, effects scaled) and solves it by SciPy's Cholesky; it answers the
same question. 3 benches, 5 fibres, 60 lots, 4 builders; 27 unknowns, 8 readings a build.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable, Sequence

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve

from pooled_shop import LEVELS, Group, Shop
from strandwright.line.unknowns import UNKNOWNS
from strandwright.reference.pooling import pooled_spreads
from strandwright.statistics.lesson import Lesson
from strandwright.statistics.pooling import Pool, pool_of
from strandwright.statistics.robust_noise import robust_noise
from strandwright.statistics.spread_fit import fit_spreads
from strandwright.statistics.spreads import Spreads

BUILDS, READINGS = 1000, 8
ONE_UPDATE, FROM_SCRATCH = 0.005, 2.0


def say(name: str, spent: Sequence[float], beside: float | None = None) -> float:
    """Print the median and the 99th percentile, and their ratio to a peer's time."""
    median, high = statistics.median(spent), float(np.quantile(spent, 0.99))
    ratio = "" if beside is None else f"  x{median / beside:.3f} of the peer"
    sys.stdout.write(f"\n{name}: median {1e3 * median:.2f} ms, p99 {1e3 * high:.2f} ms{ratio}\n")
    return median


def timed(act: Callable[[], object], runs: int) -> list[float]:
    """Give the times of several runs [s]."""
    spent: list[float] = []
    for _ in range(runs):
        start = time.perf_counter()
        act()
        spent.append(time.perf_counter() - start)
    return spent


class Henderson:
    """All effects in one matrix."""

    def __init__(self, spreads: Spreads, lessons: Sequence[Lesson]) -> None:
        self.spreads = spreads
        self.deviation = np.sqrt(spreads.variance)
        self.place: dict[Group, slice] = {}
        size = 0
        for group in dict.fromkeys(
            group for lesson in lessons for group in self.named(lesson.groups)
        ):
            count = int(np.count_nonzero(self.deviation[LEVELS.index(group[0])]))
            self.place[group] = slice(size, size + count)
            size += count
        rows = [self.rows(lesson, size) for lesson in lessons]
        design = np.concatenate([slopes for slopes, _ in rows])
        self.information = np.eye(size) + design.T @ design
        self.vector = design.T @ np.concatenate([residual for _, residual in rows])

    def named(self, groups: Sequence[Group]) -> tuple[Group, ...]:
        """The groups, and the shop."""
        return (("shop", ""), *groups)

    def onto(self, slopes: NDArray[np.float64], groups: Sequence[Group], size: int):
        """Slopes by all scaled effects."""
        wide = np.zeros((len(slopes), size))
        for group in self.named(groups):
            deviation = self.deviation[LEVELS.index(group[0])]
            active = np.flatnonzero(deviation)
            wide[:, self.place[group]] = slopes[:, active] * deviation[active]
        return wide

    def rows(self, lesson: Lesson, size: int):
        """One build's scaled readings."""
        own = lesson.noise + (lesson.slopes * self.spreads.variance[-1]) @ lesson.slopes.T
        root = np.linalg.inv(np.linalg.cholesky(own))
        return root @ self.onto(lesson.slopes, lesson.groups, size), root @ lesson.value

    def with_build(self, lesson: Lesson) -> None:
        """One build more."""
        slopes, residual = self.rows(lesson, self.vector.size)
        self.information += slopes.T @ slopes
        self.vector += slopes.T @ residual

    def prior_for(self, groups: Sequence[Group]):
        """Mean and covariance of a build of known groups."""
        onto = self.onto(np.eye(self.spreads.variance.shape[1]), groups, self.vector.size)
        factor = cho_factor(self.information, lower=True)
        covariance = onto @ cho_solve(factor, onto.T) + np.diag(self.spreads.variance[-1])
        return onto @ cho_solve(factor, self.vector), covariance


@pytest.fixture(scope="module")
def shop() -> Shop:
    """The packaged table over the line model's unknowns, in standardised units."""
    table, names = pooled_spreads(), tuple(name for name, *_ in UNKNOWNS)
    spreads = Spreads(LEVELS, names, np.array([table[name].shares for name in names]).T)
    return Shop(spreads, 1, lots=60, readings=READINGS)


@pytest.fixture(scope="module")
def lessons(shop: Shop) -> list[Lesson]:
    """A thousand builds."""
    return shop.builds(BUILDS)


@pytest.fixture(scope="module")
def pool(shop: Shop, lessons: list[Lesson]) -> Pool:
    """What they taught."""
    return pool_of(shop.spreads, shop.mean, lessons)


@pytest.fixture(scope="module")
def peer(shop: Shop, lessons: list[Lesson]) -> Henderson:
    """The same in one matrix."""
    return Henderson(shop.spreads, lessons)


def test_one_update(shop: Shop, pool: Pool, peer: Henderson) -> None:
    """Learning from one build and asking for the next one's prior, together within 5 ms."""
    new = shop.builds(60)
    queue = iter(new)

    def ours() -> object:
        lesson = next(queue)
        return pool.with_build(lesson).prior_for(lesson.groups)

    again = iter(new[:6])

    def theirs() -> object:
        lesson = next(again)
        peer.with_build(lesson)
        return peer.prior_for(lesson.groups)

    beside = say("peer, one build and one prior", timed(theirs, 6))
    median = say("one build and one prior", timed(ours, 60), beside)
    assert median < ONE_UPDATE
    assert median < beside


def test_from_scratch(shop: Shop, lessons: list[Lesson]) -> None:
    """A thousand builds within 2 s, with the same answer as the peer's."""
    groups = lessons[0].groups
    answers: list[tuple[NDArray[np.float64], NDArray[np.float64]]] = []
    act = [
        lambda: answers.append(Henderson(shop.spreads, lessons).prior_for(groups)),
        lambda: answers.append(pool_of(shop.spreads, shop.mean, lessons).prior_for(groups)),
    ]
    beside = say("peer, a thousand builds", timed(act[0], 1))
    median = say("a thousand builds", timed(act[1], 3), beside)
    assert median < FROM_SCRATCH
    assert median < 2.0 * beside
    for theirs, ours in zip(answers[0], answers[1], strict=True):
        assert ours == pytest.approx(theirs, rel=1e-8, abs=1e-9)


def test_doubting_the_readings_of_a_build(lessons: list[Lesson]) -> None:
    """Weights of one build's readings take less than its update may."""
    one = lessons[0]
    size = one.slopes.shape[1]

    def act() -> object:
        return robust_noise(one.slopes, one.value, one.noise, np.zeros(size), np.eye(size))

    assert say("weights of one build's readings", timed(act, 60)) < ONE_UPDATE


def test_fitting_spreads(shop: Shop, lessons: list[Lesson]) -> None:
    """Spreads of a hundred builds, beside one pool of them: each of some twenty steps makes one."""
    some = lessons[:100]
    one = say("pool of a hundred builds", timed(lambda: pool_of(shop.spreads, shop.mean, some), 5))
    spent = timed(lambda: fit_spreads(shop.spreads, shop.mean, some), 1)
    assert say("spreads of a hundred builds", spent) < 400.0 * one
