"""Seals: the records of two stores or backups compared one by one, however many there are.

What is compared lies in a file beside the trial, not in memory: a shop of years holds millions.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from strandwright.workshop.documents import Table

#: So many differences are named; the others are counted [-]
NAMED = 5


@dataclass(frozen=True)
class Compared:
    """What came of comparing records with those that are sealed.

    Attributes
    ----------
    same : int
        Records that are the same in both [-]
    changed, missing, added : int
        Records that differ, that lack here, and that are only here [-]
    older : int
        Among the added, those dated no later than the newest sealed record [-]
    names : tuple of str
        Some of those that are changed or missing, or added though they are older, in words.
    """

    same: int
    changed: int
    missing: int
    added: int
    older: int
    names: tuple[str, ...]

    @property
    def is_equal(self) -> bool:
        """Whether both hold the very same records."""
        return not (self.changed or self.missing or self.added)

    @property
    def holds_all(self) -> bool:
        """Whether every sealed record is here as it was."""
        return not (self.changed or self.missing)


class Seals:
    """The seal of every record of a backup.

    Parameters
    ----------
    file : Path
        A new file to hold them.
    """

    def __init__(self, file: Path) -> None:
        self._rows = sqlite3.connect(file, isolation_level=None)
        self._rows.execute("PRAGMA journal_mode = off")
        self._rows.execute("PRAGMA synchronous = off")
        self._rows.execute("BEGIN")
        self._rows.execute(
            "CREATE TABLE sealed (name TEXT PRIMARY KEY, seal BLOB, seen INTEGER) WITHOUT ROWID"
        )
        self.newest = ""
        self.kinds: dict[str, int] = {}
        self._round = 0

    def add(self, records: Iterable[Table]) -> int:
        """Seal records.

        Parameters
        ----------
        records : iterable of dict
            As a backup holds them.

        Returns
        -------
        int
            How many there were [-]
        """
        count = 0
        for record in records:
            row = (name_of(record), _seal(record))
            self._rows.execute("INSERT INTO sealed VALUES (?, ?, 0)", row)
            self.newest = max(self.newest, moment_of(record))
            kind = _kind(record)
            self.kinds[kind] = self.kinds.get(kind, 0) + 1
            count += 1
        return count

    def compare(self, records: Iterable[Table], until: str) -> Compared:
        """Compare other records with those that are sealed.

        Parameters
        ----------
        records : iterable of dict
            As a store gives them.
        until : str
            What is added and dated no later than this is told apart, UTC.

        Returns
        -------
        Compared
            What came of it.
        """
        self._round += 1
        same = changed = added = older = 0
        names: list[str] = []
        for record in records:
            name = name_of(record)
            found = self._rows.execute("SELECT seal FROM sealed WHERE name = ?", (name,)).fetchone()
            if found is None:
                added += 1
                if moment_of(record) <= until:
                    older += 1
                    names.append(f"{name} is only in the store")
                continue
            self._rows.execute("UPDATE sealed SET seen = ? WHERE name = ?", (self._round, name))
            if found[0] == _seal(record):
                same += 1
            else:
                changed += 1
                names.append(f"{name} differs")
            del names[NAMED:]
        missing = "FROM sealed WHERE seen <> ?"
        (lacking,) = self._rows.execute(f"SELECT count(*) {missing}", (self._round,)).fetchone()
        first = self._rows.execute(f"SELECT name {missing} LIMIT {NAMED}", (self._round,))
        names += [f"{row[0]} is only in the backup" for row in first]
        return Compared(same, changed, lacking, added, older, tuple(names[:NAMED]))

    def close(self) -> None:
        """Let go of the file."""
        self._rows.close()


def name_of(record: Mapping[str, Any]) -> str:
    """Name a record, so that the same one has the same name wherever it is kept.

    Parameters
    ----------
    record : mapping
        As a backup holds it.

    Returns
    -------
    str
        In words.
    """
    match record["record"]:
        case "document":
            return f"{record['kind']} {record['id']}, revision {record['revision']}"
        case "event":
            return f"event {record['seq']} of log {record.get('log', record.get('build'))}"
        case "build" | "log":
            return f"log {record['id']}"
        case what:
            return f"{what} {record['id']}"


def moment_of(record: Mapping[str, Any]) -> str:
    """Give the moment of a record.

    Parameters
    ----------
    record : mapping
        As a backup holds it.

    Returns
    -------
    str
        UTC.
    """
    if record["record"] == "event":
        return str(record["event"].get("at", ""))
    for key in ("saved_at", "made_at", "began_at", "kept_at"):
        if key in record:
            return str(record[key])
    return ""


def _kind(record: Mapping[str, Any]) -> str:
    what = record["record"]
    return "log" if what == "build" else str(what)


def _seal(record: Mapping[str, Any]) -> bytes:
    """Seal a record; a backup of the first version called the log of an event its build."""
    told = {("log" if key == "build" else key): value for key, value in record.items()}
    return hashlib.sha256(json.dumps(told, sort_keys=True).encode()).digest()
