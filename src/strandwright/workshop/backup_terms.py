"""Backup terms: where backups go, how often, which are kept; and how the last ones went."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from strandwright.workshop.fields import Noun
from strandwright.workshop.job import noun_from_table

#: Documents of kind "shop" that hold the terms, and how the last ones went
BACKUPS_ID = "backups"
STATE_ID = "backups-state"

Proved = Literal["proved", "in doubt", "failed"]


class BackupTerms(Noun):
    """Where backups go, how often one is taken, and which of them are kept."""

    folder: str = Field(min_length=1, max_length=400, description="a folder on this computer")
    computer: str = Field(
        default="", max_length=120, description="the one that takes them, by its name"
    )
    every_hours: int = Field(default=24, ge=1, le=720, strict=True)
    keep_last: int = Field(default=10, ge=1, le=1000, strict=True, description="the newest ones")
    daily: int = Field(
        default=7, ge=0, le=400, strict=True, description="days whose newest one is kept"
    )
    weekly: int = Field(
        default=5, ge=0, le=200, strict=True, description="weeks whose newest one is kept"
    )
    monthly: int = Field(
        default=12, ge=0, le=240, strict=True, description="months whose newest one is kept"
    )
    paused: bool = Field(default=False, strict=True, description="none is taken by the clock")


class GoodBackup(Noun):
    """A backup that was taken and read back to its end."""

    at: str = Field(max_length=40)
    file: str = Field(max_length=500)
    records: int = Field(ge=0, strict=True)
    seconds: float = Field(ge=0)
    computer: str = Field(default="", max_length=120)


class FailedBackup(Noun):
    """A backup that could not be taken."""

    at: str = Field(max_length=40)
    why: str = Field(max_length=1000)
    computer: str = Field(default="", max_length=120)


class BackupDrill(Noun):
    """A backup that was restored for trial."""

    at: str = Field(max_length=40)
    file: str = Field(max_length=500)
    proved: Proved
    said: tuple[str, ...] = ()
    seconds: float = Field(ge=0)


class BackupState(Noun):
    """How the last backups went; what is None never happened."""

    good: GoodBackup | None = None
    failed: FailedBackup | None = None
    drill: BackupDrill | None = None

    @property
    def is_failing(self) -> bool:
        """Whether the last one that was tried could not be taken."""
        return self.failed is not None and (self.good is None or self.good.at < self.failed.at)


def backup_terms_from_table(table: dict[str, Any]) -> BackupTerms:
    """Read terms of backups.

    Parameters
    ----------
    table : dict
        Plain values.

    Returns
    -------
    BackupTerms
        The terms.

    Raises
    ------
    InputError
        For one thing that cannot be used.
    InputErrors
        For several of them.
    """
    return noun_from_table(BackupTerms, table, "backups")


def noun_table(noun: Noun) -> dict[str, Any]:
    """Give terms or state as plain values, ready to be kept.

    Parameters
    ----------
    noun : Noun
        Either.

    Returns
    -------
    dict
        Those that are defaults left out.
    """
    return noun.model_dump(mode="json", exclude_defaults=True)
