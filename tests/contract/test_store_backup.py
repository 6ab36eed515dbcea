"""Backup: one file that holds everything, is known to be whole, and fits every store."""

from __future__ import annotations

import gzip
import hashlib
import json
import os
import stat

import pytest
from kept_things import AT, a_note, begun, fill

from strandwright.errors import Conflict, InputError, StoreUnusable
from strandwright.store.backup import back_up, restore
from strandwright.store.memory import MemoryStore
from strandwright.store.open import open_store

NAMES = ("records.jsonl", "records.jsonl.gz")


@pytest.fixture
def filled():
    """Give a store in which some of everything is kept."""
    store = MemoryStore()
    fill(store)
    return store


def plain(path):
    """Give the lines of a backup, compressed or not."""
    raw = path.read_bytes()
    return (gzip.decompress(raw) if path.suffix == ".gz" else raw).splitlines(keepends=True)


@pytest.mark.parametrize("name", NAMES)
def test_a_restored_store_is_equal(store, filled, tmp_path, name):
    """From memory into each kind of store, and from there again, nothing differs."""
    count = back_up(filled, tmp_path / name)
    assert count == restore(store, tmp_path / name)
    assert list(filled.contents()) == list(store.contents())
    assert filled.documents("job") == store.documents("job")
    assert filled.plans() == store.plans()
    assert filled.builds() == store.builds()
    back_up(store, tmp_path / f"again-{name}")
    assert (tmp_path / name).read_bytes() == (tmp_path / f"again-{name}").read_bytes()


def test_a_restored_store_goes_on(store, filled, tmp_path):
    """Revisions and places go on where they were, and its mark has grown."""
    back_up(filled, tmp_path / "b.jsonl")
    mark = store.mark()
    restore(store, tmp_path / "b.jsonl")
    assert mark < store.mark()
    build = store.builds("RIDGE-1")[0].id
    assert [4] == [s.seq for s in store.append(build, [a_note("further")])]
    assert 3 == store.save("job", "RIDGE-1", {"n": 1}, at=AT, expected=2).revision


@pytest.mark.parametrize("name", NAMES)
def test_an_empty_store_has_a_backup_too(store, tmp_path, name):
    """No records are a whole backup, and restoring them changes nothing."""
    assert 0 == back_up(store, tmp_path / name)
    mark = store.mark()
    assert 0 == restore(store, tmp_path / name)
    assert mark == store.mark()


def test_the_first_line_seals_what_follows(filled, tmp_path):
    """Anybody can check a backup with everyday tools."""
    count = back_up(filled, tmp_path / "b.jsonl")
    first, *rest = plain(tmp_path / "b.jsonl")
    header = json.loads(first)
    assert ("strandwright backup", 2, count) == (
        header["format"],
        header["version"],
        header["records"],
    )
    assert hashlib.sha256(b"".join(rest)).hexdigest() == header["sha256"]
    assert count == len(rest)


def test_only_an_empty_store_is_restored_into(store, filled, tmp_path):
    """Whatever is kept, a restore never mixes with it."""
    back_up(filled, tmp_path / "b.jsonl")
    store.save("job", "mine", {}, at=AT, expected=0)
    before = (store.mark(), list(store.contents()))
    with pytest.raises(Conflict, match="holds records already"):
        restore(store, tmp_path / "b.jsonl")
    assert before == (store.mark(), list(store.contents()))


def damages(lines):
    """Give each way to spoil a backup of several lines."""
    half = len(lines) // 2
    other = lines[half].replace(b"RIDGE-1", b"RIDGE-2").replace(b"TARN-1", b"TARN-2")
    assert other != lines[half]
    return {
        "the last line lost": lines[:-1],
        "cut in a line": [*lines[:half], lines[half][:20]],
        "the last end of line lost": [*lines[:-1], lines[-1].rstrip(b"\n")],
        "a line twice": [*lines, lines[-1]],
        "a line changed": [*lines[:half], other, *lines[half + 1 :]],
        "two lines changed about": [*lines[:-2], lines[-1], lines[-2]],
        "no JSON": [*lines[:half], b"x\n", *lines[half + 1 :]],
        "only the header": lines[:1],
        "no header": lines[1:],
        "nothing": [],
        "another version": [lines[0].replace(b'"version":2', b'"version":3'), *lines[1:]],
        "no count": [lines[0].replace(b'"records"', b'"recards"'), *lines[1:]],
        "endless brackets": [lines[0], b"[" * 100_000 + b"\n"],
    }


