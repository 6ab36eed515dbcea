"""A watch over the mark of a store: who waits for a change is woken by it, whoever wrote it.

A store tells its watch of its own writes. Those of other programs are told by the database where
it can do so, as PostgreSQL can; where it cannot, or does not at this moment, the mark is looked at.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sqlalchemy import Engine

#: The mark is looked at so often where nobody tells of changes [s]
LOOK = 0.25
#: And so often where the database does: a message lost on the way is made good by it [s]
SELDOM = 5.0
#: A connection that was lost is tried again after this [s]
_AGAIN = 1.0
#: What the database calls it.
CHANNEL = "strandwright"


class Watch:
    """Wakes those who wait for a change. Safe to use from several threads.

    Parameters
    ----------
    mark : callable
        Gives the mark of the store.
    """

    def __init__(self, mark: Callable[[], int]) -> None:
        self._mark = mark
        self._changed = threading.Condition()
        self._count = 0
        self.look = LOOK
        self.is_over = threading.Event()

    def tell(self) -> None:
        """Tell that something may have changed."""
        with self._changed:
            self._count += 1
            self._changed.notify_all()

    def wait(self, mark: int, timeout: float) -> int:
        """Wait until the mark is another, or for so long.

        Parameters
        ----------
        mark : int
            The mark that is known [-]
        timeout : float
            How long at most [s]

        Returns
        -------
        int
            The mark now [-]
        """
        until = time.monotonic() + timeout
        while True:
            with self._changed:
                count = self._count
            found = self._mark()
            rest = until - time.monotonic()
            if found != mark or rest <= 0.0 or self.is_over.is_set():
                return found
            with self._changed:
                if self._count == count:
                    self._changed.wait(min(rest, self.look))

    def close(self) -> None:
        """Let everybody go who waits."""
        self.is_over.set()
        self.tell()


class ListeningWatch(Watch):
    """A watch that PostgreSQL tells of what other programs write.

    Parameters
    ----------
    mark : callable
        Gives the mark of the store.
    engine : Engine
        To the database.
    """

    def __init__(self, mark: Callable[[], int], engine: Engine) -> None:
        super().__init__(mark)
        self._engine = engine
        self._start = threading.Lock()
        self._thread: threading.Thread | None = None

    def wait(self, mark: int, timeout: float) -> int:
        """Wait as any watch does; the first who waits has the database asked to tell."""
        with self._start:
            if self._thread is None and not self.is_over.is_set():
                self._thread = threading.Thread(target=self._listen, daemon=True)
                self._thread.start()
        return super().wait(mark, timeout)

    def close(self) -> None:
        """Let everybody go, and end the connection that is listened on."""
        super().close()
        if self._thread is not None:
            self._thread.join(2 * _AGAIN)

    def _listen(self) -> None:
        while not self.is_over.is_set():
            try:
                self._hear()
            except Exception:
                # Whatever broke it: the mark is looked at until the database tells again.
                self.look = LOOK
                self.tell()
                self.is_over.wait(_AGAIN)

    def _hear(self) -> None:
        borrowed = self._engine.raw_connection()
        connection: Any = borrowed.driver_connection
        # It never goes back to those that are shared: it listens.
        borrowed.detach()
        try:
            connection.autocommit = True
            connection.execute(f"LISTEN {CHANNEL}")
            self.look = SELDOM
            # What was written before it listened has been told to nobody.
            self.tell()
            while not self.is_over.is_set():
                for _ in connection.notifies(timeout=_AGAIN, stop_after=1):
                    self.tell()
        finally:
            connection.close()
