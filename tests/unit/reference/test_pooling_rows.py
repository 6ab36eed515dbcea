"""How the spread of each unknown is parted over a shop: every unknown has its row, each adds up."""

from __future__ import annotations

import pytest

from strandwright.line.unknowns import HEARD, LAY, UNKNOWNS
from strandwright.reference.pooling import LEVELS, pooled_spreads


def test_every_unknown_has_a_row_and_no_row_is_of_nothing():
    """The line model's unknowns, loads that are heard, and what is of a laid-in line alone."""
    laid = {"hand_pull", "loop_place"}
    assert set(pooled_spreads()) == {name for name, _, _ in (*UNKNOWNS, HEARD, LAY)} | laid


@pytest.mark.parametrize("row", pooled_spreads().values(), ids=lambda r: r.name)
def test_shares_add_up_and_say_where_they_come_from(row):
    """Nothing is lost of a variance or added to it; an estimate is called one."""
    assert len(row.shares) == len(LEVELS)
    assert sum(row.shares) == pytest.approx(1.0)
    assert min(row.shares) >= 0.0
    assert row.kind == "memory"
    assert row.source
    assert row.note.endswith(".")


def test_what_belongs_to_a_bench_teaches_no_other_bench():
    """Gauge, tape and posts are the bench's own; the day's warmth is nobody's."""
    rows = pooled_spreads()
    for name in ("gauge", "tape_scale", "post_stiffness"):
        shares = dict(zip(LEVELS, rows[name].shares, strict=True))
        assert shares["bench"] >= 0.9, name
        assert shares["shop"] == shares["fibre"] == shares["lot"] == 0.0
    assert rows["warmth"].shares[-1] == 1.0
