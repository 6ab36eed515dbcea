"""Several benches at one shelf: no length and no part is ever promised twice."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from processes import HERE, SOURCE

from stock_work import BLEND, ORDER, OTHER, PEEP, happening, identity
from strandwright.errors import LimitError
from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.stock.keeping import Promise, note, receive, release, reserve, stock_of
from strandwright.store.open import open_store
from strandwright.workshop.stock_state import fold

SPOOL, SECOND, PARTS = identity("spool"), identity("second"), identity("parts")
BENCHES = 6
TESTS = Path(HERE).parent


def shelf(store) -> JobDesk:
    """Put two spools of 100 m and twenty small parts on the shelf of a store."""
    desk = JobDesk(store)
    for spool in (SPOOL, SECOND):
        body: dict[str, Any] = {"ware": BLEND, "length": "100 m +- 1"}
        receive(desk, spool, happening("received", name=f"received {spool}", **body))
    receive(desk, PARTS, happening("received", ware=PEEP, count=20))
    return desk


def never_beyond_free(store, log: str) -> None:
    """Hold every moment of a log to it: what is promised is there for sure."""
    events = store.events(log)
    for length in range(1, len(events) + 1):
        state = fold(events[:length])
        assert state.reserved_length <= state.spool.length - 2.0 * state.spool.length_u + 1e-6 or (
            state.reserved_length == 0.0
        )
        assert state.reserved_count <= state.count


def all_at_once(place: str, work):
    """Let benches with stores of their own work at the same moment; give what each returned."""
    barrier = threading.Barrier(BENCHES)

    def run(number: int):
        store = open_store(place)
        try:
            barrier.wait()
            return work(JobDesk(store), number)
        finally:
            store.close()

    with ThreadPoolExecutor(BENCHES) as pool:
        return list(pool.map(run, range(BENCHES)))


def length_of(name: str, metres: int, log: str = SPOOL) -> Promise:
    """Promise a length to an order of that name."""
    event = happening("reserved", 1, name=f"{log} {name}", order=identity(name),
                      length=f"{metres} m")  # fmt: skip
    return Promise(log, event)


def test_benches_at_once_promise_no_more_than_is_free(lasting_place):
    """Six benches take 7 m each time until refused: fourteen promises of 99 m, no more."""
    shelf(open_store(lasting_place)).store.close()

    def work(desk: JobDesk, number: int):
        kept = 0
        while True:
            try:
                reserve(desk, [length_of(f"{number}.{kept}", 7)])
            except LimitError:
                return kept
            kept += 1

    assert 14 == sum(all_at_once(lasting_place, work))
    store = open_store(lasting_place)
    assert 98.0 == stock_of(JobDesk(store), SPOOL).state.reserved_length
    never_beyond_free(store, SPOOL)
    store.close()


def test_two_processes_promise_no_more_than_is_free(lasting_place):
    """Two programs at one spool: together as many promises as fit, each once."""
    shelf(open_store(lasting_place)).store.close()
    paths = os.pathsep.join([str(SOURCE), str(TESTS), str(HERE), os.environ.get("PYTHONPATH", "")])
    benches = [
        subprocess.Popen(
            [sys.executable, str(HERE / "bench_of_stock.py"), lasting_place, SPOOL, name, "3"],
            env={**os.environ, "PYTHONPATH": paths},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for name in ("left", "right")
    ]
    for bench in benches:
        assert "ready\n" == bench.stdout.readline()
    for bench in benches:
        bench.stdin.write("go\n")
        bench.stdin.flush()
    kept: list[str] = []
    for bench in benches:
        kept += bench.stdout.read().split()
        assert 0 == bench.wait(timeout=120)
        bench.stdin.close()
        bench.stdout.close()
    store = open_store(lasting_place)
    state = stock_of(JobDesk(store), SPOOL).state
    assert 33 == len(kept) == len(state.reserved)
    assert set(kept) == {r.order for r in state.reserved}
    never_beyond_free(store, SPOOL)
    store.close()


def test_sets_from_two_spools_are_promised_whole(lasting_place):
    """Each order takes of both spools or of neither, whoever comes between."""
    shelf(open_store(lasting_place)).store.close()

    def work(desk: JobDesk, number: int):
        first, second = (SPOOL, SECOND) if number % 2 else (SECOND, SPOOL)
        kept: list[str] = []
        while True:
            name = f"{number}.{len(kept)}"
            try:
                reserve(desk, [length_of(name, 12, first), length_of(name, 9, second)])
            except LimitError:
                return kept
            kept.append(identity(name))

    kept = [order for orders in all_at_once(lasting_place, work) for order in orders]
    store = open_store(lasting_place)
    for spool in (SPOOL, SECOND):
        assert set(kept) == {r.order for r in stock_of(JobDesk(store), spool).state.reserved}
        never_beyond_free(store, spool)
    store.close()


def test_parts_promised_freed_and_used_at_once(lasting_place):
    """Benches that take parts, give them back and use them never hold more than there are."""
    shelf(open_store(lasting_place)).store.close()

    def work(desk: JobDesk, number: int):
        used = 0
        for turn in range(6):
            name = f"{number}.{turn}"
            event = happening("reserved", 1, name=name, order=identity(name), count=3)
            try:
                reserve(desk, [Promise(PARTS, event)])
            except LimitError:
                continue
            if turn % 3 == 0:
                more = happening("used", 2, name=f"{name} used", order=identity(name), count=3)
                note(desk, PARTS, more)
                used += 3
            else:
                freed = happening("freed", 2, name=f"{name} freed", order=identity(name))
                release(desk, {PARTS: freed})
        return used

    used = sum(all_at_once(lasting_place, work))
    store = open_store(lasting_place)
    state = stock_of(JobDesk(store), PARTS).state
    assert (20 - used, 0) == (state.count, state.reserved_count)
    assert 0 == state.beyond_count
    never_beyond_free(store, PARTS)
    store.close()


def coming_between(store, other) -> Any:
    """Give a store at which another bench comes first, once."""
    return Between(store, other)


class Between:
    """A store at which another bench does something just before the first write."""

    def __init__(self, store, other) -> None:
        self._store, self._other = store, other

    def write(self, writes):
        """Let the other bench go first, once."""
        other, self._other = self._other, None
        if other is not None:
            other()
        return self._store.write(writes)

    def __getattr__(self, name: str):
        return getattr(self._store, name)


def test_whoever_writes_in_between_the_promise_is_decided_anew(store):
    """Between look and write another bench promises, uses, or weighs: the second look counts."""
    desk = shelf(store)
    others = {
        "promise": lambda: reserve(desk, [Promise(SPOOL, happening("reserved", 1, order=OTHER,
                                                                  length="60 m"))]),
        "use": lambda: note(desk, SPOOL, happening("used", 1, length="60 m")),
    }  # fmt: skip
    for name, other in others.items():
        late = JobDesk(coming_between(store, other))
        promise = Promise(SPOOL, happening("reserved", 2, name=name, order=ORDER, length="50 m"))
        try:
            reserve(late, [promise])
        except LimitError:
            pass
        else:
            raise AssertionError(f"promised although another bench came between with a {name}")
        state = stock_of(desk, SPOOL).state
        assert state.reserved_length <= max(state.spool.length, 60.0)
        if name == "promise":
            release(desk, {SPOOL: happening("freed", 3, order=OTHER)})
            assert 0.0 == stock_of(desk, SPOOL).state.reserved_length
    # What still fits after the other came between is promised at the second try.
    moves = happening("moved", 4, place="rack")
    after = JobDesk(coming_between(store, lambda: note(desk, SPOOL, moves)))
    kept = reserve(after, [Promise(SPOOL, happening("reserved", 5, order=ORDER, length="20 m"))])
    assert 20.0 == kept[0].state.reserved_length
