"""The four hundred builds of the validation page, and four hundred that nobody has looked at."""

from __future__ import annotations

import pytest

from simulated_bench.table import SHORT, as_markdown, build_many, readings_share, share


@pytest.mark.parametrize("seeds", [range(400), range(400, 800)])
def test_four_hundred_builds(capsys, seeds):
    """The table is printed; what the suite finds holds of builds that were never seen."""
    rows = build_many(seeds)
    with capsys.disabled():
        print(f"\n{as_markdown(rows)}")  # noqa: T201
    assert share(rows, "landed") > share(rows, "rule_landed") + 0.35
    assert share([r for r in rows if r.length <= SHORT], "landed") >= 0.9
    assert 0.92 <= readings_share(rows) <= 0.98