@pytest.mark.parametrize("damage", damages([b"RIDGE-1\n"] * 4))
def test_a_spoilt_backup_is_refused_and_nothing_is_kept(store, filled, tmp_path, damage):
    """The error names the file and says what to do."""
    back_up(filled, tmp_path / "b.jsonl")
    spoilt = tmp_path / "spoilt.jsonl"
    spoilt.write_bytes(b"".join(damages(plain(tmp_path / "b.jsonl"))[damage]))
    with pytest.raises(InputError) as caught:
        restore(store, spoilt)
    assert str(caught.value).startswith(str(spoilt))
    assert caught.value.remedy
    assert 0 == store.mark()
    assert [] == list(store.contents())


def test_every_cut_of_a_compressed_backup_is_seen(filled, tmp_path):
    """Wherever a copy broke off, it is not taken for whole."""
    back_up(filled, tmp_path / "b.jsonl.gz")
    raw = (tmp_path / "b.jsonl.gz").read_bytes()
    cut = tmp_path / "cut.jsonl.gz"
    for end in range(0, len(raw), 7):
        cut.write_bytes(raw[:end])
        store = MemoryStore()
        with pytest.raises(InputError):
            restore(store, cut)
        assert [] == list(store.contents())


def test_every_bit_that_flips_is_seen(filled, tmp_path):
    """One bit of a plain backup wrong: refused, or only the program's name in it changed."""
    back_up(filled, tmp_path / "b.jsonl")
    raw = (tmp_path / "b.jsonl").read_bytes()
    named = raw.index(b"strandwright 0"), raw.index(b'","records"')
    flipped = tmp_path / "flipped.jsonl"
    for place in range(0, len(raw), 11):
        flipped.write_bytes(raw[:place] + bytes([raw[place] ^ 1]) + raw[place + 1 :])
        store = MemoryStore()
        if named[0] <= place < named[1]:
            continue
        with pytest.raises(InputError):
            restore(store, flipped)
        assert [] == list(store.contents())


def resealed(path, tables):
    """Write a backup whose seal fits but whose records need not."""
    lines = [json.dumps(t).encode() + b"\n" for t in tables]
    seal = hashlib.sha256(b"".join(lines)).hexdigest()
    header = {"format": "strandwright backup", "version": 1, "program": "x"}
    header |= {"records": len(lines), "sha256": seal}
    path.write_bytes(json.dumps(header).encode() + b"\n" + b"".join(lines))


def test_records_that_do_not_fit_together_are_refused(store, filled, tmp_path):
    """A seal that fits makes no store out of records that do not; all or nothing."""
    tables = list(filled.contents())
    kinds = [t["record"] for t in tables]
    document, plan, build, event = (
        kinds.index(w) for w in ("document", "plan", "build", "event")
    )
    spoilt = {
        "gap": [*tables[:event], *tables[event + 1 :]],
        "no plan": [t for t in tables if t["record"] != "plan"],
        "no build": [t for t in tables if t["record"] != "build"],
        "double plan": [*tables[: plan + 1], *tables[plan:]],
        "double build": [*tables[: build + 1], *tables[build:]],
        "double event": [*tables, {**tables[-1], "seq": tables[-1]["seq"] + 1}],
        "revision": [{**tables[document], "revision": 2}],
        "kind": [{**tables[document], "kind": "arrow"}],
        "table": [{**tables[document], "table": "x"}],
        "id": [{**tables[document], "id": "a/b"}],
        "moment": [{**tables[document], "saved_at": 7}],
        "put away": [{**tables[document], "put_away": "no"}],
        "further key": [{**tables[document], "more": 1}],
        "lacking key": [{k: v for k, v in tables[document].items() if k != "table"}],
        "unknown": [*tables, {"record": "arrow"}],
        "no table": [*tables, ["x"]],
        "event body": [*tables[:event], {**tables[event], "event": {"type": "noted"}}],
        "newer event": [
            *tables[:event],
            {**tables[event], "event": {**tables[event]["event"], "version": 99}},
        ],
        "list for a kind": [{**tables[document], "kind": ["job"]}],
        "list for a build": [*tables[:event], {**tables[event], "build": ["x"]}],
        "list for a plan": [*tables[:build], {**tables[build], "plan_id": ["x"]}],
    }
    for name, records in spoilt.items():
        resealed(tmp_path / "b.jsonl", records)
        with pytest.raises(InputError) as caught:
            restore(store, tmp_path / "b.jsonl")
        assert f"{tmp_path / 'b.jsonl'}: record " in str(caught.value), name
        assert [] == list(store.contents()), name
        assert 0 == store.mark(), name
    resealed(tmp_path / "b.jsonl", tables)
    assert len(tables) == restore(store, tmp_path / "b.jsonl")


