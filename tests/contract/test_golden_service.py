"""Golden logs of service: one written by any released version folds to the state it had then.

A backup that is older than these logs holds the entries of a line as a document, written whole
for each; it reads as the log that it is today.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from kept_things import AT, digits

from strandwright.errors import InputError
from strandwright.store.open import open_store
from strandwright.workshop.events import StoredEvent, event_of_table
from strandwright.workshop.service import as_event, entry_of, log_head, service_table
from strandwright.workshop.service_state import fold

GOLDEN = Path(__file__).parent / "golden" / "service"
BUILD = digits("golden build")


def tables() -> list[dict]:
    """Give the log as it was written."""
    return [json.loads(line) for line in (GOLDEN / "service-1.jsonl").read_text().splitlines()]


def stored() -> list[StoredEvent]:
    """Give the log as a store would."""
    return [StoredEvent(row.pop("seq"), event_of_table(row)) for row in tables()]


def documents() -> list[dict]:
    """Give the records of an older backup: a document for each entry, each with all before it."""
    entries = [entry_of(one.event) for one in stored()]
    return [
        {"record": "document", "kind": "service", "id": BUILD, "revision": n, "saved_at": AT,
         "put_away": False, "table": service_table(entries[:n])}
        for n in range(1, len(entries) + 1)
    ]  # fmt: skip


def test_a_golden_service_folds_to_its_state():
    """Fitted, half a turn put in, waxed once (the second was a slip), dry-fired and retired."""
    state = fold(stored())
    assert ("retired", "2026-11-01T10:00:00.000Z", 401, 0.5, 2) == (
        state.status,
        state.fitted_at,
        state.shots,
        state.turns,
        state.readings,
    )
    assert state.waxed is not None
    assert state.retired is not None
    assert state.replace_by is not None
    assert ("2026-11-07T10:00:00.000Z", 120) == (state.waxed.at, state.waxed.shots)
    assert "dry-fired; not trusted" == state.retired.why
    assert (18, 5000) == (state.replace_by.months, state.replace_by.shots)
    assert "dry-fired" in state.stop


def test_every_entry_is_the_same_there_and_back():
    """Its shots move in and out, beside those that an entry itself tells of."""
    for one in stored():
        assert one.event == as_event(entry_of(one.event))
    assert 130 == entry_of(stored()[10].event).shots


def test_an_older_backup_reads_as_the_log_of_today(store):
    """Thirteen documents become thirteen events; the same as from the log itself."""
    store.take_in(documents())
    head = log_head(BUILD, stored()[0].event.at)
    assert (head,) == store.logs("service")
    assert stored() == list(store.events(head.id))
    (row,) = store.listings("service")
    assert ("retired", BUILD, 401) == (row.status, row.owner, row.summary["shots"])


def test_a_golden_service_is_read_from_a_store_as_written(tmp_path):
    """Through a file and back, event for event."""
    head = log_head(BUILD, AT)
    record = {"record": "log", "id": head.id, "kind": "service", "subject": BUILD, "began_at": AT}
    events = [
        {"record": "event", "log": head.id, "seq": row.pop("seq"), "event": row} for row in tables()
    ]
    kept = open_store(str(tmp_path / "store.sqlite3"))
    kept.take_in([record, *events])
    assert [record, *events] == list(kept.contents())
    kept.close()


@pytest.mark.parametrize(
    "broken",
    [
        {"id": "no build"},
        {"table": {"format": 2, "entries": []}},
        {"table": {"format": 1, "entries": [{"type": "waxed"}]}},
        {"revision": 7},
    ],
)
def test_an_older_backup_that_was_changed_is_refused(store, broken):
    """Nothing of it is kept."""
    with pytest.raises(InputError):
        store.take_in([documents()[0] | broken])
    assert () == store.logs("service")
