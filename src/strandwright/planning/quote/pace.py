"""Pace: how fast a shop works, learned from the logs of its builds beside what practice says.

The minutes of an act are log-normal. Their logarithm is what practice says, and on top of it the
pace of shop, builder and build, which is the same for every act, and what this shop has of its own
at this act; what is left differs from one time to the next:

.. math:: \\ln t = \\ln T_a - \\tfrac12 s_a^2 + s_a (p_{shop} + p_{builder} + p_{build} + e_a + o)

with :math:`s_a` the spread that practice gives the act and variances of the five that add up to 1.
So a shop without builds has the figures of practice, with their spread. All are estimated together
by :mod:`strandwright.statistics.pooling`; times with a pause in them are found on the way.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from strandwright.planning.estimate import Estimate
from strandwright.planning.quote.pauses import weight_of
from strandwright.planning.quote.timings import Timing
from strandwright.reference import practice
from strandwright.statistics.lesson import Lesson
from strandwright.statistics.pooling import Pool, pool_of
from strandwright.statistics.spreads import Spreads

Floats = NDArray[np.float64]
Acts = Sequence[tuple[str, float]]

#: Rounds in which times and the doubt about each settle; a handful is enough [-]
_ROUNDS = 12
_PACE = "pace"
#: Hands that nobody named are taken for the same ones
_UNNAMED = "unnamed"


@dataclass(frozen=True)
class TimedBuild:
    """What the log of one build says of time.

    Attributes
    ----------
    builder : str
        Whose hands built it; empty where nobody said.
    timings : tuple of Timing
        Times of its acts.
    """

    builder: str
    timings: tuple[Timing, ...]


@dataclass(frozen=True, eq=False)
class Pace:
    """How fast a shop works.

    Attributes
    ----------
    names : tuple of str
        The pace, then every act that practice or a log knows.
    pool : Pool
        What the builds taught.
    builds : int
        Builds that taught something [-]
    timed : dict of str to int
        Times behind each act [-]
    paused : int
        Times that rather hold a pause than not [-]
    """

    names: tuple[str, ...]
    pool: Pool
    builds: int
    timed: dict[str, int]
    paused: int

    @cached_property
    def _places(self) -> dict[str, int]:
        return {name: place for place, name in enumerate(self.names)}

    def slopes(self, acts: Acts) -> Floats:
        """Give by what each act's logarithm grows with pace and with its own.

        Parameters
        ----------
        acts : sequence of (str, float)
            Rows of practice with amounts [-]

        Returns
        -------
        ndarray, shape (acts, names)
            Slopes [-]
        """
        found = np.zeros((len(acts), len(self.names)))
        for line, (row, _) in enumerate(acts):
            found[line, [0, self._places[row]]] = spread_of(row)
        return found

    def minutes(self, acts: Acts, builder: str = "") -> tuple[tuple[Estimate, ...], Estimate]:
        """Foretell how long acts take, each one and all together.

        Parameters
        ----------
        acts : sequence of (str, float)
            Rows of practice with amounts [-]
        builder : str
            Whose hands do it; empty where nobody said.

        Returns
        -------
        each : tuple of Estimate
            In their order [s]
        whole : Estimate
            Their sum: whoever is slow at one is so at all, and the +- says so [s]
        """
        if not acts:
            return (), Estimate(0.0, 0.0, "s")
        mean, covariance = self.pool.prior_for(_groups(builder))
        slopes = self.slopes(acts)
        among = slopes @ covariance @ slopes.T
        own = np.diagonal(among) + _occasion(acts)
        expected = np.exp(_expected_logs(acts) + slopes @ mean + 0.5 * own)
        shared = among + np.diag(_occasion(acts))
        spread = np.expm1(shared) * np.outer(expected, expected)
        each = tuple(
            Estimate(float(t), math.sqrt(float(s)), "s")
            for t, s in zip(expected, np.diagonal(spread), strict=True)
        )
        return each, Estimate(float(expected.sum()), math.sqrt(float(spread.sum())), "s")


def pace_of(builds: Sequence[TimedBuild], acts: Sequence[str] = ()) -> Pace:
    """Learn a shop's pace.

    Parameters
    ----------
    builds : sequence of TimedBuild
        Its builds, in any order; none is a shop that begins.
    acts : sequence of str
        Rows of practice that are to be foretold, besides those of the builds.

    Returns
    -------
    Pace
        What is known.
    """
    rows = {row for build in builds for timing in build.timings for row, _ in timing.acts}
    names = (_PACE, *sorted(rows | set(acts)))
    spreads, told = _spreads(names), [build for build in builds if build.timings]
    empty = Pace(names, pool_of(spreads, np.zeros(len(names))), 0, {}, 0)
    pace, weights = empty, list[Floats]()
    for _ in range(_ROUNDS if told else 0):
        # Doubted against practice first, then against what the shop's other times say.
        weights = [_doubted(pace, build) for build in told]
        lessons = [_lesson(empty, b, w) for b, w in zip(told, weights, strict=True)]
        pace = Pace(names, pool_of(spreads, empty.pool.mean, lessons), len(told), {}, 0)
    timed: dict[str, int] = {}
    for build in told:
        for timing in build.timings:
            for row in {row for row, _ in timing.acts}:
                timed[row] = timed.get(row, 0) + 1
    paused = sum(int((w < 0.5).sum()) for w in weights)
    return Pace(names, pace.pool, len(told), timed, paused)


def spread_of(row: str) -> float:
    """Give the spread of the logarithm of an act's minutes by practice.

    Parameters
    ----------
    row : str
        The row, without ``work.``.

    Returns
    -------
    float
        Standard deviation [-]
    """
    return math.sqrt(math.log1p(practice(f"work.{row}").relative_uncertainty ** 2))


def _share(name: str) -> float:
    return practice(f"minutes.share.{name}").value


def _spreads(names: tuple[str, ...]) -> Spreads:
    """Part the variances: the pace by shop, builder, build; the acts by shop alone."""
    variance = np.zeros((3, len(names)))
    variance[:, 0] = [_share(name) for name in ("pace", "builder", "build")]
    variance[0, 1:] = _share("act")
    return Spreads(("shop", "builder", "build"), names, variance, many="builder")


def _expected_logs(acts: Acts) -> Floats:
    """Logarithms of the usual times, so that the mean of a time is what practice says [-]."""
    return np.array(
        [math.log(a * practice(f"work.{row}").value) - 0.5 * spread_of(row) ** 2 for row, a in acts]
    )


def _occasion(acts: Acts) -> Floats:
    """Variance that each time of an act has of its own [-]."""
    return np.array([_share("occasion") * spread_of(row) ** 2 for row, _ in acts])


def _readings(pace: Pace, timings: Sequence[Timing], mean: Floats) -> tuple[Floats, Floats, Floats]:
    """Logarithms of times as sums over the unknowns: slopes, what stands at 0, own variance.

    The time of several acts together is not log-normal; it is laid straight at the mean.
    """
    slopes = np.zeros((len(timings), len(pace.names)))
    at_zero, variance = np.zeros(len(timings)), np.zeros(len(timings))
    for line, timing in enumerate(timings):
        each = pace.slopes(timing.acts)
        times = np.exp(_expected_logs(timing.acts) + each @ mean)
        share = times / times.sum()
        slopes[line] = share @ each
        at_zero[line] = math.log(times.sum()) - slopes[line] @ mean
        variance[line] = share**2 @ _occasion(timing.acts)
    return slopes, at_zero, variance


def _groups(builder: str) -> tuple[tuple[str, str], ...]:
    return (("builder", builder or _UNNAMED),)


def _doubted(pace: Pace, build: TimedBuild) -> Floats:
    """Weigh each time of a build by how surely no pause is in it."""
    mean, covariance = pace.pool.prior_for(_groups(build.builder))
    slopes, at_zero, variance = _readings(pace, build.timings, mean)
    open_before = np.einsum("ni,ij,nj->n", slopes, covariance, slopes)
    logs = np.log([timing.seconds for timing in build.timings])
    return weight_of(logs, at_zero + slopes @ mean, open_before + variance)


def _lesson(empty: Pace, build: TimedBuild, weights: Floats) -> Lesson:
    slopes, at_zero, variance = _readings(empty, build.timings, empty.pool.mean)
    logs = np.log([timing.seconds for timing in build.timings])
    return Lesson(_groups(build.builder), slopes, logs - at_zero, np.diag(variance / weights))