def test_a_file_that_is_no_backup_is_neither_restored_nor_written_over(filled, tmp_path):
    """A job file, a store, a picture: told apart, and left as they are."""
    for name, content in (
        ("job.toml", b'id = "RIDGE-1"\n'),
        ("list.json", b"[1]\n"),
        ("picture.png", b"\x89PNG\r\n\x1a\n" + bytes(200)),
        ("other.gz", gzip.compress(b'{"format": "other"}\n')),
        ("broken.gz", b"\x1f\x8b" + bytes(30)),
    ):
        path = tmp_path / name
        path.write_bytes(content)
        with pytest.raises(InputError, match=name):
            restore(MemoryStore(), path)
        with pytest.raises(InputError, match="must be a new file or an older backup"):
            back_up(filled, path)
        assert content == path.read_bytes()


def test_a_store_is_not_written_over_by_its_own_backup(tmp_path):
    """The file of a store given for the backup is refused, and the store goes on."""
    place = tmp_path / "store.sqlite3"
    store = open_store(str(place))
    build = begun(store)
    with pytest.raises(InputError, match="must be a new file"):
        back_up(store, place)
    store.append(build, [a_note("still there")])
    store.close()


def test_an_older_backup_is_replaced(filled, tmp_path):
    """The same name each evening holds the newest."""
    path = tmp_path / "b.jsonl"
    back_up(MemoryStore(), path)
    assert back_up(filled, path) == json.loads(plain(path)[0])["records"] > 0
    assert ["b.jsonl"] == os.listdir(tmp_path)


def test_what_cannot_be_written_or_read_is_told(filled, tmp_path):
    """A folder that is not there, a folder for a file, a file that is not there."""
    with pytest.raises(StoreUnusable, match="cannot be written"):
        back_up(filled, tmp_path / "none" / "b.jsonl")
    with pytest.raises(InputError, match="name another file"):
        back_up(filled, tmp_path)
    for path in (tmp_path / "none.jsonl", tmp_path):
        with pytest.raises(InputError, match="must be a file that can be read"):
            restore(MemoryStore(), path)


def test_a_backup_that_fails_midway_leaves_the_old_one(filled, tmp_path):
    """Half a backup never takes the place of a whole one, and leaves nothing beside it."""

    class Failing(MemoryStore):
        def contents(self):
            yield from list(filled.contents())[:3]
            raise StoreUnusable("the server went away")

    path = tmp_path / "b.jsonl"
    back_up(filled, path)
    before = path.read_bytes()
    with pytest.raises(StoreUnusable, match="went away"):
        back_up(Failing(), path)
    assert before == path.read_bytes()
    assert ["b.jsonl"] == os.listdir(tmp_path)


@pytest.mark.skipif(os.name == "nt", reason="it has no such permissions")
def test_a_backup_is_for_its_owner_only(filled, tmp_path):
    """It holds customers' names."""
    back_up(filled, tmp_path / "b.jsonl")
    assert 0o600 == stat.S_IMODE((tmp_path / "b.jsonl").stat().st_mode)
