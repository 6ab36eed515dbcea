"""Wilson's interval against a table of Newcombe, Statistics in Medicine 17 (1998) 857-872."""

from __future__ import annotations

import pytest

from strandwright.statistics.rate import rate_of


@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_the_score_interval_is_that_of_the_table(count, of, low, high):
    """Table I there, method 3, to its four places; the figures are from memory of it."""
    rate = rate_of(count, of)
    assert pytest.approx((low, high), abs=5e-5) == (rate.low, rate.high)


def test_of_none_nothing_is_known_and_ends_are_held():
    """Never and always stay within what can be."""
    assert (0.0, 1.0) == (rate_of(0, 0).low, rate_of(0, 0).high)
    assert 1.0 == rate_of(5, 5).high
    for of in (1, 7, 400):
        for count in range(0, of + 1, max(of // 7, 1)):
            rate = rate_of(count, of)
            assert 0.0 <= rate.low <= rate.mean <= rate.high <= 1.0
