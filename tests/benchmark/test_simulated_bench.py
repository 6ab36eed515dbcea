"""The four hundred builds of the page, four hundred that were never seen, and the table of each."""

from __future__ import annotations

import pytest

from simulated_bench import test_it_helps as promises
from simulated_bench.table import SHORT, Row, as_markdown, build_many, readings_share, share


def _told(seeds: range, capsys: pytest.CaptureFixture[str]) -> list[Row]:
    rows = build_many(seeds)
    with capsys.disabled():
        print(f"\n{as_markdown(rows)}")  # noqa: T201
    return rows


def test_the_four_hundred_builds_of_the_page(capsys: pytest.CaptureFixture[str]):
    """What the suite asks of the first of them holds of all."""
    rows = _told(range(400), capsys)
    promises.test_more_lines_land_than_by_the_rule_of_thumb(rows)
    promises.test_nine_of_ten_lines_to_65_in_land(rows)
    promises.test_a_proved_line_has_landed(rows)
    promises.test_the_stated_ranges_are_honest(rows)


def test_four_hundred_other_builds(capsys: pytest.CaptureFixture[str]):
    """What the suite finds holds of builds that were never seen."""
    rows = _told(range(400, 800), capsys)
    assert share(rows, "landed") > share(rows, "rule_landed") + 0.35
    assert share([r for r in rows if r.length <= SHORT], "landed") >= 0.9
    assert 0.92 <= readings_share(rows) <= 0.98
