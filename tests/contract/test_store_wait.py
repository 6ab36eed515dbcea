"""Waiting for a change: woken by whoever writes, here or in another program."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Generator, Iterator
from contextlib import contextmanager

import pytest

from strandwright.errors import Conflict
from strandwright.planning.ports import Store
from strandwright.store import watch
from strandwright.store.open import open_store

AT = "2026-03-02T09:00:00Z"
#: Longer than any test waits [s]
LONG = 30.0


def _keep(store: Store, name: str) -> None:
    revision = len(store.revisions("bow", "B"))
    store.save("bow", "B", {"name": name}, at=AT, expected=revision)


@contextmanager
def _later(act: Callable[[], object], after: float = 0.3) -> Generator[None]:
    timer = threading.Timer(after, act)
    timer.start()
    yield
    timer.join()


def _timed(store: Store, mark: int, timeout: float = LONG) -> tuple[int, float]:
    began = time.monotonic()
    found = store.wait(mark, timeout)
    return found, time.monotonic() - began


def test_another_mark_is_given_at_once(store):
    """Who missed a change does not wait for the next."""
    known = store.mark()
    _keep(store, "one")
    found, took = _timed(store, known)
    assert store.mark() == found != known
    assert took < 1.0


def test_nothing_that_changes_is_waited_for_no_longer_than_asked(store):
    """The mark is given as it is."""
    known = store.mark()
    found, took = _timed(store, known, 0.4)
    assert known == found
    assert 0.35 < took < 3.0


def test_a_write_wakes_who_waits(store):
    """In the same program, from another thread."""
    known = store.mark()
    with _later(lambda: _keep(store, "one")):
        found, took = _timed(store, known)
    assert known < found
    assert took < 3.0


def test_several_who_wait_are_all_woken(store):
    """One does not take the news from another."""
    known, found = store.mark(), list[int]()
    waiting = [
        threading.Thread(target=lambda: found.append(store.wait(known, LONG))) for _ in range(5)
    ]
    for each in waiting:
        each.start()
    time.sleep(0.2)
    _keep(store, "one")
    for each in waiting:
        each.join(5.0)
    assert [store.mark()] * 5 == found


def test_a_write_that_is_refused_wakes_nobody_with_another_mark(store):
    """What was not written has changed nothing."""
    _keep(store, "one")
    known = store.mark()

    def refused() -> None:
        with pytest.raises(Conflict):
            store.save("bow", "B", {"name": "other"}, at=AT, expected=0)

    with _later(refused, 0.1):
        assert known == store.wait(known, 0.6)


def test_closing_lets_go_who_waits(store):
    """A program that ends is not held up by its own listeners."""
    known = store.mark()
    with _later(store.close, 0.2):
        began = time.monotonic()
        waiting = threading.Thread(target=lambda: store.wait(known, LONG))
        waiting.start()
        waiting.join(5.0)
        assert not waiting.is_alive()
    assert time.monotonic() - began < 5.0


def test_a_write_of_another_program_wakes_who_waits(lasting_place):
    """Two benches on one store: nobody presses anything."""
    here, there = open_store(lasting_place), open_store(lasting_place)
    try:
        known = here.mark()
        with _later(lambda: _keep(there, "one")):
            found, took = _timed(here, known)
        assert there.mark() == found != known
        assert took < 3.0
    finally:
        here.close()
        there.close()


@pytest.fixture
def two_benches(server) -> Iterator[tuple[Store, Store]]:
    """Give two benches on one PostgreSQL database, of which the first listens."""
    place = server.database()
    here, there = open_store(place), open_store(place)
    here.wait(here.mark(), 0.5)
    yield here, there
    here.close()
    there.close()


def test_postgresql_tells_and_is_not_asked_again_and_again(two_benches, monkeypatch):
    """Told, a bench knows in a fraction of what looking would take."""
    here, there = two_benches
    assert watch.SELDOM == here._watch.look
    took: list[float] = []
    for n in range(20):
        known = here.mark()
        done = list[float]()

        def write(name: str = str(n), done: list[float] = done) -> None:
            _keep(there, name)
            done.append(time.monotonic())

        with _later(write, 0.05):
            assert known < here.wait(known, LONG)
            heard = time.monotonic()
        took.append(heard - done[0])
    assert sorted(took)[10] < 0.1, took


def test_a_connection_that_is_lost_is_made_good(two_benches, server):
    """The server drops it: changes are looked for until it tells again."""
    here, there = two_benches
    import psycopg

    database = there.place.rsplit("/", 1)[1].split("?")[0]
    with psycopg.connect(
        f"host={server.folder} user=sw dbname={database}", autocommit=True
    ) as other:
        other.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
            "WHERE query = 'LISTEN strandwright' AND pid <> pg_backend_pid()"
        )
    known = here.mark()
    with _later(lambda: _keep(there, "one")):
        found, took = _timed(here, known)
    assert known < found
    assert took < 3.0
    until = time.monotonic() + 10.0
    while watch.SELDOM != here._watch.look and time.monotonic() < until:
        time.sleep(0.05)
    assert watch.SELDOM == here._watch.look
