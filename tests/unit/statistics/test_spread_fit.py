"""Spread fit: variances of a shop against the most probable ones found by other means."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.linalg import block_diag
from scipy.optimize import minimize

from pooled_shop import Shop, thrown_spreads
from strandwright.errors import InputError
from strandwright.statistics.lesson import Lesson
from strandwright.statistics.pooling import pool_of
from strandwright.statistics.spread_fit import PRIOR_WEIGHT, fit_spreads
from strandwright.statistics.spreads import Spreads

LEVELS = ("shop", "lot", "builder", "build")


def less_log_probability(
    logs: NDArray[np.float64], table: Spreads, lessons: list[Lesson], weight: float
) -> float:
    """Of variances given all readings in one matrix; the widest level stays at the table's."""
    variance = np.concatenate([table.variance[:1], np.exp(logs).reshape(-1, len(table.names))])
    slopes = np.asarray(block_diag(*(lesson.slopes for lesson in lessons)))
    noise = np.asarray(block_diag(*(lesson.noise for lesson in lessons)))
    residual = np.concatenate([lesson.value for lesson in lessons])
    size, named = len(table.names), [dict(lesson.groups) | {"shop": ""} for lesson in lessons]
    between = np.zeros((size * len(lessons),) * 2)
    for i, first in enumerate(named):
        for j, second in enumerate(named):
            same = [i == j or first.get(n, 0) == second.get(n, 1) for n in table.levels]
            block = np.diag(variance[same].sum(axis=0))
            between[i * size : (i + 1) * size, j * size : (j + 1) * size] = block
    total = slopes @ between @ slopes.T + noise
    misfit = np.linalg.slogdet(total)[1] + residual @ np.linalg.solve(total, residual)
    drawn = weight * (np.log(variance[1:]) + table.variance[1:] / variance[1:]).sum()
    return 0.5 * (float(misfit) + float(drawn))


@pytest.mark.parametrize("weight", [1.0, PRIOR_WEIGHT])
def test_fitted_spreads_are_the_most_probable_ones(weight):
    """A general minimiser of the dense marginal finds the same; some builds name no lot."""
    table = Spreads(LEVELS, ("a", "b"), np.array([[1.0, 0.5], [0.5, 1.0], [0.4, 0.3], [0.2, 0.4]]))
    shop = Shop(table, 11, lots=6, scale={"lot": 0.2, "builder": 2.0})
    lessons = [*shop.builds(18), *(shop.build((("builder", "builder 1"),)) for _ in range(3))]
    fit = fit_spreads(table, shop.mean, lessons, weight=weight)
    best = minimize(
        less_log_probability,
        np.log(table.variance[1:]).ravel(),
        args=(table, lessons, weight),
        method="BFGS",
        options={"gtol": 1e-7},
    )
    assert fit.converged
    assert fit.spreads.variance[1:].ravel() == pytest.approx(np.exp(best.x), rel=2e-4)


def test_a_shop_whose_lots_are_alike_learns_that():
    """Forty lots with a fifth of the table's deviation, ten builds each: below half of it.

    What builds have of their own is as the table says, and is found so.
    """
    table = Spreads(LEVELS, ("a", "b"), np.full((4, 2), 0.5))
    shop = Shop(table, 4, lots=40, scale={"lot": 0.2})
    fit = fit_spreads(table, shop.mean, shop.builds(400))
    assert fit.converged
    lot, _, build = np.sqrt(fit.spreads.variance[1:] / 0.5)
    assert (lot < 0.5).all()
    assert build == pytest.approx([1.0, 1.0], abs=0.1)


def test_new_lots_come_out_as_widely_as_a_fitted_pool_says():
    """Lots and builds half as different as the table says: its +- is twice what comes out.

    Two hundred new builds of new lots, each reading less its forecast over the forecast's own
    deviation: 0.48 with the table's spreads, 0.85 with fitted ones, which the table still widens.
    """
    table = Spreads(LEVELS, ("a", "b", "c"), np.full((4, 3), 0.5))
    shop = Shop(table, 21, lots=40, noise=0.05, scale={"lot": 0.5, "build": 0.5, "builder": 0.5})
    lessons = shop.builds(200)
    fitted = fit_spreads(table, shop.mean, lessons).spreads
    misses: dict[str, list[float]] = {"table": [], "fitted": []}
    new = [shop.build((("lot", f"new {i}"), ("builder", "builder 1"))) for i in range(200)]
    for name, spreads in (("table", table), ("fitted", fitted)):
        pool = pool_of(spreads, shop.mean, lessons)
        for lesson in new:
            mean, covariance = pool.prior_for(lesson.groups)
            slopes = lesson.slopes[0]
            deviation = np.sqrt(slopes @ covariance @ slopes + lesson.noise[0, 0])
            misses[name].append(float(lesson.value[0] - slopes @ mean) / deviation)
    assert np.std(misses["table"]) < 0.6
    assert 0.75 < np.std(misses["fitted"]) < 1.05


