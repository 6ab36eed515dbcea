"""Happenings of an order: a customer's visit, from the counter to the string that settled."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from strandwright.errors import SpecError
from strandwright.workshop.fields import Length, Noun, Ratio, Temperature
from strandwright.workshop.money import Money
from strandwright.workshop.parts import Bow, BowFigures, Finding, PhotoName, StopFinding
from strandwright.workshop.riser import LimbBolts

Body = dict[str, Any]

EventName = Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
DocumentName = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$")]
JobName = DocumentName
Work = Literal["string", "cable", "set", "fit and set", "look over"]
Cause = Literal[
    "peep turns", "serving came apart", "went on creeping", "wrong length", "wrong nock fit",
    "wrong strand count", "burred wheel", "sharp post", "cable slide", "wheels out of line",
    "hard-jaw release", "fitted badly", "dry fire", "cut or caught", "worn out", "other",
]  # fmt: skip
Whose = Literal["shop", "wear", "bow", "customer"]
Paying = Literal["cash", "card", "transfer", "other"]


def _day(value: object) -> str:
    """Read a day; one that no calendar has is refused in words."""
    rule, remedy = "must be a day of the calendar", "write it like 2026-11-28"
    if not isinstance(value, str) or len(value) != len("2026-11-28"):
        raise SpecError("day", value, rule, remedy)
    try:
        return date.fromisoformat(value).isoformat()
    except ValueError as error:
        raise SpecError("day", value, rule, remedy) from error


Day = Annotated[str, BeforeValidator(_day), Field(description="a day, as 2026-11-28")]


class OrderOpened(Noun):
    """A customer brought a bow, and says what they would like."""

    customer: DocumentName
    bow: Bow
    wants: str = Field(default="", max_length=2000, description="in the customer's words")
    work: tuple[Work, ...] = Field(default=(), max_length=5)
    lines: int = Field(default=1, ge=0, le=12, strict=True, description="lines wanted")
    wished_by: Day | None = None


class Baseline(BowFigures):
    """What a bow measures as it came, before any press touched it."""

    braced: bool = Field(
        default=True, strict=True, description="it came with its lines on, and they hold"
    )
    let_off: Ratio | None = None
    tiller_top: Length | None = None
    tiller_bottom: Length | None = None
    nock_height: Length | None = None
    peep_height: Length | None = None
    cam_marks: str = Field(default="", max_length=400, description="where the timing marks stand")
    lean: str = Field(default="", max_length=400)
    limb_bolts: LimbBolts | None = None
    temperature: Temperature | None = Field(default=None, description="of the room, when weighed")


class BowLookedAt(Noun):
    """The bow was looked over, or measured as it came; each look adds to those before it."""

    sound: tuple[Finding, ...] = Field(
        default=(), max_length=30, description="looked at, and nothing found"
    )
    findings: tuple[StopFinding, ...] = Field(
        default=(), max_length=30,
        description="found; the same at the same place replaces what was said of it before",
    )  # fmt: skip
    baseline: Baseline | None = Field(
        default=None, description="figures that are left out stay as they were read before"
    )
    bow: Bow | None = Field(default=None, description="what is known of the bow, told anew")
    photos: tuple[PhotoName, ...] = Field(
        default=(), max_length=40, description="routing of the lines and marks, before any press"
    )


class Asked(Noun):
    """The customer was asked something; the work waits for the answer."""

    question: str = Field(min_length=1, max_length=2000)
    about: str = Field(
        default="", max_length=600, description="what is missing, or findings, parted by ;"
    )


class Answered(Noun):
    """The customer answered."""

    question: EventName
    answer: str = Field(min_length=1, max_length=2000)


class OrderRefused(Noun):
    """The work was refused."""

    why: str = Field(min_length=1, max_length=2000)


class JobAdded(Noun):
    """A line of the order has its job."""

    job: JobName


class Quoted(Noun):
    """The customer was told a price."""

    quote: DocumentName
    revision: int = Field(ge=1, strict=True)


class QuoteAccepted(Noun):
    """The customer took that price."""

    quote: DocumentName
    revision: int = Field(ge=1, strict=True)


class Paid(Noun):
    """Money was paid."""

    amount: Money
    how: Paying = "cash"


class LineMade(Noun):
    """A line of the order is built and proved."""

    job: JobName
    build: EventName


class RemakeOpened(Noun):
    """A line that was made is made again."""

    build: EventName = Field(description="the line that came back")
    job: JobName = Field(description="the job of the line that is made for it")
    cause: Cause
    whose: Whose = Field(description="who stands for it")
    said: str = Field(default="", max_length=2000, description="what was seen, and what was said")


class HandedOver(Noun):
    """The customer has bow and lines again."""

    said: str = Field(default="", max_length=2000, description="what they were told to watch")


class OrderClosed(Noun):
    """Nothing more is done on this order."""

    why: str = Field(default="", max_length=2000)


#: Each type of event of an order with its body today.
BODIES: dict[str, type[Noun]] = {
    "order-opened": OrderOpened,
    "bow-looked-at": BowLookedAt,
    "asked": Asked,
    "answered": Answered,
    "order-refused": OrderRefused,
    "job-added": JobAdded,
    "quoted": Quoted,
    "quote-accepted": QuoteAccepted,
    "paid": Paid,
    "line-made": LineMade,
    "remake-opened": RemakeOpened,
    "handed-over": HandedOver,
    "order-closed": OrderClosed,
}
#: Today's version of each type that is not in its first.
VERSIONS: dict[str, int] = {}
#: From (type, version) to the body one version on.
UPCASTERS: dict[tuple[str, int], Callable[[Body], Body]] = {}
