"""Running estimate: one reading after another against all of them at once."""

from __future__ import annotations

import numpy as np
import pytest

from strandwright.statistics.running import Running


def problem(seed: int = 1, cases: int = 7, size: int = 5, readings: int = 3):
    """States, and readings with slopes of each case's own."""
    rng = np.random.default_rng(seed)
    root = rng.standard_normal((size, size))
    mean, covariance = rng.standard_normal(size), root @ root.T
    rows = rng.standard_normal((readings, cases, size))
    read = rng.standard_normal((readings, cases))
    variances = rng.uniform(0.1, 1.0, readings)
    return mean, covariance, rows, read, variances


def test_readings_one_by_one_are_readings_all_at_once():
    """Mean and covariance are those of the normal conditioned on all readings together."""
    mean, covariance, rows, read, variances = problem()
    known = Running.begun(mean, covariance, rows.shape[1])
    for slopes, values, variance in zip(rows, read, variances, strict=True):
        known = known.learned(slopes, values, float(variance))
    for case in range(rows.shape[1]):
        h = rows[:, case]
        gain = covariance @ h.T @ np.linalg.inv(h @ covariance @ h.T + np.diag(variances))
        np.testing.assert_allclose(
            known.mean[case], mean + gain @ (read[:, case] - h @ mean), rtol=1e-9
        )
        np.testing.assert_allclose(
            known.covariance[case], covariance - gain @ h @ covariance, atol=1e-9
        )


def test_what_is_known_exactly_learns_nothing():
    """A reading without noise of what has no spread changes nothing and divides by nothing."""
    known = Running.begun(np.array([1.0, 2.0]), np.diag([0.0, 1.0]), 3)
    after = known.learned(np.tile([1.0, 0.0], (3, 1)), np.full(3, 9.0), 0.0)
    assert np.array_equal(known.mean, after.mean)
    assert np.array_equal(known.covariance, after.covariance)


def test_a_batch_is_its_cases():
    """A case comes out the same, bit for bit, alone and among others."""
    mean, covariance, rows, read, _ = problem(cases=50)
    whole = Running.begun(mean, covariance, 50).learned(rows[0], read[0], 0.5)
    for case in (0, 17, 49):
        alone = Running.begun(mean, covariance, 1)
        alone = alone.learned(rows[0][case : case + 1], read[0][case : case + 1], 0.5)
        assert np.array_equal(whole.mean[case], alone.mean[0])
        assert whole.expected(rows[1])[case] == pytest.approx(
            alone.expected(rows[1][case : case + 1])[0], rel=1e-14
        )