def test_without_builds_the_table_stands():
    """Nothing read, nothing changed; and nothing is told of any level."""
    table = thrown_spreads(1)
    fit = fit_spreads(table, np.zeros(4), [])
    assert np.array_equal(fit.spreads.variance, table.variance)
    assert not fit.told.any()
    assert fit.converged


def test_a_parameter_nobody_reads_keeps_its_spreads():
    """Slopes of zero tell nothing, whatever the other parameters do."""
    table = Spreads(LEVELS, ("a", "b"), np.full((4, 2), 0.5))
    shop = Shop(table, 5, scale={"lot": 0.1})
    lessons = []
    for lesson in shop.builds(20):
        slopes = lesson.slopes * [1.0, 0.0]
        lessons.append(Lesson(lesson.groups, slopes, lesson.value, lesson.noise))
    fit = fit_spreads(table, shop.mean, lessons)
    assert fit.spreads.variance[:, 1] == pytest.approx(table.variance[:, 1])
    assert np.abs(fit.spreads.variance[1:, 0] / 0.5 - 1.0).max() > 0.1


def test_no_spread_falls_below_its_floor():
    """Builds that are exactly alike: without prior weight only the floor is left."""
    table = Spreads(LEVELS, ("a",), np.full((4, 1), 0.5))
    groups = [(("lot", str(i % 5)), ("builder", str(i % 3))) for i in range(30)]
    same = [Lesson(one, np.eye(1), np.zeros(1), 1e-4 * np.eye(1)) for one in groups]
    fit = fit_spreads(table, [0.0], same, weight=0.0, floor=0.01)
    assert fit.spreads.variance[1:, 0] == pytest.approx(0.005)
    drawn = fit_spreads(table, [0.0], same)
    assert (drawn.spreads.variance[1:] > fit.spreads.variance[1:]).all()


def test_the_widest_level_is_held_unless_told_otherwise():
    """One shop cannot tell how far shops differ; whoever holds nothing gets it fitted as well."""
    table = thrown_spreads(2)
    lessons = Shop(table, 6).builds(10)
    held = fit_spreads(table, np.zeros(4), lessons)
    assert np.array_equal(held.spreads.variance[0], table.variance[0])
    free = fit_spreads(table, np.zeros(4), lessons, held=())
    assert not np.array_equal(free.spreads.variance[0], table.variance[0])


def test_order_does_not_matter_and_zero_stays_zero():
    """Builds the other way round: the same to rounding; a level without spread gets none."""
    table = thrown_spreads(3)
    lessons = Shop(table, 7).builds(25)
    first = fit_spreads(table, np.zeros(4), lessons)
    second = fit_spreads(table, np.zeros(4), lessons[::-1])
    assert first.iterations == second.iterations
    assert first.spreads.variance == pytest.approx(second.spreads.variance, rel=1e-9)
    assert np.array_equal(first.spreads.variance == 0.0, table.variance == 0.0)


def test_not_having_converged_is_told():
    """One step is not enough, and the fit says so."""
    table = thrown_spreads(4)
    fit = fit_spreads(table, np.zeros(4), Shop(table, 8).builds(10), iterations=1)
    assert (fit.converged, fit.iterations) == (False, 1)


@pytest.mark.parametrize(("weight", "floor"), [(-1.0, 0.01), (1.0, 0.0), (float("nan"), 0.01)])
def test_weights_that_make_no_sense_are_refused(weight, floor):
    """A negative weight and a floor of nothing."""
    with pytest.raises(InputError):
        fit_spreads(thrown_spreads(5), np.zeros(4), [], weight=weight, floor=floor)
