"""Pairing: codes that let one phone in once, shown at the bench as a QR code for two minutes."""

from __future__ import annotations

import hashlib
import secrets
import threading
import time
from collections.abc import Callable

#: A code is good for so long [s]
GOOD_FOR = 120.0
#: So many codes are out at once; the oldest is taken back first [-]
MOST = 8


class Codes:
    """The codes that are out. Safe to use from several threads.

    Parameters
    ----------
    clock : callable
        Gives seconds that only grow.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._turn = threading.Lock()
        self._out: dict[str, tuple[float, str]] = {}

    def give(self, by: str) -> str:
        """Give a code.

        Parameters
        ----------
        by : str
            Who pairs.

        Returns
        -------
        str
            128 random bits; kept is their digest.
        """
        code = secrets.token_hex(16)
        with self._turn:
            self._drop_old()
            while len(self._out) >= MOST:
                del self._out[min(self._out, key=lambda digest: self._out[digest][0])]
            self._out[_digest(code)] = (self._clock(), by)
        return code

    def take(self, code: str) -> str | None:
        """Take a code back: it is good for once.

        Parameters
        ----------
        code : str
            What a phone sent.

        Returns
        -------
        str or None
            Who gave it; None where it is not out, or too old.
        """
        with self._turn:
            self._drop_old()
            _, by = self._out.pop(_digest(code), (0.0, None))
            return by

    def _drop_old(self) -> None:
        now = self._clock()
        for digest in [d for d, (at, _) in self._out.items() if now - at > GOOD_FOR]:
            del self._out[digest]


def _digest(code: str) -> str:
    return hashlib.sha256(code.encode("utf-8", "replace")).hexdigest()
