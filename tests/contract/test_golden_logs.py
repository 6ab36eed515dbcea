"""Golden logs: a build written by any released version folds to the state it had then.

``golden/NAME.jsonl`` is a whole log as it was stored, ``golden/NAME.json`` the state it folds to;
logs of other kinds stand in a folder of their own, with a test of their own. A released pair never
changes; a new version of a type of event brings a further pair.
"""

from __future__ import annotations

import json
from dataclasses import fields
from pathlib import Path

import pytest
from kept_things import AT, a_head, a_plan, digits, text_of

from strandwright.errors import InputError, StoreUnusable
from strandwright.store.open import open_store
from strandwright.units import Entered
from strandwright.workshop import events
from strandwright.workshop.build_state import BuildState, Taken, fold
from strandwright.workshop.events import BODIES, VERSIONS, Event, StoredEvent, event_of_table
from strandwright.workshop.fields import Noun

GOLDEN = Path(__file__).parent / "golden"
NAMES = sorted(path.stem for path in GOLDEN.glob("*.jsonl"))


def tables(name: str) -> list[dict]:
    """Give a log as it was stored."""
    return [json.loads(line) for line in (GOLDEN / f"{name}.jsonl").read_text("utf-8").splitlines()]


def stored(name: str) -> list[StoredEvent]:
    """Give a log as a store would."""
    return [StoredEvent(table.pop("seq"), event_of_table(table)) for table in tables(name)]


def plain(value: object) -> object:
    """Give a state as plain values: quantities as typed, events by their identity."""
    if isinstance(value, BuildState | Taken):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, Event):
        return value.id
    if isinstance(value, Noun):
        return value.model_dump(mode="json", exclude_defaults=True)
    if isinstance(value, Entered):
        return value.text
    if isinstance(value, dict):
        return {key: plain(inside) for key, inside in value.items()}
    if isinstance(value, tuple):
        return [plain(inside) for inside in value]
    return value


@pytest.mark.parametrize("name", NAMES)
def test_a_golden_log_folds_to_its_state(name):
    """What a build stood at when it was written it stands at today; more may be said of it."""
    state = json.loads((GOLDEN / f"{name}.json").read_text("utf-8"))
    today = plain(fold(stored(name)))
    assert isinstance(today, dict)
    assert state == {key: today[key] for key in state}


@pytest.mark.parametrize("name", NAMES)
def test_a_golden_log_is_read_from_a_store_as_written(name, tmp_path):
    """Through a file and back, event for event; an old body is not rewritten by being read."""
    log = tables(name)
    records = [
        _record("plan", a_plan()),
        _record("build", a_head()),
        *(
            {
                "record": "event",
                "log": a_head().id,
                "seq": table["seq"],
                "event": {key: value for key, value in table.items() if key != "seq"},
            }
            for table in log
        ),
    ]
    store = open_store(str(tmp_path / "store.sqlite3"))
    store.take_in(records)
    assert stored(name) == list(store.events(a_head().id))
    assert records == list(store.contents())
    store.close()


def _record(what: str, noun: object) -> dict:
    return {"record": what, **vars(noun)}


def test_every_type_and_version_of_event_is_in_a_golden_log():
    """Nothing that was ever written goes unread here."""
    texts = [path.read_text("utf-8") for path in GOLDEN.rglob("*.jsonl")]
    events_ever = [json.loads(line) for text in texts for line in text.splitlines()]
    written = {(table["type"], table["version"]) for table in events_ever}
    ever = {(kind, v) for kind, newest in VERSIONS.items() for v in range(1, newest + 1)}
    assert set(BODIES) == set(VERSIONS)
    assert ever == written


def test_every_version_has_its_upcaster():
    """A body of any older version can be brought up step by step."""
    wanted = {(kind, old) for kind, newest in VERSIONS.items() for old in range(1, newest)}
    assert wanted == set(events.UPCASTERS)


@pytest.fixture
def with_newer_notes(monkeypatch):
    """Make *noted* version 3: its text was called remark at first, and had no capital."""
    monkeypatch.setitem(VERSIONS, "noted", 3)
    monkeypatch.setitem(events.UPCASTERS, ("noted", 1), lambda b: {"words": b["remark"]})
    monkeypatch.setitem(
        events.UPCASTERS, ("noted", 2), lambda b: {"text": b["words"].capitalize()}
    )


def old_note(version: int, body: dict) -> dict:
    """Give a note as an older program stored it."""
    return {
        "id": digits("note"),
        "type": "noted",
        "version": version,
        "at": AT,
        "by": "",
        "body": body,
    }


@pytest.mark.usefixtures("with_newer_notes")
def test_an_older_event_is_brought_up_step_by_step():
    """From each version by each step that is missing; today's passes as it is."""
    for version, body in ((1, {"remark": "wax it"}), (2, {"words": "wax it"})):
        assert "Wax it" == text_of(event_of_table(old_note(version, body)))
    assert "wax it" == text_of(event_of_table(old_note(3, {"text": "wax it"})))
    with pytest.raises(InputError, match="use a newer strandwright"):
        event_of_table(old_note(4, {"text": "wax it"}))


def test_an_old_event_sent_again_in_todays_form_is_the_same(store, request):
    """A bench that was brought up sends once more what it had sent before: it is one event."""
    build = a_head().id
    old = old_note(1, {"text": "Wax it"})
    event = {"record": "event", "log": build, "seq": 1, "event": old}
    store.take_in([_record("plan", a_plan()), _record("build", a_head()), event])
    request.getfixturevalue("monkeypatch").setitem(VERSIONS, "noted", 2)
    request.getfixturevalue("monkeypatch").setitem(
        events.UPCASTERS, ("noted", 1), lambda body: {"text": body["text"]}
    )
    today = event_of_table(old_note(2, {"text": "Wax it"}))
    assert (StoredEvent(1, today),) == store.append(build, [today])
    assert 1 == next(t for t in store.contents() if t["record"] == "event")["event"]["version"]


def test_an_event_of_a_newer_program_is_told(store, monkeypatch):
    """A bench that was not brought up says so, and does not leave an event out."""
    build = a_head().id
    monkeypatch.setitem(VERSIONS, "noted", 2)
    event = {
        "record": "event",
        "build": build,
        "seq": 1,
        "event": old_note(2, {"text": "Wax it"}),
    }
    store.take_in([_record("plan", a_plan()), _record("build", a_head()), event])
    monkeypatch.setitem(VERSIONS, "noted", 1)
    with pytest.raises(StoreUnusable, match="use the newest strandwright"):
        store.events(build)
