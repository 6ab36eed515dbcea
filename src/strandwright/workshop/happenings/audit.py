"""Happenings of the audit log: who came in, who was refused, and who gave whom which leave."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from pydantic import Field

from strandwright.workshop.account import Role
from strandwright.workshop.fields import Noun

Body = dict[str, Any]


class SignedIn(Noun):
    """Somebody signed in."""

    name: str = Field(max_length=30)
    address: str = Field(default="", max_length=60)


class SignInRefused(Noun):
    """A sign-in was refused.

    What was typed for a name nobody has is not kept: it may have been a password.
    """

    name: str = Field(default="", max_length=30, description="empty where nobody has it")
    address: str = Field(default="", max_length=60)


class SignedOut(Noun):
    """Somebody signed out, here or at every bench."""

    name: str = Field(max_length=30)
    everywhere: bool = Field(default=False, strict=True)


class AccountAdded(Noun):
    """An account was added."""

    name: str = Field(max_length=30)
    role: Role


class RoleChanged(Noun):
    """An account was given another role."""

    name: str = Field(max_length=30)
    role: Role
    was: Role


class PasswordChanged(Noun):
    """A password was changed; every session of that account ended."""

    name: str = Field(max_length=30)


class AccountPutAway(Noun):
    """An account may not sign in any more, or may again."""

    name: str = Field(max_length=30)
    put_away: bool = Field(default=True, strict=True)


class CertificateMade(Noun):
    """The shop made a certificate."""

    names: tuple[str, ...] = Field(max_length=40)
    fingerprint: str = Field(max_length=100)
    until: str = Field(max_length=40)


class PairedPhone(Noun):
    """A phone was paired with a bench."""

    phone: str = Field(max_length=40)
    label: str = Field(max_length=30)
    bench: str = Field(default="", max_length=28)


class Unpaired(Noun):
    """A paired phone was sent off."""

    phone: str = Field(max_length=40)
    label: str = Field(max_length=30)


class BackupTaken(Noun):
    """Everything kept was written into a file."""

    records: int = Field(ge=0, strict=True)


#: Each type of event of the audit log with its body today.
BODIES: dict[str, type[Noun]] = {
    "signed-in": SignedIn,
    "sign-in-refused": SignInRefused,
    "signed-out": SignedOut,
    "account-added": AccountAdded,
    "role-changed": RoleChanged,
    "password-changed": PasswordChanged,
    "account-put-away": AccountPutAway,
    "certificate-made": CertificateMade,
    "paired": PairedPhone,
    "unpaired": Unpaired,
    "backup-taken": BackupTaken,
}
#: Today's version of each type that is not in its first.
VERSIONS: dict[str, int] = {}
#: From (type, version) to the body one version on.
UPCASTERS: dict[tuple[str, int], Callable[[Body], Body]] = {}
