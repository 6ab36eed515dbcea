"""Go/no-go trials as readings: the cut distribution's moments are recovered."""

from __future__ import annotations

import math

import pytest
from scipy.stats import truncnorm

from strandwright.statistics.interval import reading_of_interval


@pytest.mark.parametrize(
    ("low", "high"), [(-0.5, 0.7), (1.0, math.inf), (-math.inf, -0.3), (2.0, 2.5)]
)
def test_update_with_the_reading_gives_the_cut_moments(low: float, high: float) -> None:
    """A normal update with the reading has the truncated normal's mean and variance."""
    mean, u = 3.0, 2.0
    value, variance = reading_of_interval(mean, u, mean + u * low, mean + u * high)
    precision = 1.0 / u**2 + 1.0 / variance
    posterior = (mean / u**2 + value / variance) / precision
    cut = truncnorm(low, high, loc=mean, scale=u)
    assert posterior == pytest.approx(cut.mean(), rel=1e-9)
    assert 1.0 / precision == pytest.approx(cut.var(), rel=1e-9)


def test_no_news_has_infinite_variance() -> None:
    """An interval that was certain to hold the size says nothing."""
    assert reading_of_interval(0.0, 1.0, -math.inf, math.inf)[1] == math.inf


def test_a_surprise_is_taken_at_the_near_end() -> None:
    """A trial that was all but impossible pulls to the end of its interval."""
    value, variance = reading_of_interval(0.0, 1.0, 9.0, 10.0)
    assert value == 9.0
    assert 0.0 < variance < 1.0
