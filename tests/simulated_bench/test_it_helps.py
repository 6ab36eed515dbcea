"""Whether the program helps, at a bench whose physics it does not hold.

The benches, lines and truths are invented; what each is drawn from stands in ``world.py``. The
rule of thumb beside it: posts at the finished length and 1/4 in, twist until the tape agrees at
an unknown load (common practice, no source).
"""

from __future__ import annotations

import pytest

from simulated_bench.table import SHORT, Row, readings_share, share

#: One group, so that the builds are made by one worker only.
pytestmark = pytest.mark.xdist_group("simulated bench")


def test_more_lines_land_than_by_the_rule_of_thumb(rows: list[Row]) -> None:
    """On the very same benches the advice lands at least 25 lines of a hundred more."""
    assert share(rows, "landed") >= share(rows, "rule_landed") + 0.25


def test_most_lines_land(rows: list[Row]) -> None:
    """Eight of ten lines end within 1/16 in of the length asked, given-up ones counted in."""
    assert share(rows, "landed") >= 0.8


def test_a_proved_line_has_landed(rows: list[Row]) -> None:
    """What the acceptance rule accepts is within tolerance, 95 of a hundred at the least."""
    assert share([r for r in rows if r.proved], "landed") >= 0.95


def test_the_stated_ranges_hold_more_than_seven_of_ten(rows: list[Row]) -> None:
    """Expected readings and finished lengths lie in the ranges that were told before."""
    assert readings_share(rows) >= 0.7
    assert share([r for r in rows if r.off is not None], "finished_covered") >= 0.7


@pytest.mark.xfail(
    reason="81 % do: low-twist lines have too little take-up, rough benches no gauge; the strand "
    "share's prior is too narrow and a reading's rounding is not in its uncertainty"
)
def test_nine_of_ten_lines_to_65_in_land(rows: list[Row]) -> None:
    """The promise for lines up to 65 in."""
    assert share([r for r in rows if r.length <= SHORT], "landed") >= 0.9


@pytest.mark.xfail(
    reason="77 % of readings and 80 % of finished lengths are covered: the plan is too sure, for "
    "the same reasons"
)
def test_the_stated_ranges_are_honest(rows: list[Row]) -> None:
    """Ranges stated at 95 % hold 92 to 98 of a hundred."""
    finished = share([r for r in rows if r.off is not None], "finished_covered")
    assert 0.92 <= readings_share(rows) <= 0.98
    assert 0.92 <= finished <= 0.98
