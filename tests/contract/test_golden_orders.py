"""Golden orders: an order written by any released version folds to the state it had then."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import pytest

from strandwright.store.open import open_store
from strandwright.workshop.events import StoredEvent, event_of_table
from strandwright.workshop.fields import Noun
from strandwright.workshop.order_state import fold

GOLDEN = Path(__file__).parent / "golden" / "orders"
NAMES = sorted(path.stem for path in GOLDEN.glob("*.jsonl"))


def tables(name: str) -> list[dict[str, Any]]:
    """Give a log as it was stored."""
    return [json.loads(line) for line in (GOLDEN / f"{name}.jsonl").read_text("utf-8").splitlines()]


def stored(name: str) -> list[StoredEvent]:
    """Give a log as a store would."""
    return [StoredEvent(table.pop("seq"), event_of_table(table)) for table in tables(name)]


def plain(value: object) -> object:
    """Give a state as plain values: quantities as typed."""
    if isinstance(value, Noun):
        return value.model_dump(mode="json", exclude_defaults=True)
    if is_dataclass(value):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    return [plain(one) for one in value] if isinstance(value, tuple) else value


@pytest.mark.parametrize("name", NAMES)
def test_a_golden_order_folds_to_its_state(name):
    """How an order stood when it was written it stands today; more may be said of it."""
    state = json.loads((GOLDEN / f"{name}.json").read_text("utf-8"))
    found = fold(stored(name))
    today = plain(found)
    assert isinstance(today, dict)
    assert state == {key: today[key] for key in state}
    assert "closed" == found.status


@pytest.mark.parametrize("name", NAMES)
def test_a_golden_order_is_read_from_a_store_as_written(name, tmp_path):
    """Through a file and back, event for event; an old body is not rewritten by being read."""
    log = tables(name)
    id = "12345678" + "0" * 24
    head = {"id": id, "kind": "order", "subject": "C1", "began_at": log[0]["at"]}
    records = [
        {"record": "log", **head},
        *(
            {"record": "event", "log": id, "seq": table["seq"],
             "event": {key: value for key, value in table.items() if key != "seq"}}
            for table in log
        ),
    ]  # fmt: skip
    store = open_store(str(tmp_path / "store.sqlite3"))
    store.take_in(records)
    assert stored(name) == list(store.events(id))
    assert records == list(store.contents())
    (row,) = store.listings("order", words="28t5cy")
    assert ("closed", "C1") == (row.status, row.owner)
    store.close()
