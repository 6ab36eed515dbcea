"""Order state: how a customer's visit stands, folded from the events of its order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any, Literal, cast

from strandwright.reference.stops import stops_for
from strandwright.workshop.events import Event, StoredEvent
from strandwright.workshop.happenings.every import Noted, Withdrawn
from strandwright.workshop.happenings.order import (
    Answered,
    Asked,
    Baseline,
    BowLookedAt,
    HandedOver,
    JobAdded,
    LineMade,
    OrderClosed,
    OrderOpened,
    OrderRefused,
    Paid,
    QuoteAccepted,
    Quoted,
    RemakeOpened,
)
from strandwright.workshop.order_number import order_number as order_number
from strandwright.workshop.parts import Bow, Finding, StopFinding

OrderStatus = Literal[
    "opened", "asked", "refused", "looked at", "measured", "quoted", "accepted", "made",
    "handed over", "closed",
]  # fmt: skip


@dataclass(frozen=True)
class Question:
    """Something the customer was asked.

    Attributes
    ----------
    event : str
        The event it came by.
    at : str
        When, UTC.
    question : str
        In words.
    about : str
        What is missing, or a finding; may be empty.
    answer : str
        What was answered; empty where nothing was yet.
    """

    event: str
    at: str
    question: str
    about: str
    answer: str = ""


@dataclass(frozen=True)
class OrderState:
    """How an order stands.

    Attributes
    ----------
    opened : OrderOpened or None
        What was brought and wanted; None before that is told.
    opened_at : str
        When, UTC; empty before.
    bow : Bow or None
        What is known of the bow now, the figures of its baseline among it.
    baseline : Baseline or None
        What it measured as it came, every figure as it was read last.
    sound : tuple of str
        What was looked at and nothing found, in the order of looking.
    findings : tuple of StopFinding
        What was found and how it stands, in the order of finding.
    photos : tuple of str
        Pictures of the bow as it came, by their SHA-256.
    looks : int
        How often it was looked at [-]
    questions : tuple of Question
        In order.
    refused : str
        Why the work was refused; empty where it was not.
    jobs : tuple of str
        Its lines' jobs, in order.
    quoted : Quoted or None
        The price told last.
    accepted : QuoteAccepted or None
        The price that was taken.
    paid : tuple of Paid
        What was paid, in order.
    made : tuple of LineMade
        Lines that are built, the last build of each job.
    remakes : tuple of RemakeOpened
        Lines that came back and are made again, in order.
    handed_over : HandedOver or None
        Set when the customer has the bow again.
    handed_over_at : str
        When, UTC; empty before.
    closed : OrderClosed or None
        Set when nothing more is done.
    notes : tuple of str
        What is worth remembering.
    seq : int
        Place of the last event [-]
    """

    opened: OrderOpened | None = None
    opened_at: str = ""
    bow: Bow | None = None
    baseline: Baseline | None = None
    sound: tuple[Finding, ...] = ()
    findings: tuple[StopFinding, ...] = ()
    photos: tuple[str, ...] = ()
    looks: int = 0
    questions: tuple[Question, ...] = ()
    refused: str = ""
    jobs: tuple[str, ...] = ()
    quoted: Quoted | None = None
    accepted: QuoteAccepted | None = None
    paid: tuple[Paid, ...] = ()
    made: tuple[LineMade, ...] = ()
    remakes: tuple[RemakeOpened, ...] = ()
    handed_over: HandedOver | None = None
    handed_over_at: str = ""
    closed: OrderClosed | None = None
    notes: tuple[str, ...] = ()
    seq: int = 0

    @property
    def waiting(self) -> tuple[Question, ...]:
        """Give the questions that are not answered."""
        return tuple(one for one in self.questions if not one.answer)

    @property
    def open_stops(self) -> tuple[str, ...]:
        """Give what was not looked at yet, in the order of looking; *other* asks for nothing."""
        if self.bow is None:
            return ()
        told = {*self.sound, *(one.finding for one in self.findings), "other"}
        if self.bow.draw_weight is not None:
            told.add("unknown draw weight")
        return tuple(one.name for one in stops_for(self.bow.kind) if one.name not in told)

    @property
    def is_over(self) -> bool:
        """Whether no more lines are built on it."""
        return self.closed is not None or bool(self.refused)

    @property
    def all_made(self) -> bool:
        """Whether every job of it is built, there being one."""
        return bool(self.jobs) and {made.job for made in self.made} >= set(self.jobs)

    @property
    def status(self) -> OrderStatus:
        """Give how far it has come; a question nobody answered holds it where it is."""
        if self.closed is not None:
            return "closed"
        if self.handed_over is not None:
            return "handed over"
        if self.refused:
            return "refused"
        if self.waiting:
            return "asked"
        return self._reached

    @property
    def _reached(self) -> OrderStatus:
        wanted = 1 if self.opened is None else self.opened.lines
        steps: tuple[tuple[OrderStatus, bool], ...] = (
            ("made", self.all_made),
            ("accepted", self.accepted is not None),
            ("quoted", self.quoted is not None),
            ("measured", bool(self.jobs) and len(self.jobs) >= wanted),
            ("looked at", self.looks > 0 and not self.open_stops),
        )
        reached: list[OrderStatus] = [status for status, is_so in steps if is_so]
        return reached[0] if reached else "opened"


def fold(events: Iterable[StoredEvent]) -> OrderState:
    """Fold the log of an order to how it stands.

    Parameters
    ----------
    events : iterable of StoredEvent
        The whole log, in any order.

    Returns
    -------
    OrderState
        The state; an event that was withdrawn, wherever it stands, counts no more.
    """
    log = sorted(events, key=lambda e: e.seq)
    gone = {cast(Withdrawn, s.event.body).event for s in log if s.event.type == "withdrawn"}
    state = OrderState(seq=log[-1].seq if log else 0)
    seen: set[str] = set()
    answers: dict[str, str] = {}
    for stored in log:
        event = stored.event
        if event.id in gone or event.id in seen:
            continue
        seen.add(event.id)
        if isinstance(event.body, Answered):
            answers[event.body.question] = event.body.answer
        state = replace(state, **_told(state, event))
    asked = tuple(replace(one, answer=answers.get(one.event, "")) for one in state.questions)
    return _with_bow(replace(state, questions=asked))


def _told(state: OrderState, event: Event) -> dict[str, Any]:
    """Give what one event changes."""
    match event.body:
        case OrderOpened() as body:
            return {"opened": body, "opened_at": event.at}
        case BowLookedAt() as body:
            return _looked(state, body)
        case Asked() as body:
            asked = Question(event.id, event.at, body.question, body.about)
            return {"questions": (*state.questions, asked)}
        case OrderRefused() as body:
            return {"refused": body.why}
        case JobAdded() as body:
            return {"jobs": tuple(dict.fromkeys((*state.jobs, body.job)))}
        case Quoted() as body:
            return {"quoted": body}
        case QuoteAccepted() as body:
            return {"accepted": body}
        case Paid() as body:
            return {"paid": (*state.paid, body)}
        case LineMade() as body:
            others = tuple(made for made in state.made if made.job != body.job)
            return {"made": (*others, body)}
        case HandedOver() as body:
            return {"handed_over": body, "handed_over_at": event.at}
        case RemakeOpened() as body:
            return {"remakes": (*state.remakes, body)}
        case OrderClosed() as body:
            return {"closed": body}
        case Noted() as body:
            return {"notes": (*state.notes, body.text)}
        case _:
            return {}


def _looked(state: OrderState, look: BowLookedAt) -> dict[str, Any]:
    """Lay a look over those before it."""
    found = {(one.finding, one.where): one for one in (*state.findings, *look.findings)}
    named = {one.finding for one in look.findings}
    # What is found sound at a later look takes back what was found of it before.
    sound = [one for one in dict.fromkeys((*state.sound, *look.sound)) if one not in named]
    left = [one for one in found.values() if one.finding in named or one.finding not in look.sound]
    return {
        "looks": state.looks + 1,
        "sound": tuple(sound),
        "findings": tuple(left),
        "photos": tuple(dict.fromkeys((*state.photos, *look.photos))),
        "baseline": _over(state.baseline, look.baseline),
        "bow": look.bow or state.bow,
    }


def _over(before: Baseline | None, now: Baseline | None) -> Baseline | None:
    """Lay newer figures over older ones; what is not told anew stays."""
    if before is None or now is None:
        return now or before
    told = {name: getattr(now, name) for name in now.model_fields_set}
    return before.model_copy(update=told)


def _with_bow(state: OrderState) -> OrderState:
    """Give the bow with the figures of its baseline."""
    bow = state.bow or (state.opened.bow if state.opened else None)
    if bow is None or state.baseline is None:
        return replace(state, bow=bow)
    told = state.baseline.model_dump(exclude_defaults=True, exclude=_NOT_OF_BOW)
    figures = {name: getattr(state.baseline, name) for name in told}
    return replace(state, bow=bow.model_copy(update=figures))


#: What a baseline tells that a bow does not hold by that name.
_NOT_OF_BOW = {"braced", "centring", "temperature"}
