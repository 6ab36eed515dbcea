"""Service: what became of a finished line on its bow, one append-only entry after the other.

An entry never changes. A slip is put right by a *taken-back* entry that names it, and a new one.
The entries of one build are the events of a log of the kind ``service``, whose subject it is;
in files they stand in a table, each with its shots beside what it says.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, cast

from strandwright.errors import SpecError
from strandwright.workshop.documents import LogHead
from strandwright.workshop.events import EVENT_ID, Event, as_moment, event_of_table
from strandwright.workshop.fields import Noun
from strandwright.workshop.happenings.service import ENTRIES as BODIES
from strandwright.workshop.happenings.service import (
    MOST_SHOTS,
    DryFired,
    FigureOn,
    LengthOff,
    LookedOver,
    Measure,
    OffAndOn,
    OnBow,
    ReplaceBy,
    Retired,
    SetAsWanted,
    TakenBack,
    TurnsChanged,
    Waxed,
    Wear,
)
from strandwright.workshop.job import noun_from_table
from strandwright.workshop.said import short

FORMAT = 1
#: More entries than this of one line are a program gone wild [-]
MOST_ENTRIES = 5000

Table = dict[str, Any]

__all__ = [
    "BODIES", "FORMAT", "MOST_ENTRIES", "MOST_SHOTS", "VERSIONS", "DryFired", "FigureOn",
    "LengthOff", "LookedOver", "Measure", "OffAndOn", "OnBow", "ReplaceBy", "Retired",
    "ServiceEntry", "SetAsWanted", "TakenBack", "TurnsChanged", "Waxed", "Wear", "as_event",
    "counting", "entry_from_table", "entry_of", "log_head", "log_of", "service_from_table",
    "service_table",
]  # fmt: skip
#: Today's version of each type.
VERSIONS: dict[str, int] = dict.fromkeys(BODIES, 1)


@dataclass(frozen=True)
class ServiceEntry:
    """Something that happened to a line on its bow.

    Attributes
    ----------
    id : str
        32 hexadecimal digits, made where it was written; sent twice it is one.
    type : str
        One of :data:`BODIES`.
    at : str
        When it happened, UTC.
    shots : int
        Shots since the line came onto its bow [-]
    by : str
        Who or what wrote it.
    body : Noun
        What happened.
    """

    id: str
    type: str
    at: str
    shots: int
    by: str
    body: Noun

    @property
    def moment(self) -> datetime:
        """When it happened."""
        return datetime.fromisoformat(self.at)

    def table(self) -> Table:
        """Give the entry as plain values.

        Returns
        -------
        dict
            ``id``, ``type``, ``version``, ``at``, ``shots``, ``by``, ``body``.
        """
        return {
            "id": self.id,
            "type": self.type,
            "version": VERSIONS[self.type],
            "at": self.at,
            "shots": self.shots,
            "by": self.by,
            "body": self.body.model_dump(mode="json", exclude_defaults=True),
        }


def entry_from_table(table: Mapping[str, Any]) -> ServiceEntry:
    """Read an entry as it is stored or sent.

    Parameters
    ----------
    table : mapping
        As :meth:`ServiceEntry.table` gives it; without a version it is today's.

    Returns
    -------
    ServiceEntry
        The entry.

    Raises
    ------
    InputError
        For one thing that cannot be used.
    InputErrors
        For several of them.
    """
    kind, given = table.get("type"), table.get("id")
    if not isinstance(kind, str) or kind not in BODIES:
        rule = f"must be one of {', '.join(BODIES)}"
        raise SpecError("service.type", short(kind), rule, "choose one of these")
    if not isinstance(given, str) or not EVENT_ID.fullmatch(given):
        rule = "must be 32 hexadecimal digits in lower case"
        raise SpecError("service.id", short(given), rule, "make 128 random bits for every entry")
    version = table.get("version", VERSIONS[kind])
    if isinstance(version, bool) or version != VERSIONS[kind]:
        rule = f"must be a version of {kind} that is known here, {VERSIONS[kind]}"
        raise SpecError("service.version", short(version), rule, "use a newer strandwright")
    by = table.get("by", "")
    if not isinstance(by, str) or len(by) > 60:
        rule = "must be a text of up to 60 characters"
        raise SpecError("service.by", short(by), rule, "shorten it")
    body = table.get("body", {})
    if not isinstance(body, dict):
        raise SpecError(kind, short(body), "must be a table", "put its keys in { }")
    noun = noun_from_table(BODIES[kind], cast(Table, body), kind)
    return ServiceEntry(given, kind, _moment(table.get("at")), _shots(table), by, noun)


def service_from_table(table: Mapping[str, Any]) -> tuple[ServiceEntry, ...]:
    """Read the entries of a build.

    Parameters
    ----------
    table : mapping
        As :func:`service_table` gives it.

    Returns
    -------
    tuple of ServiceEntry
        In the order in which they were written.

    Raises
    ------
    InputError
        If it is no such table, of a version known here.
    """
    if table.get("format") != FORMAT or isinstance(table.get("format"), bool):
        rule = f"must be {FORMAT}, the format known here"
        raise SpecError("service.format", short(table.get("format")), rule, "use a newer one")
    rows = table.get("entries")
    if not isinstance(rows, list):
        raise SpecError("service.entries", short(rows), "must be a list of tables", "give it whole")
    found: list[ServiceEntry] = []
    for row in cast("list[object]", rows):
        if not isinstance(row, dict):
            raise SpecError("service.entries", short(row), "must be tables", "give it whole")
        found.append(entry_from_table(cast(Table, row)))
    return tuple(found)


def service_table(entries: Iterable[ServiceEntry]) -> Table:
    """Write entries as the table of their document.

    Parameters
    ----------
    entries : iterable of ServiceEntry
        In the order in which they were written.

    Returns
    -------
    dict
        ``format`` and ``entries``.
    """
    return {"format": FORMAT, "entries": [entry.table() for entry in entries]}


def log_of(build: str) -> str:
    """Give the identity of the log in which a line's service is kept.

    Parameters
    ----------
    build : str
        The line's build, whose own log has its identity.

    Returns
    -------
    str
        32 hexadecimal digits.
    """
    return hashlib.sha256(f"service {build}".encode()).hexdigest()[:32]


def log_head(build: str, at: str) -> LogHead:
    """Give the head of that log.

    Parameters
    ----------
    build : str
        The line's build: what the log is about.
    at : str
        When the first entry happened, UTC.

    Returns
    -------
    LogHead
        The head.
    """
    return LogHead(log_of(build), "service", build, at)


def as_event(entry: ServiceEntry) -> Event:
    """Give an entry as an event of its log.

    Parameters
    ----------
    entry : ServiceEntry
        The entry.

    Returns
    -------
    Event
        Its shots stand in what it says.
    """
    table = entry.table()
    shots = table.pop("shots")
    return event_of_table(table | {"body": table["body"] | {"after_shots": shots}})


def entry_of(event: Event) -> ServiceEntry:
    """Give an entry from the event of its log.

    Parameters
    ----------
    event : Event
        An event of a log of service.

    Returns
    -------
    ServiceEntry
        The entry, its shots beside what it says.
    """
    table = event.table()
    body = table["body"]
    shots = body.pop("after_shots", 0)
    return entry_from_table(table | {"body": body, "shots": shots, "version": VERSIONS[event.type]})


def counting(entries: Iterable[ServiceEntry]) -> tuple[ServiceEntry, ...]:
    """Give the entries that count, in the order in which they happened.

    Parameters
    ----------
    entries : iterable of ServiceEntry
        All of a build.

    Returns
    -------
    tuple of ServiceEntry
        Without those taken back, and without the takings back.
    """
    written = tuple(entries)
    gone = {e.body.entry for e in written if isinstance(e.body, TakenBack)}
    left = [e for e in written if e.id not in gone and not isinstance(e.body, TakenBack)]
    return tuple(sorted(left, key=lambda e: (e.at, e.shots)))


def _moment(given: object) -> str:
    rule = "must be a moment in ISO 8601 with its offset from UTC"
    remedy = "write it like 2026-11-25T13:00:00Z"
    if not isinstance(given, str) or len(given) > 40:
        raise SpecError("service.at", short(given), rule, remedy)
    try:
        moment = datetime.fromisoformat(given)
        if moment.tzinfo is None:
            raise SpecError("service.at", given, rule, remedy)
        return as_moment(moment.astimezone(UTC))
    except (ValueError, OverflowError) as error:
        raise SpecError("service.at", given, rule, remedy) from error


def _shots(table: Mapping[str, Any]) -> int:
    given = table.get("shots", 0)
    if isinstance(given, bool) or not isinstance(given, int):
        rule = "must be a whole number, the shots since the line came onto its bow"
        raise SpecError("service.shots", short(given), rule, "count them, or guess: 60")
    if not 0 <= given <= MOST_SHOTS:
        rule = f"must be 0 to {MOST_SHOTS:,}"
        raise SpecError("service.shots", str(given), rule, "count from the day it was fitted")
    return given
