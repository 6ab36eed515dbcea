"""Throttle: a wait after wrong passwords, longer each time, for a name and for an address.

Nobody is locked out for good, and nobody can lock another out for long: the wait of a name that is
tried from everywhere is short, that of one address at one name is long. An attempt counts before
it is looked at, so that many at once gain nothing; what was right takes back its own attempt and
no other's, so that an account of one's own buys no guesses at another.
"""

from __future__ import annotations

import ipaddress
import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

#: So many names and addresses are remembered; the oldest are forgotten first [-]
MOST = 20_000
#: What was tried so long ago counts no more [s]
FORGET = 3600.0


@dataclass(frozen=True)
class Rule:
    """How long a wait becomes.

    Attributes
    ----------
    free : int
        Attempts without a wait [-]
    first : float
        The first wait; each further one is twice as long [s]
    longest : float
        No wait is longer [s]
    """

    free: int
    first: float
    longest: float

    def wait(self, attempts: int) -> float:
        """Give the wait after so many attempts.

        Parameters
        ----------
        attempts : int
            Attempts that were wrong, or are not known to be right [-]

        Returns
        -------
        float
            How long [s]
        """
        if attempts < self.free:
            return 0.0
        return min(self.longest, self.first * 2.0 ** min(attempts - self.free, 40))


#: One address at one name; one address at whatever name; one name from wherever.
AT_NAME = Rule(5, 2.0, 900.0)
ADDRESS = Rule(10, 2.0, 900.0)
NAME = Rule(20, 2.0, 60.0)
#: One address and the codes of pairing.
PAIRING = Rule(5, 2.0, 900.0)

Key = tuple[Rule, str]


class Throttle:
    """Remembers attempts. Safe to use from several threads.

    Parameters
    ----------
    clock : callable
        Gives seconds that only grow.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._turn = threading.Lock()
        self._tried: OrderedDict[Key, tuple[int, float]] = OrderedDict()

    def attempt(self, keys: tuple[Key, ...]) -> float:
        """Count an attempt, unless one must wait.

        Parameters
        ----------
        keys : tuple
            What it counts for, each with its rule.

        Returns
        -------
        float
            0 where it may be looked at now; else how long to wait, and nothing is counted [s]
        """
        now = self._clock()
        with self._turn:
            wait = max(self._rest(key, now) for key in keys)
            if wait > 0.0:
                return wait
            for key in keys:
                count, _ = self._known(key, now)
                self._tried[key] = (count + 1, now)
                self._tried.move_to_end(key)
            while len(self._tried) > MOST:
                self._tried.popitem(last=False)
        return 0.0

    def passed(self, keys: tuple[Key, ...], *, forgotten: tuple[Key, ...] = ()) -> None:
        """Take back an attempt that was right.

        Parameters
        ----------
        keys : tuple
            What it counted for.
        forgotten : tuple
            Those of them whose earlier attempts count no more either.
        """
        with self._turn:
            for key in keys:
                count, last = self._tried.get(key, (0, 0.0))
                if count <= 1 or key in forgotten:
                    self._tried.pop(key, None)
                else:
                    self._tried[key] = (count - 1, last)

    def _known(self, key: Key, now: float) -> tuple[int, float]:
        count, last = self._tried.get(key, (0, now))
        return (0, now) if now - last > FORGET else (count, last)

    def _rest(self, key: Key, now: float) -> float:
        count, last = self._known(key, now)
        return key[0].wait(count) - (now - last) if count else 0.0


def sign_in_keys(name: str, address: str) -> tuple[Key, ...]:
    """Give what an attempt to sign in counts for.

    Parameters
    ----------
    name : str
        The name, as it was typed.
    address : str
        Where it came from.

    Returns
    -------
    tuple
        The name at that address first.
    """
    named, place = name.strip().lower()[:60], place_of(address)
    return (AT_NAME, f"{named} at {place}"), (ADDRESS, place), (NAME, named)


def place_of(address: str) -> str:
    """Give what counts as one place: an IPv4 address, or a network of IPv6 that one house has.

    Parameters
    ----------
    address : str
        Address of the peer.

    Returns
    -------
    str
        The address, or its network of 64 bits.
    """
    try:
        read = ipaddress.ip_address(address.split("%")[0])
    except ValueError:
        return address
    if isinstance(read, ipaddress.IPv4Address):
        return str(read)
    if read.ipv4_mapped is not None:
        return str(read.ipv4_mapped)
    return str(ipaddress.ip_network((read, 64), strict=False))
