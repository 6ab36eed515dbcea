"""The voice of the app: tells every page at once that something kept has changed.

One thread waits at the store for all who listen, and only while somebody does.
"""

from __future__ import annotations

import asyncio
import contextlib
import threading
from collections.abc import AsyncGenerator

from strandwright.errors import StoreError
from strandwright.planning.ports import Store

#: After each change that was told nothing is for so long: what comes meanwhile is one more [s]
LULL = 0.1
#: So long the thread waits at the store before it looks whether anybody still listens [s]
_PATIENCE = 1.0


class Voice:
    """Tells of changes.

    Parameters
    ----------
    store : Store
        Where records are kept.
    """

    def __init__(self, store: Store) -> None:
        self._store = store
        self._turn = threading.Lock()
        self._listeners: dict[asyncio.Event, asyncio.AbstractEventLoop] = {}
        self._thread: threading.Thread | None = None

    async def marks(self) -> AsyncGenerator[int]:
        """Give the mark of the store, and again whenever it has become another.

        Yields
        ------
        int
            The mark [-]
        """
        changed = asyncio.Event()
        self._join(changed, asyncio.get_running_loop())
        told = None
        try:
            while True:
                changed.clear()
                mark = await asyncio.to_thread(self._store.mark)
                if mark != told:
                    told = mark
                    yield mark
                    await asyncio.sleep(LULL)
                await changed.wait()
        finally:
            with self._turn:
                del self._listeners[changed]

    def _join(self, changed: asyncio.Event, loop: asyncio.AbstractEventLoop) -> None:
        with self._turn:
            self._listeners[changed] = loop
            if self._thread is None:
                self._thread = threading.Thread(target=self._wait, daemon=True)
                self._thread.start()

    def _wait(self) -> None:
        """Wait at the store for all, until nobody listens."""
        mark, pause = -1, threading.Event()
        while True:
            with self._turn:
                if not self._listeners:
                    self._thread = None
                    return
            try:
                found = self._store.wait(mark, _PATIENCE)
            except StoreError:
                pause.wait(_PATIENCE)
                continue
            if found != mark:
                mark = found
                self._tell()
            else:
                # A closed store answers at once.
                pause.wait(0.01)

    def _tell(self) -> None:
        with self._turn:
            for changed, loop in self._listeners.items():
                with contextlib.suppress(RuntimeError):  # its loop has ended
                    loop.call_soon_threadsafe(changed.set)
