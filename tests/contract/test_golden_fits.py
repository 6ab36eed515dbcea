"""Golden logs of fits: one written by any released version folds to the state it had then."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from kept_things import AT, digits

from strandwright.store.open import open_store
from strandwright.workshop.events import StoredEvent, event_of_table
from strandwright.workshop.fit_state import fold

GOLDEN = Path(__file__).parent / "golden" / "fits"
BUILD = digits("golden build")


def stored() -> list[StoredEvent]:
    """Give the log as a store would."""
    lines = (GOLDEN / "fit-1.jsonl").read_text("utf-8").splitlines()
    rows = [json.loads(line) for line in lines]
    return [StoredEvent(row.pop("seq"), event_of_table(row)) for row in rows]


def test_a_golden_fit_folds_to_its_state():
    """Acts done, turns run up, the slip taken back, the end."""
    state = fold(stored())
    assert state.begun is not None
    assert state.ended is not None
    assert "6 7/8 in +- 1/32" == state.begun.before.brace_height.text
    assert {"change": "2026-11-28T11:00:00.000Z", "seat": "2026-11-28T12:00:00.000Z"} == state.done
    assert {"seat": "lower track dry"} == state.said
    assert pytest.approx(1.0) == state.turns(BUILD)
    assert ["6 13/16 in"] == [one.body.figures.brace_height.text for one in state.measured]
    assert (52, ("quiet",), True, 10) == (
        state.shots,
        state.notes,
        state.ended.is_right,
        state.seq,
    )


def test_a_golden_fit_is_read_from_a_store_as_written(tmp_path):
    """Through a file and back, event for event."""
    lines = (GOLDEN / "fit-1.jsonl").read_text("utf-8").splitlines()
    rows = [json.loads(line) for line in lines]
    id = digits("golden fit")
    head = {"record": "log", "id": id, "kind": "fit", "subject": "RIDGE-1", "began_at": AT}
    events = [
        {"record": "event", "log": id, "seq": row.pop("seq"), "event": row} for row in rows
    ]
    store = open_store(str(tmp_path / "store.sqlite3"))
    store.take_in([head, *events])
    assert stored() == list(store.events(id))
    assert [head, *events] == list(store.contents())
    (row,) = store.listings("fit")
    assert ("right", 52) == (row.status, row.summary["shots"])
    store.close()
