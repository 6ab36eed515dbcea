"""Golden stock: a spool and parts written by any released version fold to what they had then."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import pytest

from stock_work import identity
from strandwright.store.open import open_store
from strandwright.workshop.events import StoredEvent, event_of_table
from strandwright.workshop.fields import Noun
from strandwright.workshop.stock_state import StockState, fold

GOLDEN = Path(__file__).parent / "golden" / "stock"
NAMES = sorted(path.stem for path in GOLDEN.glob("*.jsonl"))


def tables(name: str) -> list[dict[str, Any]]:
    """Give a log as it was stored."""
    return [json.loads(line) for line in (GOLDEN / f"{name}.jsonl").read_text("utf-8").splitlines()]


def stored(name: str) -> list[StoredEvent]:
    """Give a log as a store would."""
    return [StoredEvent(table.pop("seq"), event_of_table(table)) for table in tables(name)]


def plain(value: object) -> Any:
    """Give a state as plain values: quantities as typed, numbers to seven digits."""
    if isinstance(value, Noun):
        return value.model_dump(mode="json", exclude_defaults=True)
    if is_dataclass(value):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, float):
        # What a solver finds differs between machines in digits nobody weighs.
        return float(f"{value:.7g}")
    return [plain(one) for one in value] if isinstance(value, tuple) else value


def holds(then: Any, now: Any) -> bool:
    """Say whether a state says what it said then; it may say more now."""
    if isinstance(then, dict):
        return all(key in now and holds(one, now[key]) for key, one in then.items())
    if isinstance(then, list):
        return len(then) == len(now) and all(map(holds, then, now))
    return now == pytest.approx(then, rel=1e-5) if isinstance(then, float) else now == then


@pytest.mark.parametrize("name", NAMES)
def test_golden_stock_folds_to_its_state(name):
    """What was left, promised and used when it was written is so today."""
    then = json.loads((GOLDEN / f"{name}.json").read_text("utf-8"))
    state = fold(stored(name))
    assert isinstance(state, StockState)
    assert holds(then, plain(state))
    assert not holds(then | {"place": "nowhere"}, plain(state))


@pytest.mark.parametrize("name", NAMES)
def test_golden_stock_is_read_from_a_store_as_written(name, tmp_path):
    """Through a file and back, event for event."""
    log, id = tables(name), identity(name)
    ware = fold(stored(name)).ware
    assert ware is not None
    kind = name.split("-")[0]
    head = {"id": id, "kind": kind, "subject": ware.id, "began_at": log[0]["at"]}
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
    assert [id] == [row.id for row in store.listings(kind)]
    store.close()
