"""Accounts over a store: added, given roles and passwords, put away, each act in the audit log."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

from strandwright.errors import Conflict, NotFound, SpecError
from strandwright.planning.people.audit import audit_writes
from strandwright.planning.people.passwords import Passwords
from strandwright.planning.ports import Store
from strandwright.workshop.account import (
    PHONE,
    Account,
    account_name,
    refuse_weak,
    role_of,
)
from strandwright.workshop.documents import Document, Table
from strandwright.workshop.events import as_moment
from strandwright.workshop.job import noun_from_table
from strandwright.workshop.writes import Save

#: Kind of document that an account is.
KIND = "account"


@dataclass(frozen=True)
class KeptAccount:
    """An account as it is kept.

    Attributes
    ----------
    account : Account
        Who may sign in.
    revision : int
        Newest revision [-]
    put_away : bool
        True where nobody signs in by it any more.
    saved_at : str
        When it was changed last, UTC.
    """

    account: Account
    revision: int
    put_away: bool
    saved_at: str


class People:
    """Who may sign in. Safe to use from several threads.

    Parameters
    ----------
    store : Store
        Where accounts are kept.
    clock : callable
        Gives the moment, with its offset from UTC.
    passwords : Passwords or None
        Hashes passwords; None makes one when it is needed.
    """

    def __init__(
        self,
        store: Store,
        clock: Callable[[], datetime] = lambda: datetime.now(UTC),
        passwords: Passwords | None = None,
    ) -> None:
        self.store = store
        self._clock = clock
        self._passwords = passwords

    @property
    def passwords(self) -> Passwords:
        """What hashes passwords."""
        if self._passwords is None:
            self._passwords = Passwords()
        return self._passwords

    def now(self) -> str:
        """Give the moment as records hold it.

        Returns
        -------
        str
            UTC.
        """
        return as_moment(self._clock())

    def audit(self, type: str, by: str, **body: Any) -> None:
        """Write a line into the audit log.

        Parameters
        ----------
        type : str
            Type of the event.
        by : str
            Who did it, and where.
        **body : object
            What happened.
        """
        self.store.write(audit_writes(type, body, at=self.now(), by=by))

    def all(self) -> tuple[KeptAccount, ...]:
        """Give every account, those put away too.

        Returns
        -------
        tuple of KeptAccount
            By name.
        """
        found = self.store.documents(KIND)
        return tuple(_account(d) for d in found if not d.id.startswith(PHONE))

    def find(self, typed: str) -> KeptAccount | None:
        """Give the account of a name.

        Parameters
        ----------
        typed : str
            The name, as it was typed.

        Returns
        -------
        KeptAccount or None
            None where nobody has it.
        """
        try:
            return _account(self.store.document(KIND, account_name(typed)))
        except (NotFound, SpecError):
            return None

    def add(self, typed: str, role: str, password: str, *, by: str) -> KeptAccount:
        """Add an account.

        Parameters
        ----------
        typed : str
            The name to sign in with.
        role : str
            Its role; that of the first account must be owner.
        password : str
            Its password.
        by : str
            Who adds it.

        Returns
        -------
        KeptAccount
            As kept.

        Raises
        ------
        InputError
            If the name, the role or the password cannot be used.
        Conflict
            If somebody has that name already.
        """
        name, wanted = account_name(typed), role_of(role)
        if self.find(name) is not None:
            raise Conflict("account", name, "is there already", "take another name")
        if wanted != "owner" and not self._owners():
            rule = "must be owner where nobody is owner yet"
            raise SpecError("role", role, rule, "add the owner first")
        refuse_weak(password, name)
        account = Account(name=name, role=wanted, hash=self.passwords.hash(password))
        return self._keep(account, None, by, "account-added", {"name": name, "role": wanted})

    def change_role(self, typed: str, role: str, *, by: str) -> KeptAccount:
        """Give an account another role.

        Parameters
        ----------
        typed : str
            Its name.
        role : str
            The role.
        by : str
            Who changes it.

        Returns
        -------
        KeptAccount
            As kept.

        Raises
        ------
        InputError
            If there is no such role, or nobody would be owner.
        NotFound
            If there is no such account.
        """
        known, wanted = self._known(typed), role_of(role)
        was = known.account.role
        if was == wanted:
            return known
        if wanted != "owner":
            self._refuse_ownerless(known)
        account = known.account.model_copy(update={"role": wanted})
        told = {"name": account.name, "role": wanted, "was": was}
        return self._keep(account, known, by, "role-changed", told)

    def change_password(self, typed: str, password: str, *, by: str) -> KeptAccount:
        """Give an account another password; every session of it ends.

        Parameters
        ----------
        typed : str
            Its name.
        password : str
            The new password.
        by : str
            Who changes it.

        Returns
        -------
        KeptAccount
            As kept.

        Raises
        ------
        InputError
            If the password is soon guessed.
        NotFound
            If there is no such account.
        """
        known = self._known(typed)
        refuse_weak(password, known.account.name)
        change = {"hash": self.passwords.hash(password), "era": known.account.era + 1}
        account = known.account.model_copy(update=change)
        return self._keep(account, known, by, "password-changed", {"name": account.name})

    def put_away(self, typed: str, put_away: bool, *, by: str) -> KeptAccount:
        """Let nobody sign in by an account any more, or let them again.

        Parameters
        ----------
        typed : str
            Its name.
        put_away : bool
            Whether it is out of use.
        by : str
            Who says so.

        Returns
        -------
        KeptAccount
            As kept; sessions begun before have ended.

        Raises
        ------
        InputError
            If nobody would be owner.
        NotFound
            If there is no such account.
        """
        known = self._known(typed)
        if known.put_away == put_away:
            return known
        if put_away:
            self._refuse_ownerless(known)
        account = known.account.model_copy(update={"era": known.account.era + 1})
        told = {"name": account.name, "put_away": put_away}
        changed = replace(known, put_away=put_away)
        return self._keep(account, changed, by, "account-put-away", told)

    def end_sessions(self, typed: str, *, by: str) -> KeptAccount:
        """End every session of an account, at whatever bench.

        Parameters
        ----------
        typed : str
            Its name.
        by : str
            Who says so.

        Returns
        -------
        KeptAccount
            As kept.

        Raises
        ------
        NotFound
            If there is no such account.
        """
        known = self._known(typed)
        account = known.account.model_copy(update={"era": known.account.era + 1})
        told = {"name": account.name, "everywhere": True}
        return self._keep(account, known, by, "signed-out", told)

    def check(self, typed: str, password: str) -> KeptAccount | None:
        """Check a password, in the same time whether or not somebody has the name.

        A hash that was made with weaker parameters is made anew.

        Parameters
        ----------
        typed : str
            The name, as it was typed.
        password : str
            The password.

        Returns
        -------
        KeptAccount or None
            None where it does not fit, nobody has the name, or the account is put away.
        """
        known = self.find(typed)
        fits = self.passwords.fits(known.account.hash if known else None, password)
        if known is None or known.put_away or not fits:
            return None
        if self.passwords.is_weaker(known.account.hash):
            return self._hash_anew(known, password)
        return known

    def _hash_anew(self, known: KeptAccount, password: str) -> KeptAccount:
        change = {"hash": self.passwords.hash(password)}
        account = known.account.model_copy(update=change)
        save = _saved(account, known.revision, False, self.now())
        try:
            self.store.write([save])
        except Conflict:  # changed elsewhere in this moment: what is there now is newer
            return self.find(account.name) or known
        return KeptAccount(account, known.revision + 1, False, save.at)

    def _keep(
        self, account: Account, known: KeptAccount | None, by: str, type: str, told: Table
    ) -> KeptAccount:
        """Keep an account and the line in the audit log that tells of it, both or neither."""
        at = self.now()
        revision, put_away = (known.revision, known.put_away) if known else (0, False)
        save = _saved(account, revision, put_away, at)
        self.store.write([save, *audit_writes(type, told, at=at, by=by)])
        return KeptAccount(account, revision + 1, put_away, at)

    def _known(self, typed: str) -> KeptAccount:
        known = self.find(typed)
        if known is None:
            raise NotFound("account", typed[:60])
        return known

    def _owners(self) -> list[str]:
        return [k.account.name for k in self.all() if k.account.role == "owner" and not k.put_away]

    def _refuse_ownerless(self, known: KeptAccount) -> None:
        if self._owners() == [known.account.name]:
            rule = "must stay an owner in use: it is the last one"
            raise SpecError("account", known.account.name, rule, "make somebody else owner first")


def _saved(account: Account, expected: int, put_away: bool, at: str) -> Save:
    return Save(KIND, account.name, account.model_dump(mode="json"), at, expected, put_away)


def _account(document: Document) -> KeptAccount:
    account = noun_from_table(Account, document.table, "account")
    return KeptAccount(account, document.revision, document.put_away, document.saved_at)
