"""Paired phones over a store: each may count and send photos at one bench, until it is sent off."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Callable
from dataclasses import dataclass

from strandwright.errors import NotFound, SpecError
from strandwright.planning.people.audit import audit_writes
from strandwright.planning.ports import Store
from strandwright.workshop.account import PHONE, Paired
from strandwright.workshop.documents import Document
from strandwright.workshop.job import noun_from_table
from strandwright.workshop.writes import Save

#: Kind of document that a paired phone is: it is somebody who may come in.
KIND = "account"


@dataclass(frozen=True)
class KeptPhone:
    """A paired phone as it is kept.

    Attributes
    ----------
    id : str
        Its identity.
    paired : Paired
        What it is known by.
    revision : int
        Newest revision [-]
    put_away : bool
        True where it was sent off.
    saved_at : str
        When it was paired or sent off, UTC.
    """

    id: str
    paired: Paired
    revision: int
    put_away: bool
    saved_at: str


class Phones:
    """Which phones are paired. Safe to use from several threads.

    Parameters
    ----------
    store : Store
        Where they are kept.
    now : callable
        Gives the moment as records hold it.
    """

    def __init__(self, store: Store, now: Callable[[], str]) -> None:
        self._store = store
        self._now = now

    def pair(self, label: str, bench: str, *, by: str) -> tuple[KeptPhone, str]:
        """Pair a phone.

        Parameters
        ----------
        label : str
            What to call it.
        bench : str
            The bench it counts at.
        by : str
            Who pairs it.

        Returns
        -------
        phone : KeptPhone
            As kept.
        token : str
            256 random bits that only the phone holds; kept is their digest.

        Raises
        ------
        InputError
            If it has no name.
        """
        named = " ".join(label.split())[:30]
        if not named:
            raise SpecError("label", label[:60], "must not be empty", "say whose phone it is")
        token = secrets.token_urlsafe(32)
        digest = _digest(token)
        paired = Paired(label=named, bench=bench, by=by[:60], token=digest)
        phone = KeptPhone(f"{PHONE}{digest[:16]}", paired, 1, False, self._now())
        told = {"phone": phone.id, "label": named, "bench": bench}
        self._write(phone, 0, "paired", told, by)
        return phone, token

    def known_by(self, token: str, bench: str) -> KeptPhone | None:
        """Give the phone that holds a token, if it is still paired with a bench.

        Parameters
        ----------
        token : str
            What it holds.
        bench : str
            The bench.

        Returns
        -------
        KeptPhone or None
            None where no phone in use holds it, or it belongs to another bench.
        """
        digest = _digest(token)
        phone = self.find(f"{PHONE}{digest[:16]}")
        if phone is None or phone.put_away or phone.paired.bench != bench:
            return None
        return phone if hmac.compare_digest(phone.paired.token, digest) else None

    def find(self, id: str) -> KeptPhone | None:
        """Give a paired phone.

        Parameters
        ----------
        id : str
            Its identity.

        Returns
        -------
        KeptPhone or None
            None where there is none.
        """
        try:
            return _phone(self._store.document(KIND, id)) if id.startswith(PHONE) else None
        except NotFound:
            return None

    def all(self) -> tuple[KeptPhone, ...]:
        """Give every phone that was ever paired.

        Returns
        -------
        tuple of KeptPhone
            Those sent off too.
        """
        found = self._store.documents(KIND)
        return tuple(_phone(d) for d in found if d.id.startswith(PHONE))

    def send_off(self, id: str, *, by: str) -> None:
        """Let a phone in no more.

        Parameters
        ----------
        id : str
            Its identity.
        by : str
            Who says so.

        Raises
        ------
        NotFound
            If there is no such phone.
        """
        known = self.find(id)
        if known is None:
            raise NotFound("phone", id[:60])
        if not known.put_away:
            off = KeptPhone(id, known.paired, known.revision + 1, True, self._now())
            told = {"phone": id, "label": known.paired.label}
            self._write(off, known.revision, "unpaired", told, by)

    def _write(
        self, phone: KeptPhone, expected: int, type: str, told: dict[str, str], by: str
    ) -> None:
        table = phone.paired.model_dump(mode="json")
        save = Save(KIND, phone.id, table, phone.saved_at, expected, phone.put_away)
        self._store.write([save, *audit_writes(type, told, at=phone.saved_at, by=by)])


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def _phone(document: Document) -> KeptPhone:
    paired = noun_from_table(Paired, document.table, "phone")
    return KeptPhone(document.id, paired, document.revision, document.put_away, document.saved_at)
