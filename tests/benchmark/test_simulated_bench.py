"""Four hundred simulated builds, and the table of them: what the suite does with a hundred."""

from __future__ import annotations

from simulated_bench.table import as_markdown, build_many, share


def test_four_hundred_builds(capsys):
    """The table is printed; more lines land by the advice than by the rule of thumb."""
    rows = build_many(range(400))
    with capsys.disabled():
        print(f"\n{as_markdown(rows)}")  # noqa: T201
    assert share(rows, "landed") > share(rows, "rule_landed")
