"""Entries of a line's service: read, written, ordered, taken back."""

from __future__ import annotations

import pytest

from finished_line import Life
from strandwright.errors import InputError
from strandwright.workshop.service import (
    BODIES,
    counting,
    entry_from_table,
    service_from_table,
    service_table,
)

BODY = {
    "on-bow": {},
    "length-off": {"length": "57 1/4 in +- 1/64", "load": "100 lbf", "temperature": "68 degF"},
    "figure-on": {"figure": "brace height", "read": "7 1/8 in", "per_length": -2.5},
    "turns-changed": {"turns": -0.5},
    "off-and-on": {},
    "set-as-wanted": {},
    "waxed": {},
    "looked-over": {"seen": ["fuzzy strand"], "where": "at the peep"},
    "dry-fired": {},
    "replace-by": {"months": 24},
    "retired": {"why": "cut"},
    "taken-back": {"entry": "a" * 32},
}


def test_every_type_comes_back_as_it_was_typed():
    """Texts with their units and all, through the table of its document."""
    assert set(BODY) == set(BODIES)
    life = Life()
    rows = [life(type, 1, 20, **body) for type, body in BODY.items()]
    entries = [entry_from_table(row) for row in rows]
    again = service_from_table(service_table(entries))
    assert tuple(entries) == again
    assert [row["body"] for row in rows] == [entry.table()["body"] for entry in again]


@pytest.mark.parametrize(
    "broken",
    [
        {"id": "short"}, {"type": "moon"}, {"version": 2}, {"version": True}, {"at": "yesterday"},
        {"at": "2026-03-04T12:00:00"}, {"at": 5}, {"shots": -1}, {"shots": True}, {"shots": 1.5},
        {"shots": 10**9}, {"by": 7}, {"by": "x" * 61}, {"body": 7}, {"body": {"more": 1}},
    ],
)  # fmt: skip
def test_a_broken_entry_is_refused_in_words(broken):
    """Field, rule and remedy."""
    with pytest.raises(InputError) as refused:
        entry_from_table(Life()("waxed", 1, 20) | broken)
    assert refused.value.rule
    assert refused.value.remedy


def test_what_counts_is_in_the_order_in_which_it_happened():
    """Whatever the order in which it was written, and without what was taken back."""
    life = Life()
    late, early = life("waxed", 3, 60), life("on-bow", 0, 0)
    slip = life("dry-fired", 2, 40)
    back = life("taken-back", 4, 60, entry=slip["id"])
    entries = [entry_from_table(row) for row in (late, early, slip, back)]
    assert ["on-bow", "waxed"] == [entry.type for entry in counting(entries)]


def test_a_moment_is_kept_in_utc():
    """Wherever it was written."""
    row = Life()("waxed", 0, 5) | {"at": "2026-03-04T13:00:00+01:00"}
    assert "2026-03-04T12:00:00.000Z" == entry_from_table(row).at
