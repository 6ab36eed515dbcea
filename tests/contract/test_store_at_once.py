"""Several benches at once: no place twice, no gap, no change lost."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor, wait

import pytest
from kept_things import AT, a_head, a_note, a_plan, begun, text_of
from processes import start_writer

from strandwright.errors import Conflict
from strandwright.store.open import open_store
from strandwright.store.records import EventRow
from strandwright.store.sql import SqlStore
from strandwright.store.sql_rows import SqlRows
from strandwright.workshop.kept import event_content

THREADS = 8


def all_at_once(work):
    """Run ``work(number)`` in eight threads that start together; give what each returned."""
    barrier = threading.Barrier(THREADS)

    def run(number: int):
        barrier.wait()
        return work(number)

    with ThreadPoolExecutor(THREADS) as pool:
        return list(pool.map(run, range(THREADS)))


def test_places_have_no_gap_under_eight_threads(store):
    """Each event is kept once, sent twice though it is; places run from 1 to the last."""
    build = begun(store)

    def work(number: int):
        for n in range(30):
            note = a_note(f"{number}.{n}")
            kept = store.append(build, [note, a_note(f"shared {n}")])
            assert kept == store.append(build, [note, a_note(f"shared {n}")])

    all_at_once(work)
    log = store.events(build)
    wanted = {f"{number}.{n}" for number in range(THREADS) for n in range(30)}
    assert wanted | {f"shared {n}" for n in range(30)} == {text_of(s.event) for s in log}
    assert list(range(1, 30 * THREADS + 30 + 1)) == [s.seq for s in log]


def test_each_thread_keeps_its_own_order(store):
    """What one bench sent first stands first."""
    build = begun(store)
    all_at_once(lambda number: [store.append(build, [a_note(f"{number}.{n}")]) for n in range(15)])
    texts = [text_of(s.event) for s in store.events(build)]
    for number in range(THREADS):
        own = [t for t in texts if t.startswith(f"{number}.")]
        assert [f"{number}.{n}" for n in range(15)] == own


def test_of_saves_at_once_exactly_one_wins(store):
    """The others are told; the one that was told it won is the one that is kept."""

    def work(number: int):
        try:
            return store.save("job", "a", {"by": number}, at=AT, expected=0)
        except Conflict:
            return None

    won = [document for document in all_at_once(work) if document is not None]
    assert 1 == len(won)
    assert list(store.revisions("job", "a")) == won


def test_no_change_is_lost(store):
    """Eight people who each add five to a count, looking again after a conflict, add forty."""
    store.save("bench", "home", {"count": 0}, at=AT, expected=0)

    def work(number: int):
        for _ in range(5):
            while True:
                now = store.document("bench", "home")
                table = {"count": now.table["count"] + 1, "by": number}
                try:
                    store.save("bench", "home", table, at=AT, expected=now.revision)
                    break
                except Conflict:
                    continue

    all_at_once(work)
    found = store.revisions("bench", "home")
    assert list(range(41)) == [d.table["count"] for d in found]


def test_begun_at_once_it_is_one_build(store):
    """Eight screens that keep the same plan and begin the same build get the same."""

    def work(_: int):
        store.keep_plan(a_plan())
        return store.begin(a_head())

    assert {a_head()} == set(all_at_once(work))
    assert 1 == len(store.plans()) == len(store.builds())


def test_the_mark_never_goes_back_and_misses_nothing(store):
    """Whoever saw an event has a mark from before it that is smaller than the one after."""
    build = begun(store)
    seen: list[tuple[int, int]] = []
    done = threading.Event()

    def watch():
        while not done.is_set():
            mark = store.mark()
            seen.append((mark, len(store.events(build))))

    watcher = threading.Thread(target=watch)
    watcher.start()
    start = store.mark()
    all_at_once(lambda number: [store.append(build, [a_note(f"{number}.{n}")]) for n in range(6)])
    done.set()
    watcher.join()
    assert start + 6 * THREADS == store.mark()
    assert sorted(seen) == seen
    # The log was read after the mark, so it holds at least what the mark tells of.
    assert all(events >= mark - start for mark, events in seen)


def test_a_reader_is_not_held_up_by_a_long_backup(lasting_store):
    """While a backup is read bit by bit, others write; the backup shows one moment."""
    build = begun(lasting_store)
    lasting_store.append(build, [a_note("before")])
    tables = iter(lasting_store.contents())
    first = next(tables)
    lasting_store.append(build, [a_note("after")])
    lasting_store.save("job", "new", {}, at=AT, expected=0)
    rest = [first, *tables]
    assert ["plan", "build", "event"] == [t["record"] for t in rest]
    assert 2 == len(lasting_store.events(build))


def test_a_writer_waits_for_another_and_goes_on_from_what_it_wrote(lasting_place):
    """While one bench writes, a second one neither fails nor takes the same place."""
    first, second = open_store(lasting_place), open_store(lasting_place)
    assert isinstance(first, SqlStore)
    build = begun(first)
    with ThreadPoolExecutor(1) as pool:
        with first._writing() as connection:
            row = EventRow(a_note("a").id, build, 1, event_content(a_note("a")))
            SqlRows(connection).put([row])
            waiting = pool.submit(second.append, build, [a_note("b")])
            assert not wait([waiting], timeout=0.5).done
        assert [2] == [s.seq for s in waiting.result(timeout=20)]
    assert [a_note("a"), a_note("b")] == [s.event for s in first.events(build)]
    first.close()
    second.close()


def test_two_processes_share_one_place(lasting_place):
    """Two programs append to one build: every event once, no gap."""
    store = open_store(lasting_place)
    build = begun(store)
    writers = [start_writer(lasting_place, build, name, "40") for name in ("left", "right")]
    for writer in writers:
        assert writer.stdout is not None
        assert ["ready", *map(str, range(40))] == writer.stdout.read().split()
        assert 0 == writer.wait(timeout=60)
        writer.stdout.close()
    log = store.events(build)
    wanted = {f"{name} {n}" for name in ("left", "right") for n in range(40)}
    assert wanted == {text_of(s.event) for s in log}
    assert list(range(1, 81)) == [s.seq for s in log]
    store.close()


@pytest.mark.parametrize("starters", [4])
def test_a_new_place_opened_by_several_at_once_is_made_ready_once(empty_place, starters):
    """Benches that start together on a new place all get in."""

    def work(_: int):
        store = open_store(empty_place)
        try:
            return store.mark()
        finally:
            store.close()

    with ThreadPoolExecutor(starters) as pool:
        assert [0] * starters == list(pool.map(work, range(starters)))
