"""Sessions: who has signed in at this bench, for how long, kept in memory by the digest of a token.

They end when the app does, when nothing was asked for a while, after a working day, when somebody
signs out, and at once when the account changes: its password, its being put away, or a wish to be
signed out everywhere raise its era, and a session holds the era it began in.
"""

from __future__ import annotations

import hashlib
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

#: Nothing asked for so long ends a session; a stretch under load may take as long [s]
IDLE = 2 * 3600.0
#: A session lasts no longer: a working day [s]
DAY = 12 * 3600.0
#: So many of one account are open at once; the oldest ends first [-]
MOST = 20


@dataclass(frozen=True)
class Session:
    """Somebody who has signed in.

    Attributes
    ----------
    id : str
        Digest of its token: names the session, and lets nobody in.
    name : str
        The account.
    era : int
        The account's era when it began [-]
    address : str
        Where it began.
    began : float
        When, on the clock of the sessions [s]
    seen : float
        When something was asked last [s]
    """

    id: str
    name: str
    era: int
    address: str
    began: float
    seen: float


class Sessions:
    """The sessions of one app. Safe to use from several threads.

    Parameters
    ----------
    clock : callable
        Gives seconds that only grow.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._turn = threading.Lock()
        self._open: dict[str, Session] = {}

    def begin(self, name: str, era: int, address: str) -> str:
        """Begin a session.

        Parameters
        ----------
        name : str
            The account.
        era : int
            Its era [-]
        address : str
            Where it begins.

        Returns
        -------
        str
            Its token, 256 random bits: never kept, and never one that was sent by anybody.
        """
        token, now = secrets.token_urlsafe(32), self._clock()
        session = Session(_digest(token), name, era, address, now, now)
        with self._turn:
            self._drop_old(now)
            own = sorted((s for s in self._open.values() if s.name == name), key=lambda s: s.seen)
            for old in own[: max(0, len(own) - MOST + 1)]:
                del self._open[old.id]
            self._open[session.id] = session
        return token

    def of(self, token: str, *, touch: bool) -> Session | None:
        """Give the session of a token.

        Parameters
        ----------
        token : str
            What a browser sent.
        touch : bool
            Whether this counts as being there.

        Returns
        -------
        Session or None
            None where there is none, or it has ended.
        """
        id, now = _digest(token), self._clock()
        with self._turn:
            session = self._open.get(id)
            if session is None:
                return None
            if _is_over(session, now):
                del self._open[id]
                return None
            if touch:
                self._open[id] = session = replace(session, seen=now)
            return session

    def end(self, id: str) -> None:
        """End a session.

        Parameters
        ----------
        id : str
            Its identity.
        """
        with self._turn:
            self._open.pop(id, None)

    def all(self) -> tuple[Session, ...]:
        """Give the sessions that are open.

        Returns
        -------
        tuple of Session
            The newest first.
        """
        with self._turn:
            self._drop_old(self._clock())
            return tuple(sorted(self._open.values(), key=lambda s: s.began, reverse=True))

    def ago(self, moment: float) -> float:
        """Say how long ago a moment of a session was.

        Parameters
        ----------
        moment : float
            On the clock of the sessions [s]

        Returns
        -------
        float
            Since then [s]
        """
        return self._clock() - moment

    def _drop_old(self, now: float) -> None:
        for session in [s for s in self._open.values() if _is_over(s, now)]:
            del self._open[session.id]


def _is_over(session: Session, now: float) -> bool:
    return now - session.seen > IDLE or now - session.began > DAY


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()
