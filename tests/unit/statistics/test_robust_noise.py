"""Robust noise: a bad reading loses its weight, good ones keep theirs."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize

from pooled_shop import Shop, thrown_spreads
from strandwright.errors import InputError
from strandwright.statistics.lesson import Lesson
from strandwright.statistics.pooling import pool_of
from strandwright.statistics.robust_noise import DEGREES, robust_noise
from strandwright.statistics.spreads import Spreads


def weighed(lesson: Lesson, prior: np.ndarray) -> Lesson:
    """The lesson with its noise made robust by its own prior about zero."""
    found = robust_noise(lesson.slopes, lesson.value, lesson.noise, np.zeros(len(prior)), prior)
    return Lesson(lesson.groups, lesson.slopes, lesson.value, found.noise)


def with_error(lesson: Lesson, index: int, error: float) -> Lesson:
    """The lesson with one reading read wrongly."""
    value = lesson.value.copy()
    value[index] += error
    return Lesson(lesson.groups, lesson.slopes, value, lesson.noise)


def test_readings_as_expected_keep_their_weight():
    """Within one standard deviation of their fit all readings count in full."""
    noise = np.diag([0.1, 0.2, 0.1])
    found = robust_noise(np.ones((3, 1)), [0.1, -0.2, 0.0], noise, [0.0], [[1.0]])
    assert np.array_equal(found.weight, np.ones(3))
    assert np.array_equal(found.noise, noise)


def test_weights_are_those_of_their_own_residuals():
    """At the end each weight is (nu + 1)/(nu + u^2) of the fit that it makes itself."""
    slopes, value = np.ones((4, 1)), np.array([0.0, 0.3, -0.2, 2.0])
    found = robust_noise(slopes, value, 0.04 * np.eye(4), [0.0], [[1.0]])
    precision = found.weight / 0.04
    fit = (precision @ value) / (1.0 + precision.sum())
    square = (value - fit) ** 2 / 0.04
    expected = np.minimum(1.0, (DEGREES + 1.0) / (DEGREES + square))
    assert found.weight == pytest.approx(expected, rel=1e-9)
    assert found.weight[3] < 0.1


def test_the_fit_is_the_most_probable_one():
    """A general minimiser of the same tails finds the same value, from many starts."""
    value, deviation = np.array([0.1, -0.3, 6.0, 5.5, 0.2]), np.array([0.3, 0.3, 0.3, 0.5, 0.4])

    def less_log(x: np.ndarray) -> float:
        square = ((value - x[0]) / deviation) ** 2
        tail = 0.5 + 0.5 * (DEGREES + 1.0) * np.log((DEGREES + square) / (DEGREES + 1.0))
        return float(np.where(square > 1.0, tail, 0.5 * square).sum() + 0.5 * x[0] ** 2 / 9.0)

    ends = [minimize(less_log, [start]) for start in np.linspace(-2.0, 8.0, 21)]
    best = min(ends, key=lambda end: float(end.fun))
    found = robust_noise(np.ones((5, 1)), value, np.diag(deviation**2), [0.0], [[9.0]])
    precision = 1.0 / np.diagonal(found.noise)
    assert precision @ value / (1.0 / 9.0 + precision.sum()) == pytest.approx(best.x[0], abs=1e-4)


@pytest.mark.parametrize("sigma", [20.0, -20.0])
def test_a_reading_off_by_twenty_deviations_hardly_moves_a_pool(sigma):
    """Six readings of three unknowns, one off by 20 of its own deviations: a tenth at most.

    Over all thirty builds: how far the pool moves, against what the same error does unweighed.
    """
    spreads = Spreads(("shop", "lot", "build"), ("a", "b", "c"), np.full((3, 3), 0.3))
    prior = np.diag(spreads.variance.sum(axis=0))
    lessons = Shop(spreads, 3, lots=5, readings=6, noise=0.3).builds(30)
    good = [weighed(lesson, prior) for lesson in lessons]
    deviation = np.sqrt(np.diagonal(pool_of(spreads, np.zeros(3), good).effect("shop", "")[1]))
    start = pool_of(spreads, np.zeros(3), good).effect("shop", "")[0]
    plain = pool_of(spreads, np.zeros(3), lessons).effect("shop", "")[0]
    robust, unweighed = [], []
    for index, lesson in enumerate(lessons):
        bad = with_error(lesson, 2, sigma * 0.3)
        swapped = [*good[:index], weighed(bad, prior), *good[index + 1 :]]
        moved = pool_of(spreads, np.zeros(3), swapped).effect("shop", "")[0] - start
        robust.append(np.abs(moved / deviation).max())
        swapped = [*lessons[:index], bad, *lessons[index + 1 :]]
        moved = pool_of(spreads, np.zeros(3), swapped).effect("shop", "")[0] - plain
        unweighed.append(np.abs(moved / deviation).max())
    assert np.median(robust) < 0.1 * np.median(unweighed)
    assert np.mean(robust) < 0.25 * np.mean(unweighed)


def test_a_reading_far_from_all_that_was_open_is_doubted():
    """Alone in telling of its unknown and 100 times finer: 2 deviations are news, 20 an error.

    Of what was open before, that is. The error is left to move its unknown by a third of one.
    """
    slopes, noise, prior = np.eye(2), 1e-4 * np.eye(2), np.eye(2)
    assert robust_noise(slopes, [0.0, 2.0], noise, [0.0, 0.0], prior).weight[1] == 1.0
    wrong = robust_noise(slopes, [0.0, 20.0], noise, [0.0, 0.0], prior)
    assert wrong.weight[0] == 1.0
    assert 20.0 / (1.0 + wrong.noise[1, 1]) < 0.35


def test_correlations_stay():
    """Noise is scaled from both sides: correlations, and positive definiteness with them, stay."""
    noise = np.array([[1.0, 0.6, 0.6], [0.6, 1.0, 0.6], [0.6, 0.6, 1.0]])
    found = robust_noise(np.ones((3, 1)), [0.0, 0.5, 15.0], noise, [0.0], [[1.0]])
    deviation = np.sqrt(np.diagonal(found.noise))
    assert found.noise / np.outer(deviation, deviation) == pytest.approx(noise)
    assert found.weight[2] < 0.1 and deviation[2] > 3.0


def test_order_of_readings_does_not_matter():
    """The same readings the other way round get the same weights."""
    lesson = with_error(Shop(thrown_spreads(4), 9, readings=5).build(), 1, 8.0)
    first = robust_noise(lesson.slopes, lesson.value, lesson.noise, np.zeros(4), np.eye(4))
    back = slice(None, None, -1)
    second = robust_noise(
        lesson.slopes[back], lesson.value[back], lesson.noise, np.zeros(4), np.eye(4)
    )
    assert first.weight == pytest.approx(second.weight[back], rel=1e-6)


def test_no_readings_no_weights():
    """A build without readings has nothing to doubt."""
    found = robust_noise(np.zeros((0, 2)), [], np.zeros((0, 0)), np.zeros(2), np.eye(2))
    assert found.weight.shape == (0,) and found.noise.shape == (0, 0)


def test_noise_of_nothing_is_refused():
    """Readings need an uncertainty, and the tails need a width."""
    with pytest.raises(InputError, match="above 0"):
        robust_noise(np.ones((1, 1)), [1.0], [[0.0]], [0.0], [[1.0]])
    with pytest.raises(InputError, match="above 0"):
        robust_noise(np.ones((1, 1)), [1.0], [[1.0]], [0.0], [[1.0]], degrees=0.0)
