"""The voice of the app: every listener is told of a change at once, by one thread for all."""

from __future__ import annotations

import asyncio
import contextlib
import threading
import time
from collections.abc import AsyncIterator

from own_loop import in_own_loop
from strandwright.errors import StoreUnusable
from strandwright.store.memory import MemoryStore
from strandwright.web.live import LULL, Voice

AT = "2026-03-02T09:00:00Z"


def _keep(store: MemoryStore) -> None:
    revision = len(store.revisions("bow", "B"))
    store.save("bow", "B", {"n": revision}, at=AT, expected=revision)


async def _told(marks: AsyncIterator[int]) -> tuple[int, float]:
    mark = await asyncio.wait_for(anext(marks), 10.0)
    return mark, time.monotonic()


def _waiting(before: set[threading.Thread]) -> list[threading.Thread]:
    new = set(threading.enumerate()) - before
    return [thread for thread in new if thread.name.endswith("(_wait)")]


def test_everybody_is_told_what_stands_and_then_each_change():
    """Whoever joins late is told at once where the store is."""
    before = set(threading.enumerate())

    async def listen() -> None:
        store = MemoryStore()
        voice = Voice(store)
        async with contextlib.aclosing(voice.marks()) as one:
            assert 0 == (await _told(one))[0]
            _keep(store)
            async with contextlib.aclosing(voice.marks()) as two:
                assert 1 == (await _told(one))[0] == (await _told(two))[0]
                assert 1 == len(_waiting(before))
                written = time.monotonic()
                _keep(store)
                for marks in (one, two):
                    mark, heard = await _told(marks)
                    assert 2 == mark
                    assert heard - written < 2.0

    in_own_loop(listen())


def test_the_thread_ends_when_nobody_listens():
    """An app without pages asks the store for nothing."""
    before = set(threading.enumerate())

    async def listen() -> None:
        async with contextlib.aclosing(Voice(MemoryStore()).marks()) as marks:
            await _told(marks)
            assert 1 == len(_waiting(before))

    in_own_loop(listen())
    until = time.monotonic() + 5.0
    while _waiting(before) and time.monotonic() < until:
        time.sleep(0.05)
    assert [] == _waiting(before)


def test_changes_that_come_one_upon_the_other_are_told_together():
    """A page that is dragged on is not told of each step, but of the last."""

    async def listen() -> list[int]:
        store = MemoryStore()
        heard: list[int] = []
        async with contextlib.aclosing(Voice(store).marks()) as marks:
            await _told(marks)
            for _ in range(50):
                _keep(store)
                await asyncio.sleep(LULL / 50)
            while not heard or heard[-1] != 50:
                heard.append((await _told(marks))[0])
        return heard

    assert len(in_own_loop(listen())) <= 10


def test_a_store_that_fails_for_a_while_is_asked_again(monkeypatch):
    """The database was started anew: pages go on to be told."""
    monkeypatch.setattr("strandwright.web.live._PATIENCE", 0.05)
    store, failed = MemoryStore(), list[bool]()
    wait = store.wait

    def fails_at_first(mark: int, timeout: float) -> int:
        if len(failed) < 3:
            failed.append(True)
            raise StoreUnusable("memory: away")
        return wait(mark, timeout)

    monkeypatch.setattr(store, "wait", fails_at_first)

    async def listen() -> int:
        async with contextlib.aclosing(Voice(store).marks()) as marks:
            await _told(marks)
            await asyncio.sleep(0.3)
            _keep(store)
            return (await _told(marks))[0]

    assert 1 == in_own_loop(listen())
    assert 3 == len(failed)
