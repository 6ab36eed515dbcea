"""The drill: a backup is restored for trial, and what differs is told record by record."""

from __future__ import annotations

import hashlib
import json

import pytest
from kept_things import AT, LATER, a_note, digits, fill

from bench_work import Work
from strandwright.store.backup import back_up, restore
from strandwright.store.drill import drill
from strandwright.store.memory import MemoryStore

MUCH_LATER = "2099-01-01T00:00:00.000Z"


@pytest.fixture
def taken(store, tmp_path):
    """Give a store of each kind, filled, and its backup."""
    fill(store)
    path = tmp_path / "b.jsonl"
    back_up(store, path)
    return store, path


def records(path):
    """Give the records of a plain backup."""
    return [json.loads(line) for line in path.read_bytes().splitlines()[1:]]


def sealed(path, tables):
    """Write records as a backup whose seal fits."""
    lines = [json.dumps(t).encode() + b"\n" for t in tables]
    seal = hashlib.sha256(b"".join(lines)).hexdigest()
    header = {"format": "strandwright backup", "version": 2, "program": "x"}
    header |= {"records": len(lines), "sha256": seal}
    path.write_bytes(json.dumps(header).encode() + b"\n" + b"".join(lines))


def test_a_whole_backup_is_proved(taken):
    """Every record the same in the trial and in the store at hand; nothing is written there."""
    store, path = taken
    mark = store.mark()
    done = drill(path, store)
    assert "proved" == done.proved, list(done.lines())
    assert done.restored is not None
    assert done.live is not None
    assert (True, True) == (done.restored.is_equal, done.live.is_equal)
    assert len(records(path)) == done.records == done.live.same
    assert mark == store.mark()
    said = " ".join(done.lines())
    assert f"{done.records} records" in said
    assert "brings everything back" in said
    assert done.seconds > 0
    assert "proved" == done.noun().proved


def test_what_came_since_is_counted_and_proves_nothing_against_it(taken):
    """A further revision, a further event and a new bow are no fault of yesterday's backup."""
    store, path = taken
    store.save("job", "RIDGE-1", {"name": "once more"}, at=MUCH_LATER, expected=2)
    store.save("bow", "reed", {"kind": "recurve"}, at=MUCH_LATER, expected=0)
    done = drill(path, store)
    assert "proved" == done.proved
    assert done.live is not None
    assert (2, 0) == (done.live.added, done.live.older)
    assert any("2 records came into the store since then" in line for line in done.lines())


def test_a_changed_record_is_told(taken):
    """One value of one document other than it is kept: the drill names it and fails."""
    store, path = taken
    tables = records(path)
    at = next(n for n, t in enumerate(tables) if t["record"] == "document" and t["id"] == "TARN-1")
    tables[at]["table"]["turns"] = 28.5
    sealed(path, tables)
    done = drill(path, store)
    assert "failed" == done.proved
    assert done.live is not None
    assert (1, 0, 0) == (done.live.changed, done.live.missing, done.live.added)
    assert any("job TARN-1, revision 1 differs" in line for line in done.lines())


def test_a_record_that_the_backup_lacks_is_told(taken):
    """An event taken out of it, the seal made to fit: it restores, and is doubted by name."""
    store, path = taken
    tables = records(path)
    assert "event" == tables[-1]["record"]
    sealed(path, tables[:-1])
    done = drill(path, store)
    assert "in doubt" == done.proved
    assert done.live is not None
    assert 1 == done.live.older
    assert any(tables[-1]["log"] in line for line in done.lines())


def test_a_record_too_many_is_told(taken):
    """A document that the store never had: the drill names it and fails."""
    store, path = taken
    tables = records(path)
    stranger = {**tables[0], "kind": "bench", "id": "attic", "revision": 1}
    sealed(path, [stranger, *tables])
    done = drill(path, store)
    assert "failed" == done.proved
    assert done.live is not None
    assert 1 == done.live.missing
    assert any("bench attic, revision 1 is only in the backup" in line for line in done.lines())


@pytest.mark.parametrize("spoil", ["cut", "seal", "gone"])
def test_a_backup_that_cannot_be_restored_is_told_and_not_raised(taken, spoil):
    """A drill that fails is an answer."""
    store, path = taken
    raw = path.read_bytes()
    if spoil == "gone":
        path.unlink()
    else:
        path.write_bytes(raw[:-30] if spoil == "cut" else raw.replace(b"TARN-1", b"TARN-2", 1))
    done = drill(path, store)
    assert "failed" == done.proved
    assert "cannot be restored" in next(iter(done.lines()))


def test_with_an_empty_store_at_hand_the_restoring_alone_is_proved(tmp_path):
    """After a disk was lost there is nothing to compare with, and the drill says so."""
    full = MemoryStore()
    fill(full)
    back_up(full, tmp_path / "b.jsonl.gz")
    done = drill(tmp_path / "b.jsonl.gz", MemoryStore())
    assert "proved" == done.proved
    assert done.live is None
    assert any("nothing was compared" in line for line in done.lines())


def test_a_backup_of_the_first_version_is_drilled_too(taken):
    """What it calls a build of an event is today's log."""
    store, path = taken
    tables = [
        {("build" if k == "log" else k): v for k, v in t.items()} if t["record"] == "event" else t
        for t in records(path)
    ]
    sealed(path, tables)
    path.write_bytes(path.read_bytes().replace(b'"version": 2', b'"version": 1', 1))
    assert "proved" == drill(path, store).proved


def test_builds_are_opened_out_of_the_trial(tmp_path):
    """What is to be done next stands in the answer, and is what the store at hand says."""
    work = Work()
    work.wound()
    back_up(work.desk.store, tmp_path / "b.jsonl")
    done = drill(tmp_path / "b.jsonl", work.desk.store)
    assert "proved" == done.proved, list(done.lines())
    (opened,) = done.opened
    assert (work.build, "RIDGE-1", True, True) == (
        opened.build, opened.job, opened.is_open, opened.as_live,
    )  # fmt: skip
    assert work.advice.act is not None
    assert work.advice.act.step.title[1:] in opened.said


def test_a_bench_that_sends_late_is_told_apart(taken):
    """Events dated before the backup that came after it: looked at, not called a failure."""
    store, path = taken
    (build,) = (head.id for head in store.builds("TARN-1"))
    store.append(build, [a_note("late")])
    assert AT < LATER
    done = drill(path, store)
    assert "in doubt" == done.proved
    assert any("bench that was away" in line for line in done.lines())


def test_a_backup_from_before_service_was_a_log_is_drilled_too(store, tmp_path):
    """What was one document then is compared with the log that is made of it."""
    entries = [
        {"id": digits("on"), "type": "on-bow", "version": 1, "at": AT, "shots": 0, "by": "b"},
        {"id": digits("wax"), "type": "waxed", "version": 1, "at": LATER, "shots": 40, "by": "b"},
    ]
    entries = [{**entry, "body": {}} for entry in entries]
    both = [
        {
            "record": "document", "kind": "service", "id": digits("first"), "revision": n,
            "saved_at": AT, "put_away": False, "table": {"format": 1, "entries": entries[:n]},
        }
        for n in (1, 2)
    ]  # fmt: skip
    path = tmp_path / "older.jsonl"
    sealed(path, both)
    restore(store, path)
    done = drill(path, store)
    assert "proved" == done.proved, list(done.lines())
    assert {"log": 1, "event": 2} == done.kinds
    assert 1 == len(store.logs("service"))
