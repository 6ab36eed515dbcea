"""Bench events: what was done and read at the jig, one append-only record each.

An event never changes. A slip is put right by a *withdrawn* event that names it, and a new one.
Each type has a version; what an older program wrote is brought up to today's form by
:data:`UPCASTERS` when it is read.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from pydantic import Field

from strandwright.errors import SpecError
from strandwright.workshop.fields import Duration as Dwell
from strandwright.workshop.fields import Force, HandLetter, Length, Mass, Noun, Temperature
from strandwright.workshop.job import noun_from_table
from strandwright.workshop.makings import BuildLegs
from strandwright.workshop.parts import BuildReading
from strandwright.workshop.said import short

#: An event's identity: 128 random bits as 32 hexadecimal digits, made where the event happened.
EVENT_ID = re.compile(r"[0-9a-f]{32}")
#: More rounds than this in one event are a slip of the hand [half round]
MOST_HALVES = 400

Body = dict[str, Any]

class Started(Noun):
    """A build begins, by a stored plan."""

    plan: str = Field(max_length=40)


class PostsSet(Noun):
    """The posts stand, empty, at this distance outside to outside."""

    outside: Length


class RoundsLaid(Noun):
    """Strand was laid past the marked post; two halves make a round."""

    run: int = Field(ge=0, le=40, strict=True, description="colour, from 0 in winding order")
    halves: int = Field(ge=1, le=MOST_HALVES, strict=True)


class StepDone(Noun):
    """A step of the route was done."""

    step: str = Field(min_length=1, max_length=60)
    load: Force | None = None
    dwell: Dwell | None = None
    temperature: Temperature | None = None


class Watched(Noun):
    """The line was looked at while it stood under its load."""

    step: str = Field(min_length=1, max_length=60, description="the step it stands in")
    load: Force
    heard: bool = Field(default=False, strict=True, description="heard, not read on a gauge")
    posts: Length | None = Field(default=None, description="outside to outside of the posts, now")
    temperature: Temperature | None = None
    stood: Dwell | None = Field(default=None, description="how long the load had stood by then")


class EarChecked(Noun):
    """A load was heard on this line while a known one hung on it, or a gauge showed it."""

    step: str = Field(min_length=1, max_length=60, description="the step it stood in")
    heard: Force
    true: Force


class LengthRead(BuildReading):
    """A length was read; ``sure`` says that a surprising one was read again and stands."""

    sure: bool = Field(default=False, strict=True)


class DiameterRead(Noun):
    """A diameter was read by caliper: of the bare bundle, or over a serving."""

    of: str = Field(min_length=1, max_length=120, description="bare, or a serving's name")
    diameter: Length


class MassRead(Noun):
    """A spool was weighed before and after a colour was wound."""

    run: int = Field(ge=0, le=40, strict=True)
    lost: Mass


class LegsRead(BuildLegs):
    """Both legs of a yoke were read under load, before its throat was served."""


class StrandsCounted(Noun):
    """The strands of the skein were counted."""

    strands: int = Field(ge=2, le=200, strict=True)


class Turned(Noun):
    """The line now holds this many turns in all."""

    turns: float = Field(ge=0, le=300, strict=True)


class Withdrawn(Noun):
    """An earlier event was a slip and counts no more."""

    event: str = Field(pattern=r"^[0-9a-f]{32}$")
    why: str = Field(default="", max_length=400)


class Locked(Noun):
    """The line is proved: its turns are locked and logged, and the build is done."""

    turns: float = Field(ge=0, le=300, strict=True)
    hand: HandLetter


class PutAside(Noun):
    """The build is given up."""

    why: str = Field(default="", max_length=400)


class Noted(Noun):
    """Something worth remembering."""

    text: str = Field(min_length=1, max_length=2000)


#: Each type of event with its body today.
BODIES: dict[str, type[Noun]] = {
    "started": Started,
    "posts-set": PostsSet,
    "rounds-laid": RoundsLaid,
    "step-done": StepDone,
    "watched": Watched,
    "ear-checked": EarChecked,
    "length-read": LengthRead,
    "diameter-read": DiameterRead,
    "mass-read": MassRead,
    "legs-read": LegsRead,
    "strands-counted": StrandsCounted,
    "turned": Turned,
    "withdrawn": Withdrawn,
    "locked": Locked,
    "put-aside": PutAside,
    "noted": Noted,
}
#: Today's version of each type; a change of its body raises it and brings an upcaster.
VERSIONS: dict[str, int] = dict.fromkeys(BODIES, 1) | {"length-read": 2}
#: From (type, version) to the body one version on.
UPCASTERS: dict[tuple[str, int], Callable[[Body], Body]] = {
    # A length may now have been read at a load that was heard; before, none was.
    ("length-read", 1): lambda body: body,
}


@dataclass(frozen=True)
class Event:
    """Something that happened at a bench.

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
    """An event with its place in the build's log.

    Attributes
    ----------
    seq : int
        Place in the log of its build, from 1 [-]
    event : Event
        What happened.
    """

    seq: int
    event: Event


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
