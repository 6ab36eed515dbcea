"""Whether the program helps, at a bench whose physics it does not hold.

The benches, lines and truths are invented; what each is drawn from stands in ``world.py``. The
rule of thumb beside it: posts at the finished length and 1/4 in, twist until the tape agrees at
an unknown load (common practice, no source).
"""

from __future__ import annotations

from simulated_bench.table import SHORT, Row, readings_share, share


def test_more_lines_land_than_by_the_rule_of_thumb(rows: list[Row]) -> None:
    """On the very same benches the advice lands at least 40 lines of a hundred more."""
    assert share(rows, "landed") >= share(rows, "rule_landed") + 0.4


def test_nine_of_ten_lines_to_65_in_land(rows: list[Row]) -> None:
    """The promise for lines up to 65 in: within 1/16 in, given-up ones counted as missed."""
    assert share([r for r in rows if r.length <= SHORT], "landed") >= 0.9


def test_a_proved_line_has_landed(rows: list[Row]) -> None:
    """What the acceptance rule accepts is within tolerance, 97 of a hundred at the least."""
    proved = [r for r in rows if r.proved]
    assert len(proved) >= len(rows) / 2
    assert share(proved, "landed") >= 0.97


def test_the_stated_ranges_are_honest(rows: list[Row]) -> None:
    """Ranges stated at 95 % hold 92 to 98 of a hundred, of readings and of finished lengths."""
    finished = share([r for r in rows if r.off is not None], "finished_covered")
    assert 0.92 <= readings_share(rows) <= 0.98
    assert 0.92 <= finished <= 0.98
