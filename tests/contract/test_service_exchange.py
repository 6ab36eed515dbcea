"""The record of service goes with its build: through files, backups and every kind of store."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bench_work import Work
from finished_line import FITTED, Life, finish, settling_life
from strandwright.errors import Conflict, InputError
from strandwright.planning.desk.exchange import build_table, take_in_build
from strandwright.planning.settling.keeping import answer_for, write
from strandwright.planning.settling.record import written_of
from strandwright.store.memory import MemoryStore


@pytest.fixture(scope="module")
def line() -> Work:
    """Give a finished line with five entries."""
    work, life = finish(Work()), Life()
    work.now = FITTED + timedelta(days=30)
    for row in settling_life(life, *["57 1/4 in"] * 4):
        write(work.desk, work.build, row)
    return work


def test_a_file_carries_it_to_another_store(line, store):
    """Taken in twice it is one; the entries are the same."""
    table = build_table(line.desk.store, line.build)
    assert 5 == len(table["service"]["entries"])
    for _ in range(2):
        take_in_build(store, table)
    assert written_of(store, line.build) == written_of(line.desk.store, line.build)


def test_a_longer_record_goes_on_from_a_shorter(line, store):
    """And a shorter one leaves the longer as it is."""
    table = build_table(line.desk.store, line.build)
    short = table | {"service": {"format": 1, "entries": table["service"]["entries"][:2]}}
    for given, count in ((short, 2), (table, 5), (short, 5)):
        take_in_build(store, given)
        assert count == len(written_of(store, line.build))


def test_other_entries_under_one_build_are_refused(line, store):
    """Neither goes on from the other: nothing is kept of it."""
    table = build_table(line.desk.store, line.build)
    take_in_build(store, table)
    first = table["service"]["entries"][0] | {"id": "f" * 32}
    with pytest.raises(Conflict, match="otherwise than in this file"):
        take_in_build(store, table | {"service": {"format": 1, "entries": [first]}})
    assert 5 == len(written_of(store, line.build))


@pytest.mark.parametrize(
    "broken", [7, {}, {"format": 2, "entries": []}, {"format": 1, "entries": [3]}]
)
def test_a_broken_record_keeps_the_build_out(line, store, broken):
    """Nothing of the build is kept either."""
    table = build_table(line.desk.store, line.build)
    with pytest.raises(InputError):
        take_in_build(store, table | {"service": broken})
    assert () == store.builds()


def test_a_build_without_service_has_no_such_name():
    """Files of before read as they did."""
    work = Work()
    assert "service" not in build_table(work.desk.store, work.build)


def test_a_backup_brings_it_back(line, store):
    """Each entry once, in a log about the build, and the same answer."""
    store.take_in(line.desk.store.contents())
    (log,) = store.logs("service", line.build)
    assert [1, 2, 3, 4, 5] == [stored.seq for stored in store.events(log.id)]
    assert written_of(store, line.build) == written_of(line.desk.store, line.build)
    assert isinstance(line.desk.store, MemoryStore)
    assert "done" == answer_for(line.desk, line.build).act
