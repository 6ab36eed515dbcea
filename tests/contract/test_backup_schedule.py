"""Backups by the clock: taken, read back, thinned out, and how they went kept in the store."""

from __future__ import annotations

import os
import shutil
import threading
from datetime import UTC, datetime, timedelta

import pytest
from kept_things import AT, fill

from strandwright.errors import InputError, StoreUnusable
from strandwright.store import backups as backups_module
from strandwright.store.backup import check
from strandwright.store.backups import keep_terms, state_of, take, terms_of, this_computer
from strandwright.store.memory import MemoryStore
from strandwright.store.rotation import backups_in
from strandwright.store.schedule import Keeper, is_due, next_at
from strandwright.workshop.backup_terms import (
    BackupState,
    BackupTerms,
    FailedBackup,
    GoodBackup,
)
from strandwright.workshop.events import as_moment


class Clock:
    """A clock that is moved by hand."""

    def __init__(self):
        self.now = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def __call__(self):
        return self.now

    def pass_by(self, **span):
        """Move it."""
        self.now += timedelta(**span)


@pytest.fixture
def clock():
    """Give a clock."""
    return Clock()


def say(store, folder, **terms):
    """Keep terms of backups."""
    made = BackupTerms(folder=str(folder), **terms)
    _, revision = terms_of(store)
    return keep_terms(store, made, at=AT, expected=revision)


def test_one_is_taken_read_back_and_told(store, tmp_path, clock):
    """The store then says when, where, and how many records; the folder holds it whole."""
    fill(store)
    say(store, tmp_path)
    before = sum(1 for _ in store.contents())
    took = take(store, clock)
    (found,) = backups_in(tmp_path)
    assert (before, before) == (took.good.records, check(found.path))
    assert took.good == state_of(store).good
    assert "2026-03-02T09:00:00.000Z" == took.good.at
    assert this_computer() == took.good.computer
    assert not state_of(store).is_failing


def test_the_older_ones_make_room(store, tmp_path, clock):
    """As many as the terms say, and no more."""
    say(store, tmp_path, keep_last=2, daily=0, weekly=0, monthly=0)
    for _ in range(5):
        take(store, clock)
        clock.pass_by(hours=1)
    assert 2 == len(backups_in(tmp_path))


def test_a_folder_that_is_gone_is_told_and_found_again(store, tmp_path, clock):
    """A disk that is pulled out: the last good one stays known, the failure stands beside it."""
    disk = tmp_path / "disk"
    disk.mkdir()
    say(store, disk)
    good = take(store, clock).good
    shutil.rmtree(disk)
    clock.pass_by(days=1)
    with pytest.raises(InputError, match="plug its disk in"):
        take(store, clock)
    state = state_of(store)
    assert state.is_failing
    assert state.failed is not None
    assert (good, "2026-03-03T09:00:00.000Z") == (state.good, state.failed.at)
    assert "a folder that is there" in state.failed.why
    disk.mkdir()
    clock.pass_by(minutes=15)
    assert Keeper(store, clock).look()
    assert not state_of(store).is_failing


def test_a_backup_that_does_not_read_back_costs_no_older_one(store, tmp_path, clock, monkeypatch):
    """A disk that writes badly: the older ones stay, whatever the terms say."""
    say(store, tmp_path, keep_last=1, daily=0, weekly=0, monthly=0)
    take(store, clock)
    (first,) = backups_in(tmp_path)
    clock.pass_by(days=1)

    def spoilt(path):
        raw = path.read_bytes()
        path.write_bytes(raw[: len(raw) // 2])
        return check(path)

    monkeypatch.setattr(backups_module, "check", spoilt)
    with pytest.raises(StoreUnusable, match="does not read back"):
        take(store, clock)
    assert first.path.exists()
    assert state_of(store).is_failing


def test_terms_name_a_folder_that_is_there(store, tmp_path):
    """None, a file, a place told from nowhere, the disk itself: refused."""
    (tmp_path / "file").write_bytes(b"")
    for folder in (
        tmp_path / "none",
        tmp_path / "file",
        "backups",
        os.path.abspath(os.sep),
        "a\0b",
    ):
        with pytest.raises(InputError):
            say(store, folder)
    assert (None, 0) == terms_of(store)
    with pytest.raises(InputError, match="is not said yet"):
        take(store)


def test_when_the_next_is_due():
    """By the hour since the last good one; sooner after a failure; never where another does it."""
    now = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
    terms = BackupTerms(folder="/x", every_hours=6, computer="here")
    ago = lambda **span: as_moment(now - timedelta(**span))  # noqa: E731
    good = lambda **span: GoodBackup(at=ago(**span), file="f", records=1, seconds=1)  # noqa: E731
    failed = lambda **span: FailedBackup(at=ago(**span), why="w")  # noqa: E731
    assert is_due(terms, BackupState(), now, "here")
    assert not is_due(None, BackupState(), now, "here")
    assert not is_due(terms, BackupState(), now, "there")
    paused = terms.model_copy(update={"paused": True})
    assert not is_due(paused, BackupState(), now, "here")
    for state, due in (
        (BackupState(good=good(hours=5)), False),
        (BackupState(good=good(hours=6)), True),
        (BackupState(good=good(hours=-2)), True),
        (BackupState(good=good(hours=9), failed=failed(minutes=14)), False),
        (BackupState(good=good(hours=9), failed=failed(minutes=15)), True),
        (BackupState(good=good(hours=1), failed=failed(hours=2)), False),
    ):
        assert due == is_due(terms, state, now, "here"), state
    assert now + timedelta(hours=1) == next_at(terms, BackupState(good=good(hours=5)), "here")
    assert next_at(terms, BackupState(good=good(hours=5)), "there") is None


def test_the_keeper_goes_on_whatever_happens(tmp_path, clock):
    """A store that breaks, a fault of the program: the thread lives and takes the next one."""
    good = threading.Event()

    class Broken(MemoryStore):
        faults = 0

        def contents(self):
            if self.faults < 3:
                self.faults += 1
                clock.pass_by(hours=1)
                raise (OSError("no room"), RuntimeError("a fault"), StoreUnusable("gone"))[
                    self.faults - 1
                ]
            good.set()
            return super().contents()

    store = Broken()
    say(store, tmp_path, every_hours=1)
    keeper = Keeper(store, clock, look=0.01)
    keeper.start()
    assert good.wait(20)
    keeper.stop()
    assert not keeper.is_alive()
    state = state_of(store)
    assert state.good is not None
    assert state.failed is not None
    assert 1 == len(backups_in(tmp_path))
