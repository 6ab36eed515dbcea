"""Four hundred builds that the suite does not make, and the table of them."""

from __future__ import annotations

from simulated_bench.table import SHORT, as_markdown, build_many, readings_share, share


def test_four_hundred_other_builds(capsys):
    """The table is printed; what the suite finds holds of builds that were never seen."""
    rows = build_many(range(400, 800))
    with capsys.disabled():
        print(f"\n{as_markdown(rows)}")  # noqa: T201
    assert share(rows, "landed") > share(rows, "rule_landed") + 0.35
    assert share([r for r in rows if r.length <= SHORT], "landed") >= 0.9
    assert 0.92 <= readings_share(rows) <= 0.98
