"""Log-time settling: exact lines come back exactly, and the +- is what the formulas say."""

from __future__ import annotations

import math

import numpy as np
import pytest

from strandwright.statistics.log_time import fit_log_time

TIMES = np.array([0.0, 60.0, 240.0, 600.0, 1500.0])


def test_a_straight_line_comes_back_exactly():
    """Level, slope and change of readings that lie on a line, whatever their weights."""
    values = 2.0 + 0.5 * np.log10(1.0 + TIMES / 60.0)
    fit = fit_log_time(TIMES, values, [1.0, 2.0, 0.5, 1.0, 3.0])
    assert fit is not None
    assert fit.level == pytest.approx(2.0, abs=1e-12)
    assert fit.slope == pytest.approx(0.5, abs=1e-12)
    assert fit.chi_square == pytest.approx(0.0, abs=1e-20)
    assert fit.widened == 1.0
    change, _ = fit.change(540.0, 5940.0)
    assert change == pytest.approx(0.5, abs=1e-12)  # from 10 to 100 times the start: one decade


def test_two_readings_have_the_uncertainty_of_their_difference():
    """Slope between two readings: their difference over the decades between them."""
    fit = fit_log_time([0.0, 540.0], [1.0, 1.3], [0.01, 0.04])
    assert fit is not None
    assert fit.slope == pytest.approx(0.3)
    assert math.sqrt(fit.covariance[1, 1]) == pytest.approx(math.sqrt(0.05))
    assert fit.degrees == 0
    _, spread = fit.at([0.0])
    assert spread[0] == pytest.approx(0.1)


def test_what_is_common_to_all_readings_leaves_the_slope_alone():
    """A shared offset widens the level by itself and the slope by nothing."""
    values = 0.2 * np.log10(1.0 + TIMES / 60.0)
    alone = fit_log_time(TIMES, values, np.full(5, 0.01))
    shared = fit_log_time(TIMES, values, np.full(5, 0.01), np.full((5, 5), 4.0))
    assert alone is not None
    assert shared is not None
    assert shared.covariance[1, 1] == pytest.approx(alone.covariance[1, 1])
    assert shared.covariance[0, 0] == pytest.approx(alone.covariance[0, 0] + 4.0)


def test_what_grows_with_the_settling_goes_to_the_slope_in_full():
    """An error along log-time cannot be seen in the residuals: the slope carries all of it."""
    logs = np.log10(1.0 + TIMES / 60.0)
    fit = fit_log_time(TIMES, 0.2 * logs, np.full(5, 1e-12), 0.09 * np.outer(logs, logs))
    assert fit is not None
    assert math.sqrt(fit.covariance[1, 1]) == pytest.approx(0.3, rel=1e-6)


def test_scatter_beyond_what_was_stated_widens_and_less_never_narrows():
    """Birge's ratio: the root of chi-square over the degrees of freedom, 1 at the least."""
    values = 0.2 * np.log10(1.0 + TIMES / 60.0) + np.array([0.1, -0.1, 0.1, -0.1, 0.1])
    wide = fit_log_time(TIMES, values, np.full(5, 1e-4))
    calm = fit_log_time(TIMES, values, np.full(5, 1.0))
    assert wide is not None
    assert calm is not None
    assert wide.widened == pytest.approx(math.sqrt(wide.chi_square / 3.0))
    assert wide.widened > 5.0
    assert calm.widened == 1.0
    rows = np.stack([np.ones(5), np.log10(1.0 + TIMES / 60.0)], axis=1)
    plain = np.linalg.inv(rows.T @ rows)
    assert calm.covariance == pytest.approx(plain)
    assert wide.covariance == pytest.approx(1e-4 * wide.widened**2 * plain)


def test_one_moment_tells_no_slope():
    """Neither one reading nor several at once."""
    assert fit_log_time([5.0], [1.0], [1.0]) is None
    assert fit_log_time([5.0, 5.0], [1.0, 2.0], [1.0, 1.0]) is None
