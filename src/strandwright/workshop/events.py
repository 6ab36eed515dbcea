"""Events: what happened, one append-only record each, in the log it belongs to.

An event never changes. A slip is put right by a *withdrawn* event that names it, and a new one.
What each type says stands in :mod:`strandwright.workshop.happenings`, a module for each kind of
log. Each type has a version; what an older program wrote is brought up to today's form by
:data:`UPCASTERS` when it is read.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from strandwright.errors import SpecError
from strandwright.workshop.documents import LogKind
from strandwright.workshop.fields import Noun
from strandwright.workshop.happenings import audit, bench, every, fit, order, service, stock
from strandwright.workshop.job import noun_from_table
from strandwright.workshop.said import short

#: An event's identity: 128 random bits as 32 hexadecimal digits, made where the event happened.
EVENT_ID = re.compile(r"[0-9a-f]{32}")

Body = dict[str, Any]

#: Which types of event a log of each kind may hold.
TYPES: dict[LogKind, frozenset[str]] = {
    "build": frozenset(bench.BODIES) | frozenset(every.BODIES),
    "order": frozenset(order.BODIES) | frozenset(every.BODIES),
    "spool": frozenset(stock.SPOOL) | frozenset(every.BODIES),
    "part": frozenset(stock.PART) | frozenset(every.BODIES),
    "fit": frozenset(fit.BODIES) | frozenset(every.BODIES),
    # Its own *taken-back* stands for *withdrawn*, as in the files it goes through.
    "service": frozenset(service.BODIES),
    "audit": frozenset(audit.BODIES),
}
#: Each type of event with its body today.
BODIES: dict[str, type[Noun]] = (
    bench.BODIES
    | order.BODIES
    | stock.BODIES
    | fit.BODIES
    | service.BODIES
    | audit.BODIES
    | every.BODIES
)
#: Today's version of each type; a change of its body raises it and brings an upcaster.
VERSIONS: dict[str, int] = (
    dict.fromkeys(BODIES, 1)
    | bench.VERSIONS
    | order.VERSIONS
    | stock.VERSIONS
    | fit.VERSIONS
    | service.VERSIONS
    | audit.VERSIONS
)
#: From (type, version) to the body one version on.
UPCASTERS: dict[tuple[str, int], Callable[[Body], Body]] = (
    bench.UPCASTERS
    | order.UPCASTERS
    | stock.UPCASTERS
    | fit.UPCASTERS
    | service.UPCASTERS
    | audit.UPCASTERS
)


@dataclass(frozen=True)
class Event:
    """Something that happened.

    Attributes
    ----------
    id : str
        32 hexadecimal digits, made where it happened; the same event sent twice is one.
    type : str
        One of :data:`BODIES`.
    at : str
        When it happened by that clock, UTC, ``2026-11-25T13:00:00.000Z``.
    by : str
        Which bench or browser wrote it.
    body : Noun
        What happened.
    """

    id: str
    type: str
    at: str
    by: str
    body: Noun

    @property
    def moment(self) -> datetime:
        """When it happened."""
        return datetime.fromisoformat(self.at)

    def table(self) -> dict[str, Any]:
        """Give the event as plain values, as it is stored and sent.

        Returns
        -------
        dict
            ``id``, ``type``, ``version``, ``at``, ``by``, ``body``.
        """
        return {
            "id": self.id,
            "type": self.type,
            "version": VERSIONS[self.type],
            "at": self.at,
            "by": self.by,
            "body": self.body.model_dump(mode="json", exclude_defaults=True),
        }


@dataclass(frozen=True)
class StoredEvent:
    """An event with its place in its log.

    Attributes
    ----------
    seq : int
        Place in its log, from 1 [-]
    event : Event
        What happened.
    """

    seq: int
    event: Event


def refuse_stranger(kind: LogKind, type: str) -> None:
    """Refuse an event in a log of a kind that does not hold its type.

    Parameters
    ----------
    kind : str
        Kind of the log.
    type : str
        Type of the event.

    Raises
    ------
    InputError
        If a log of that kind holds no such event.
    """
    if type not in TYPES[kind]:
        rule = f"must be one that a log of this kind ({kind}) holds: "
        rule += ", ".join(sorted(TYPES[kind]))
        raise SpecError("event.type", short(type), rule, "send it to the log it belongs to")


def make_event(id: str, type: str, body: Mapping[str, Any], *, at: str, by: str = "") -> Event:
    """Make an event of today's form.

    Parameters
    ----------
    id : str
        32 hexadecimal digits.
    type : str
        One of :data:`BODIES`.
    body : mapping
        What happened; quantities as text with their unit.
    at : str
        When, in ISO 8601 with its offset from UTC.
    by : str
        Which bench or browser wrote it, up to 60 characters.

    Returns
    -------
    Event
        The event.

    Raises
    ------
    InputError
        For one thing that cannot be used.
    InputErrors
        For several of them.
    """
    return event_of_table({"id": id, "type": type, "at": at, "by": by, "body": dict(body)})


def event_of_table(table: Mapping[str, Any]) -> Event:
    """Read an event as it is stored or sent, of any version this program knows.

    Parameters
    ----------
    table : mapping
        As :meth:`Event.table` gives it; without a version it is today's.

    Returns
    -------
    Event
        In today's form.

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
        raise SpecError("event.type", short(kind), rule, "choose one of these")
    if not isinstance(given, str) or not EVENT_ID.fullmatch(given):
        rule = "must be 32 hexadecimal digits in lower case"
        raise SpecError("event.id", short(given), rule, "make 128 random bits for every event")
    by = table.get("by", "")
    if not isinstance(by, str) or len(by) > 60:
        rule = "must be a text of up to 60 characters"
        raise SpecError("event.by", short(by), rule, "shorten it")
    body = _as_today(kind, table.get("version", VERSIONS[kind]), table.get("body", {}))
    noun = noun_from_table(BODIES[kind], body, kind)
    return Event(given, kind, _moment(table.get("at")), by, noun)


def _as_today(kind: str, version: object, body: object) -> Body:
    """Bring a body of an older version up to today's."""
    newest = VERSIONS[kind]
    if isinstance(version, bool) or not isinstance(version, int) or not 1 <= version <= newest:
        rule = f"must be a version of {kind} that is known here, 1 to {newest}"
        raise SpecError("event.version", short(version), rule, "use a newer strandwright")
    if not isinstance(body, dict):
        raise SpecError(f"{kind}", short(body), "must be a table", "put its keys in { }")
    for old in range(version, newest):
        body = UPCASTERS[kind, old](body)
    return body


def _moment(given: object) -> str:
    """Give a moment in UTC, to the millisecond."""
    rule = "must be a moment in ISO 8601 with its offset from UTC"
    remedy = "write it like 2026-11-25T13:00:00.000Z"
    if not isinstance(given, str) or len(given) > 40:
        raise SpecError("event.at", short(given), rule, remedy)
    try:
        moment = datetime.fromisoformat(given)
        if moment.tzinfo is None:
            raise SpecError("event.at", given, rule, remedy)
        return as_moment(moment.astimezone(UTC))
    except (ValueError, OverflowError) as error:
        raise SpecError("event.at", given, rule, remedy) from error


def as_moment(moment: datetime) -> str:
    """Write a moment the way events hold it.

    Parameters
    ----------
    moment : datetime
        With its offset from UTC.

    Returns
    -------
    str
        UTC to the millisecond, ``2026-11-25T13:00:00.000Z``.
    """
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
