"""Allowed: whether what is to be recorded of an order can have happened, as the order stands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from strandwright.errors import InputError, InputErrors, NotFound, SpecError
from strandwright.planning.ports import Store
from strandwright.workshop.build_state import fold as fold_build
from strandwright.workshop.events import Event, StoredEvent
from strandwright.workshop.happenings.every import Withdrawn
from strandwright.workshop.happenings.order import (
    Answered,
    BowLookedAt,
    JobAdded,
    LineMade,
    OrderOpened,
    Paid,
    QuoteAccepted,
    Quoted,
    RemakeOpened,
)
from strandwright.workshop.order_state import OrderState
from strandwright.workshop.quote import quote_from_table

#: What goes on with the work, and is not recorded once it was refused or closed.
_WORK = (JobAdded, Quoted, QuoteAccepted, LineMade, RemakeOpened)


@dataclass(frozen=True)
class Ground:
    """What a decision is taken on.

    Attributes
    ----------
    store : Store
        Where jobs, builds and photos are kept.
    log : sequence of StoredEvent
        What is recorded of the order.
    before, after : OrderState
        How it stands without and with what is to be recorded.
    made : frozenset of str
        Jobs that are kept in the same act.
    """

    store: Store
    log: Sequence[StoredEvent]
    before: OrderState
    after: OrderState
    made: frozenset[str] = frozenset()


def refuse_impossible_acts(ground: Ground, events: Sequence[Event]) -> None:
    """Refuse what cannot have happened to an order.

    Parameters
    ----------
    ground : Ground
        What the decision is taken on.
    events : sequence of Event
        What is to be recorded.

    Raises
    ------
    InputError
        For one such event.
    InputErrors
        For several.
    """
    found = [error for event in events for error in _wrong(ground, event)]
    if len(found) == 1:
        raise found[0]
    if found:
        raise InputErrors(tuple(found))


def _wrong(ground: Ground, event: Event) -> Iterator[InputError]:
    body = event.body
    if isinstance(body, _WORK) and ground.before.is_over:
        how = "refused" if ground.before.refused else "closed"
        rule = f"must be before an order is {how}, and this one is"
        yield SpecError("event.type", event.type, rule, "take that back first, or open another")
    match body:
        case OrderOpened():
            if ground.before.opened is not None:
                rule, remedy = "must be once in an order", "tell the bow anew by a look at it"
                yield SpecError("event.type", event.type, rule, remedy)
        case BowLookedAt():
            yield from _unkept_photos(ground, body)
        case Answered():
            if body.question not in {one.event for one in ground.after.questions}:
                rule, remedy = "must be one that was asked in this order", "ask it first"
                yield SpecError("answered.question", body.question, rule, remedy)
        case JobAdded():
            yield from _unkept_job(ground, body)
        case Quoted():
            yield from _unkept_quote(ground, body)
        case QuoteAccepted():
            told = ground.after.quoted
            if told is None or (told.quote, told.revision) != (body.quote, body.revision):
                rule, remedy = "must be the price that was told last", "tell it first"
                yield SpecError("quote-accepted.quote", body.quote, rule, remedy)
            else:
                # Alone it would leave its material unpromised.
                rule = "must come together with what is promised of the stock for it"
                remedy = "take the price on the quote's own page"
                yield SpecError("event.type", event.type, rule, remedy)
        case LineMade():
            yield from _unmade(ground, body)
        case RemakeOpened():
            yield from _unremade(ground, body)
        case Paid():
            yield from _odd_coins(ground, body)
        case Withdrawn():
            yield from _unwithdrawable(ground, body)
        case _:
            pass


def _unwithdrawable(ground: Ground, slip: Withdrawn) -> Iterator[InputError]:
    """Find what is taken back and never happened, or hangs together with promises of stock."""
    known = {stored.event.id: stored.event for stored in ground.log}
    if slip.event not in known:
        rule, remedy = "must be an event of this order", "look at its log"
        yield SpecError("withdrawn.event", slip.event, rule, remedy)
    elif isinstance(known[slip.event].body, QuoteAccepted) and ground.before.accepted is not None:
        rule = "must free what was promised of the stock for it, too"
        remedy = "take it back on the quote's own page"
        yield SpecError("withdrawn.event", known[slip.event].type, rule, remedy)


def _unkept_photos(ground: Ground, look: BowLookedAt) -> Iterator[InputError]:
    """Find pictures that are named and not kept."""
    named = [*look.photos, *(name for one in look.findings for name in one.photos)]
    for name in dict.fromkeys(named):
        try:
            ground.store.blob(name)
        except NotFound:
            rule = "must be a picture that is kept"
            yield SpecError("bow-looked-at.photos", name[:12], rule, "send the picture first")


def _unkept_job(ground: Ground, added: JobAdded) -> Iterator[InputError]:
    """Find a job that is not kept, and not made in the same act."""
    if added.job in ground.made:
        return
    try:
        ground.store.document("job", added.job)
    except NotFound:
        yield SpecError("job-added.job", added.job, "must be a job kept here", "make the job first")


def _unkept_quote(ground: Ground, quoted: Quoted) -> Iterator[InputError]:
    """Find a price that is kept nowhere."""
    try:
        ground.store.document("quote", quoted.quote, quoted.revision)
    except NotFound:
        rule, remedy = "must be a quote kept here, of that revision", "make the quote first"
        yield SpecError("quoted.quote", quoted.quote, rule, remedy)


def _unremade(ground: Ground, remake: RemakeOpened) -> Iterator[InputError]:
    """Find a remake of what was never finished, or without the job that is made for it."""
    if remake.job not in ground.after.jobs:
        rule, remedy = "must be a job of this order", "make the job of the new line first"
        yield SpecError("remake-opened.job", remake.job, rule, remedy)
    try:
        built = fold_build(ground.store.events(ground.store.build(remake.build).id))
    except NotFound:
        built = None
    if built is None or built.locked is None:
        rule, remedy = "must be a build that was finished here", "choose the line that came back"
        yield SpecError("remake-opened.build", remake.build, rule, remedy)


def _odd_coins(ground: Ground, paid: Paid) -> Iterator[InputError]:
    """Find a payment in less than a coin of what the price is in, where one is told."""
    said = ground.after.accepted or ground.after.quoted
    if said is None:
        return
    money = quote_from_table(ground.store.document("quote", said.quote, said.revision).table).money
    if money.rounded(paid.amount) != paid.amount:
        rule, remedy = f"must be in whole coins of {money.code}", "leave the smaller decimals out"
        yield SpecError("paid.amount", f"{paid.amount:f}", rule, remedy)


def _unmade(ground: Ground, made: LineMade) -> Iterator[InputError]:
    """Find a line that is not this order's, or not built."""
    if made.job not in ground.after.jobs:
        rule, remedy = "must be a job of this order", "add the job first"
        yield SpecError("line-made.job", made.job, rule, remedy)
        return
    try:
        head = ground.store.build(made.build)
        state = fold_build(ground.store.events(made.build))
    except NotFound:
        head, state = None, None
    if head is None or head.job_id != made.job or state is None or state.locked is None:
        rule = "must be a finished build of that job"
        yield SpecError("line-made.build", made.build, rule, "prove it and lock its turns first")
