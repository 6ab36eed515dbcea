"""Preposterior chances: against draws of the linear normal model, in the limits, in order."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from strandwright.errors import InputError
from strandwright.statistics.preposterior import (
    chance_by_steps,
    left_after,
    unit_normal_loss,
)

DRAWS = 200_000


def drawn(seed, output, rows, variances, error, tolerance, step):
    """Share within tolerance: truth and readings drawn, the posterior mean found by precisions."""
    generator = np.random.default_rng(seed)
    z = generator.standard_normal((DRAWS, output.size))
    read = z @ rows.T + generator.standard_normal((DRAWS, len(rows))) * np.sqrt(variances)
    precision = np.eye(output.size) + rows.T @ (rows / variances[:, None])
    means = np.linalg.solve(precision, rows.T @ (read / variances).T).T
    expected = error + means @ output
    corrected = step * np.round(expected / step) if step else expected
    return float(np.mean(np.abs(error + z @ output - corrected) <= tolerance))


@pytest.mark.parametrize("seed", range(8))
def test_the_chance_is_that_of_drawn_builds(seed):
    """Several unknowns, several readings, any step: the share of draws, within its errors."""
    generator = np.random.default_rng([7, seed])
    unknowns, readings = int(generator.integers(2, 7)), int(generator.integers(1, 4))
    output = generator.standard_normal(unknowns)
    rows = generator.standard_normal((readings, unknowns))
    variances = generator.uniform(0.05, 4.0, readings)
    error, step = float(generator.normal()), float(generator.choice([0.1, 1.0, 4.0]))
    before = float(np.linalg.norm(output))
    left = left_after(output, rows, variances)
    moved = math.sqrt(before**2 - left**2)
    tolerance = float(generator.uniform(0.3, 1.5)) * left
    told = chance_by_steps(error, moved, left, tolerance, step)
    share = drawn(seed, output, rows, variances, error, tolerance, step)
    assert told == pytest.approx(share, abs=4.0 * math.sqrt(told * (1.0 - told) / DRAWS) + 1e-6)


@pytest.mark.parametrize("moved", [0.05, 0.3, 0.99, 1.01])
@pytest.mark.parametrize("left", [0.02, 0.5])
@pytest.mark.parametrize("tolerance", [0.2, 0.9])
def test_the_integral_is_that_of_scipy(moved, left, tolerance):
    """Either side of the width from which the remainder is taken as even over the step."""
    error = 0.37

    def part(x):
        rest = x - round(x)
        inside = norm.cdf((tolerance - rest) / left) - norm.cdf((-tolerance - rest) / left)
        return inside * norm.pdf(x, error, moved)

    cells = np.arange(math.floor(error - 9 * moved) - 0.5, error + 9 * moved + 1.0)
    edges = [tolerance, -tolerance, 0.0]
    expected = sum(
        quad(part, a, a + 1.0, points=[a + 0.5 + e for e in edges if abs(e) < 0.5], limit=200)[0]
        for a in cells
    )
    assert chance_by_steps(error, moved, left, tolerance, 1.0) == pytest.approx(expected, abs=2e-7)


def test_a_reading_that_tells_nothing_changes_nothing():
    """Slopes of zero, or noise without end: the same uncertainty, the same chance."""
    output = np.array([1.0, 0.5])
    before = left_after(output, np.zeros((0, 2)), [])
    assert before == pytest.approx(math.hypot(1.0, 0.5))
    assert left_after(output, np.zeros((1, 2)), [1.0]) == pytest.approx(before)
    assert left_after(output, [[1.0, 0.5]], [1e18]) == pytest.approx(before)
    assert left_after(output, [[0.5, -1.0]], [1e-12]) == pytest.approx(before)
    now = chance_by_steps(0.2, 0.0, before, 0.8, 0.5)
    assert chance_by_steps(0.2, 1e-12, before, 0.8, 0.5) == pytest.approx(now, abs=1e-12)
    assert now == pytest.approx(norm.cdf(0.6 / before) - norm.cdf(-1.0 / before))


def test_a_perfect_reading_is_limited_by_the_step_alone():
    """What is known exactly is right as often as half a step fits into the tolerance."""
    assert left_after([2.0, 0.0], [[1.0, 0.0]], [1e-18]) == pytest.approx(0.0, abs=1e-8)
    assert chance_by_steps(0.3, 50.0, 0.0, 0.4, 1.0) == pytest.approx(0.8)
    assert chance_by_steps(0.3, 50.0, 0.0, 0.6, 1.0) == 1.0
    assert chance_by_steps(7.0, 50.0, 0.0, 0.1, 0.0) == 1.0
    assert chance_by_steps(0.3, 0.4, 0.0, 0.6, 1.0) == pytest.approx(1.0)


def test_without_a_step_the_mean_is_corrected_away():
    """The chance is that of what is left, wherever the mean lies and however far it moves."""
    expected = norm.cdf(2.0) - norm.cdf(-2.0)
    for error, moved in ((0.0, 0.0), (5.0, 0.1), (-3.0, 9.0)):
        assert chance_by_steps(error, moved, 0.5, 1.0, 0.0) == pytest.approx(expected)


@pytest.mark.parametrize("deviate", [-3.0, -0.4, 0.0, 0.7, 2.5, 9.0])
def test_the_loss_integral_is_the_mean_of_the_excess(deviate):
    """By quadrature of max(z - d, 0)."""
    mean = quad(lambda z: (z - deviate) * norm.pdf(z), deviate, deviate + 20.0)[0]
    if deviate < 0.0:
        mean = quad(lambda z: (z - deviate) * norm.pdf(z), deviate, 12.0)[0]
    assert unit_normal_loss(deviate) == pytest.approx(mean, abs=1e-9)


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"error": math.nan}, "error"),
        ({"moved": -1.0}, "moved"),
        ({"left": math.inf}, "left"),
        ({"tolerance": -0.1}, "tolerance"),
        ({"step": math.nan}, "step"),
    ],
)
def test_what_cannot_be_is_refused(changed, field):
    """The error names what was given."""
    fair = {"error": 0.0, "moved": 1.0, "left": 1.0, "tolerance": 1.0, "step": 1.0}
    with pytest.raises(InputError) as caught:
        chance_by_steps(**(fair | changed))
    assert field == caught.value.field
