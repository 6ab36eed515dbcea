"""Relations of preposterior chances: more readings never harm, scale, mirror, periods."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandwright.statistics.preposterior import chance_by_steps, left_after

SEEDS = st.integers(0, 10_000)
SIZES = st.floats(0.01, 3.0)
ERRORS = st.floats(-3.0, 3.0)
STEPS = st.floats(0.05, 3.0)
FEW = settings(max_examples=120, deadline=None)


def chance_after(output, rows, variances, error, tolerance, step) -> float:
    """Chance with readings, from slopes along unit directions."""
    before, left = float(np.linalg.norm(output)), left_after(output, rows, variances)
    return chance_by_steps(error, math.sqrt(max(before**2 - left**2, 0.0)), left, tolerance, step)


@FEW
@given(SEEDS, ERRORS, SIZES, STEPS)
def test_a_reading_is_never_worth_less_than_nothing(seed, error, tolerance, step) -> None:
    """Each further reading raises the chance or leaves it, in any order."""
    generator = np.random.default_rng(seed)
    output, rows = generator.standard_normal(4), generator.standard_normal((3, 4))
    variances = generator.uniform(0.01, 5.0, 3)
    order = generator.permutation(3)
    chances = [
        chance_after(output, rows[order[:n]], variances[order[:n]], error, tolerance, step)
        for n in range(4)
    ]
    assert all(b >= a - 1e-7 for a, b in pairwise(chances))
    assert 0.0 <= chances[0] and chances[-1] <= 1.0


@FEW
@given(ERRORS, SIZES, SIZES, SIZES, STEPS, st.floats(0.01, 100.0))
def test_the_unit_of_length_does_not_matter(error, moved, left, tolerance, step, scale) -> None:
    """All lengths in another unit: the same chance."""
    lengths = (error, moved, left, tolerance, step)
    scaled = (scale * each for each in lengths)
    assert chance_by_steps(*scaled) == pytest.approx(chance_by_steps(*lengths), abs=1e-9)


@FEW
@given(ERRORS, SIZES, SIZES, SIZES, STEPS, st.integers(-5, 5))
def test_whole_steps_and_mirrors_do_not_matter(error, moved, left, tolerance, step, steps) -> None:
    """A line off by whole steps more, or short in place of long, is corrected as well."""
    now = chance_by_steps(error, moved, left, tolerance, step)
    assert chance_by_steps(-error, moved, left, tolerance, step) == pytest.approx(now, abs=1e-7)
    further = error + steps * step
    assert chance_by_steps(further, moved, left, tolerance, step) == pytest.approx(now, abs=1e-7)


@FEW
@given(ERRORS, SIZES, SIZES, SIZES, STEPS, st.floats(0.0, 2.0))
def test_wider_is_easier_and_less_sure_is_harder(error, moved, left, tolerance, step, more) -> None:
    """In tolerance, and in what stays unknown."""
    now = chance_by_steps(error, moved, left, tolerance, step)
    assert chance_by_steps(error, moved, left, tolerance + more, step) >= now - 1e-9
    if tolerance >= 0.5 * step:
        assert chance_by_steps(error, moved, left + more, tolerance, step) <= now + 1e-9


@FEW
@given(SEEDS)
def test_readings_may_come_together_or_one_by_one(seed) -> None:
    """Two readings at once leave what the mean of them leaves when they are alike."""
    generator = np.random.default_rng(seed)
    output, row = generator.standard_normal(3), generator.standard_normal((1, 3))
    noise = float(generator.uniform(0.01, 5.0))
    twice = left_after(output, np.repeat(row, 2, axis=0), [noise, noise])
    assert twice == pytest.approx(left_after(output, row, [0.5 * noise]), rel=1e-9)
