"""The table of wear and age: each source for itself, complete, in a known unit."""

from __future__ import annotations

import pytest

from strandwright.reference.wear import limits_for, wear_limits


def test_every_row_has_its_source_and_words():
    """Nothing is told without saying who tells it."""
    for limit in wear_limits():
        assert limit.said
        assert limit.source
        assert limit.kind in {"published", "measured", "practice", "memory"}
        if limit.low is not None:
            assert limit.high is not None
            assert 0.0 < limit.low <= limit.high
            assert limit.unit in {"s", "1"}


def test_sources_that_disagree_stand_beside_each_other():
    """Ages from half a year to four years, none of them a mean of others."""
    ages = limits_for("compound", "age")
    ends = {(limit.low, limit.high) for limit in ages}
    assert len(ends) == len(ages) >= 6
    assert min(low for low, _ in ends if low) < 0.6 * 365 * 86400
    assert max(high for _, high in ends if high) > 3.9 * 365 * 86400


@pytest.mark.parametrize("bow", ["recurve", "longbow", "compound", "crossbow"])
def test_each_kind_of_bow_is_told_of(bow):
    """Age, settling, wax, a look over and when to stop."""
    for about in ("age", "settle", "wax", "inspect", "stop"):
        assert limits_for(bow, about), about


def test_a_count_of_shots_is_told_of_crossbows_alone():
    """The one claim found is of a worn rail."""
    assert not limits_for("recurve", "shots")
    (limit,) = limits_for("crossbow", "shots")
    assert (100.0, "1") == (limit.low, limit.unit)
    assert "rail" in limit.note
