"""Passwords: hashed by argon2id, checked in the same time whoever is named."""

from __future__ import annotations

import secrets
import threading
from typing import TYPE_CHECKING

from strandwright.errors import SpecError
from strandwright.workshop.account import same_form

if TYPE_CHECKING:
    from argon2 import PasswordHasher

#: RFC 9106, section 4, the second recommended choice: 3 passes over 64 MiB in 4 lanes. OWASP's
#: Password Storage Cheat Sheet asks for 2 passes over 19 MiB in 1 lane or more.
PASSES, MEMORY, LANES = 3, 65536, 4
#: So many are worked out at once: each takes its memory, and nobody may take all of it [-]
AT_ONCE = 2


class Passwords:
    """Makes hashes and checks passwords against them. Safe to use from several threads.

    Parameters
    ----------
    passes : int
        Passes over the memory [-]
    memory : int
        Memory of one hash [KiB]
    lanes : int
        Lanes worked at side by side [-]

    Raises
    ------
    InputError
        If the library that hashes is not installed.
    """

    def __init__(self, passes: int = PASSES, memory: int = MEMORY, lanes: int = LANES) -> None:
        self._hasher = _hasher(passes, memory, lanes)
        self._turn = threading.BoundedSemaphore(AT_ONCE)
        # Whoever names nobody's account waits as long as for a wrong password.
        self._nobody = self._hasher.hash(secrets.token_hex(32))

    def hash(self, password: str) -> str:
        """Hash a password with a salt of its own.

        Parameters
        ----------
        password : str
            The password.

        Returns
        -------
        str
            Hash with its parameters, as argon2 writes it.
        """
        with self._turn:
            return self._hasher.hash(same_form(password))

    def fits(self, kept: str | None, password: str) -> bool:
        """Whether a password is the one that was hashed.

        Parameters
        ----------
        kept : str or None
            The hash; None where nobody has the name: that takes the same time.
        password : str
            The password.

        Returns
        -------
        bool
            True where it is.
        """
        from argon2.exceptions import InvalidHashError, VerificationError

        with self._turn:
            try:
                self._hasher.verify(self._nobody if kept is None else kept, same_form(password))
            except (VerificationError, InvalidHashError):
                return False
        return kept is not None

    def is_weaker(self, kept: str) -> bool:
        """Whether a hash was made with other parameters than today's.

        Parameters
        ----------
        kept : str
            The hash.

        Returns
        -------
        bool
            True where it is to be made anew.
        """
        return self._hasher.check_needs_rehash(kept)


def _hasher(passes: int, memory: int, lanes: int) -> PasswordHasher:
    try:
        from argon2 import PasswordHasher
    except ImportError as error:
        rule = "needs the library argon2-cffi, which is not installed"
        remedy = "install it with pip install 'strandwright[listen]'"
        raise SpecError("sign-in", "nothing", rule, remedy) from error
    return PasswordHasher(time_cost=passes, memory_cost=memory, parallelism=lanes)
