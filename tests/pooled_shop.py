"""A made-up shop whose true effects are known, and its pool solved again by other means.

Builds are thrown from the model of :mod:`strandwright.statistics.pooling` itself. The peer lays all
readings of all builds into one covariance matrix and solves it whole (generalised least squares);
it shares no code with the pool.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import block_diag, cho_factor, cho_solve

from strandwright.statistics.lesson import Lesson
from strandwright.statistics.spreads import Spreads

Floats = NDArray[np.float64]
Group = tuple[str, str]
LEVELS = ("shop", "bench", "family", "fibre", "lot", "builder", "build")


class Shop:
    """Effects thrown once from given spreads, and as many builds as wanted."""

    def __init__(
        self,
        spreads: Spreads,
        seed: int,
        *,
        lots: int = 6,
        readings: int = 3,
        noise: float = 0.3,
        scale: dict[str, float] | None = None,
    ) -> None:
        self.spreads = spreads
        self.mean: Floats = np.zeros(len(spreads.names))
        self._random = np.random.default_rng(seed)
        self._lots, self._readings, self._noise = lots, readings, noise
        self._scale = scale or {}
        self._effects: dict[Group, Floats] = {}

    def effect(self, level: str, key: str) -> Floats:
        """Give the true effect of a group, thrown when it is asked for the first time."""
        if (level, key) not in self._effects:
            self._effects[level, key] = self._thrown(level)
        return self._effects[level, key]

    def _thrown(self, level: str) -> Floats:
        deviation = np.sqrt(self.spreads.variance[self.spreads.levels.index(level)])
        white = self._random.standard_normal(self.mean.size)
        return self._scale.get(level, 1.0) * deviation * white

    def groups(self) -> tuple[Group, ...]:
        """Throw the groups of one build: a lot belongs to one fibre."""
        lot = int(self._random.integers(self._lots))
        every = {
            "bench": f"bench {self._random.integers(3)}",
            "family": f"family {lot % 5 % 2}",
            "fibre": f"fibre {lot % 5}",
            "lot": f"lot {lot}",
            "builder": f"builder {self._random.integers(4)}",
        }
        return tuple((level, key) for level, key in every.items() if level in self.spreads.levels)

    def build(self, groups: Iterable[Group] | None = None) -> Lesson:
        """Throw one build and read it."""
        groups = self.groups() if groups is None else tuple(groups)
        unknown = self.mean + self._thrown(self.spreads.levels[-1])
        for level, key in ((self.spreads.levels[0], ""), *groups):
            unknown = unknown + self.effect(level, key)
        slopes = self._random.normal(size=(self._readings, self.mean.size))
        error = self._noise * self._random.standard_normal(self._readings)
        noise = self._noise**2 * np.eye(self._readings)
        return Lesson(groups, slopes, slopes @ unknown + error, noise)

    def builds(self, count: int) -> list[Lesson]:
        """Throw several builds."""
        return [self.build() for _ in range(count)]


def thrown_spreads(seed: int, count: int = 4, levels: Sequence[str] = LEVELS) -> Spreads:
    """Throw a table of variances in which about every third is zero; what builds have never is."""
    random = np.random.default_rng(seed)
    variance = random.uniform(0.1, 1.0, (len(levels), count))
    variance[:-1] *= random.random((len(levels) - 1, count)) < 0.7
    return Spreads(tuple(levels), tuple(f"x{i}" for i in range(count)), variance)


def dense_prior(
    spreads: Spreads, mean: Floats, lessons: Sequence[Lesson], groups: Iterable[Group]
) -> tuple[Floats, Floats]:
    """Mean and covariance of a new build by generalised least squares on all readings at once."""
    asked = _named(spreads, groups)
    slopes = np.asarray(block_diag(*(lesson.slopes for lesson in lessons)))
    residual = np.concatenate([lesson.value - lesson.slopes @ mean for lesson in lessons])
    noise = np.asarray(block_diag(*(lesson.noise for lesson in lessons)))
    named = [_named(spreads, lesson.groups) for lesson in lessons]
    size, between = mean.size, np.zeros((slopes.shape[1], slopes.shape[1]))
    toward = np.zeros((mean.size, slopes.shape[1]))
    for i, first in enumerate(named):
        rows = slice(i * size, (i + 1) * size)
        toward[:, rows] = np.diag(_common(spreads, asked, first))
        for j, second in enumerate(named):
            shared = spreads.variance.sum(axis=0) if i == j else _common(spreads, first, second)
            between[rows, j * size : (j + 1) * size] = np.diag(shared)
    total = cho_factor(slopes @ between @ slopes.T + noise)
    cross = toward @ slopes.T
    covariance = np.diag(spreads.variance.sum(axis=0)) - cross @ cho_solve(total, cross.T)
    return mean + cross @ cho_solve(total, residual), covariance


def _named(spreads: Spreads, groups: Iterable[Group]) -> dict[str, str]:
    return dict(groups) | {spreads.levels[0]: ""}


def _common(spreads: Spreads, first: dict[str, str], second: dict[str, str]) -> Floats:
    """Variance that two different builds have in common."""
    shared = [level in first and first[level] == second.get(level) for level in spreads.levels]
    return spreads.variance[shared].sum(axis=0)
