"""Rotation: which backups in a folder are kept and which make room for newer ones."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from strandwright.errors import InputError
from strandwright.store.backup import heading_of

#: Backups taken by the clock, or into a folder, are called so.
_NAME = re.compile(r"strandwright-([0-9]{8}T[0-9]{6})Z\.jsonl\.gz")
_STAMP = "%Y%m%dT%H%M%S"


@dataclass(frozen=True)
class Found:
    """A backup that lies in a folder.

    Attributes
    ----------
    path : Path
        The file.
    at : datetime
        When it was taken, by its name, UTC.
    """

    path: Path
    at: datetime


@dataclass(frozen=True)
class Thinning:
    """Which backups are kept: one that any of the rules keeps stays.

    Attributes
    ----------
    last : int
        The newest ones, >= 1 [-]
    daily, weekly, monthly : int
        The newest one of each of so many days, weeks and months that have one [-]
    """

    last: int
    daily: int = 0
    weekly: int = 0
    monthly: int = 0

    def said(self) -> str:
        """Tell the rule in words.

        Returns
        -------
        str
            One sentence.
        """
        parts = ["the newest" if self.last == 1 else f"the newest {self.last}"]
        for count, word in ((self.daily, "day"), (self.weekly, "week"), (self.monthly, "month")):
            if count:
                those = f"the last {word}" if count == 1 else f"each of the last {count} {word}s"
                parts.append(f"the newest of {those} that {'has' if count == 1 else 'have'} one")
        said = parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
        return f"kept are {said}; weeks begin on Monday, days at midnight UTC"

    def kept(self, found: Iterable[Found]) -> frozenset[Path]:
        """Choose which are kept.

        Parameters
        ----------
        found : iterable of Found
            All there are.

        Returns
        -------
        frozenset of Path
            Those that stay; never empty where any is there.
        """
        newest = sorted(found, key=lambda one: (one.at, one.path.name), reverse=True)
        stay = {one.path for one in newest[: max(self.last, 1)]}
        rules: tuple[tuple[int, Callable[[datetime], object]], ...] = (
            (self.daily, lambda at: at.date()),
            (self.weekly, lambda at: at.isocalendar()[:2]),
            (self.monthly, lambda at: (at.year, at.month)),
        )
        for count, period in rules:
            first: dict[object, Path] = {}
            for one in newest:
                first.setdefault(period(one.at), one.path)
            stay |= set(list(first.values())[:count])
        return frozenset(stay)


def name_at(moment: datetime) -> str:
    """Name a backup by its moment.

    Parameters
    ----------
    moment : datetime
        When it is taken, with its offset from UTC.

    Returns
    -------
    str
        The file's name.
    """
    return f"strandwright-{moment.astimezone(UTC).strftime(_STAMP)}Z.jsonl.gz"


def backups_in(folder: Path) -> tuple[Found, ...]:
    """List the backups in a folder that are named by their moment.

    Parameters
    ----------
    folder : Path
        The folder.

    Returns
    -------
    tuple of Found
        The newest first; empty where the folder cannot be read.
    """
    found: list[Found] = []
    try:
        names = sorted(path.name for path in folder.iterdir())
    except OSError:
        return ()
    for name in names:
        at = _moment(name)
        if at is not None:
            found.append(Found(folder / name, at))
    return tuple(sorted(found, key=lambda one: (one.at, one.path.name), reverse=True))


def thin(folder: Path, thinning: Thinning) -> tuple[Path, ...]:
    """Take away the backups of a folder that no rule keeps.

    Parameters
    ----------
    folder : Path
        The folder.
    thinning : Thinning
        The rules.

    Returns
    -------
    tuple of Path
        Those that were taken away; a file that is named so and is no backup is never touched.
    """
    found = [one for one in backups_in(folder) if _is_backup(one.path)]
    stay = thinning.kept(found)
    gone = tuple(one.path for one in found if one.path not in stay)
    for path in gone:
        path.unlink(missing_ok=True)
    return gone


def _is_backup(path: Path) -> bool:
    try:
        heading_of(path)
    except InputError:
        return False
    return path.is_file() and not path.is_symlink()


def _moment(name: str) -> datetime | None:
    read = _NAME.fullmatch(name)
    if read is None:
        return None
    try:
        return datetime.strptime(read[1], _STAMP).replace(tzinfo=UTC)
    except ValueError:
        return None
