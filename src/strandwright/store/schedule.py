"""The schedule: takes backups by the clock while the app is open, whatever goes wrong."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from strandwright.planning.ports import Store
from strandwright.store.backups import state_of, take, terms_of, this_computer
from strandwright.workshop.backup_terms import BackupState, BackupTerms

#: How often the clock is looked at [s]
LOOK = 20.0
#: After one that failed the next is tried no later than this
_AGAIN = timedelta(minutes=15)
#: How long the app waits on closing for one that is being taken [s]
PATIENCE = 30.0


def is_due(terms: BackupTerms | None, state: BackupState, now: datetime, computer: str) -> bool:
    """Whether a backup is to be taken now.

    Parameters
    ----------
    terms : BackupTerms or None
        The shop's terms.
    state : BackupState
        How the last ones went.
    now : datetime
        The moment, with its offset from UTC.
    computer : str
        This computer: another's backups are its own affair.

    Returns
    -------
    bool
        True where it is. A last one that lies in the future, by a clock that was put right,
        counts for nothing.
    """
    if terms is None or terms.paused or terms.computer not in ("", computer):
        return False
    every = timedelta(hours=terms.every_hours)
    if state.is_failing and state.failed is not None:
        return _passed(state.failed.at, min(every, _AGAIN), now)
    return state.good is None or _passed(state.good.at, every, now)


def next_at(terms: BackupTerms | None, state: BackupState, computer: str) -> datetime | None:
    """Give when the next backup is due.

    Parameters
    ----------
    terms : BackupTerms or None
        The shop's terms.
    state : BackupState
        How the last ones went.
    computer : str
        This computer.

    Returns
    -------
    datetime or None
        None where none is taken by this computer's clock, or one is due from the first on.
    """
    if terms is None or terms.paused or terms.computer not in ("", computer):
        return None
    every = timedelta(hours=terms.every_hours)
    if state.is_failing and state.failed is not None:
        return datetime.fromisoformat(state.failed.at) + min(every, _AGAIN)
    return None if state.good is None else datetime.fromisoformat(state.good.at) + every


def _passed(last: str, span: timedelta, now: datetime) -> bool:
    since = now - datetime.fromisoformat(last)
    return since >= span or since < timedelta(0)


class Keeper(threading.Thread):
    """Takes backups by the clock; nothing that goes wrong ends it.

    Parameters
    ----------
    store : Store
        The store.
    clock : callable
        Gives the moment, with its offset from UTC.
    look : float
        How often the clock is looked at [s]
    """

    def __init__(
        self,
        store: Store,
        clock: Callable[[], datetime] = lambda: datetime.now(UTC),
        look: float = LOOK,
    ) -> None:
        super().__init__(name="backups", daemon=True)
        self._store, self._clock, self._look = store, clock, look
        self._ended = threading.Event()

    def run(self) -> None:
        """Look at the clock until told to stop."""
        while not self._ended.wait(self._look):
            self.look()

    def look(self) -> bool:
        """Take a backup if one is due.

        Returns
        -------
        bool
            True where one was taken.
        """
        try:
            terms, state = terms_of(self._store)[0], state_of(self._store)
            if not is_due(terms, state, self._clock(), this_computer()):
                return False
            take(self._store, self._clock)
        except Exception:
            # That it failed is kept, where the store lets it be; the next is tried all the same.
            return False
        return True

    def stop(self) -> None:
        """End, once a backup that is being taken is whole."""
        self._ended.set()
        if self.is_alive():
            self.join(PATIENCE)
