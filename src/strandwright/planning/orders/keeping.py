"""Keeping: orders over a desk, each act written whole or not at all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, cast

from strandwright.errors import Conflict, InputError, NotFound, SpecError
from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.orders.allowed import Ground, refuse_impossible_acts
from strandwright.planning.orders.customers import customer_of
from strandwright.planning.orders.opening import read_event
from strandwright.planning.orders.verdict import Verdict, verdict_of
from strandwright.planning.strand_stock import known_strand
from strandwright.workshop.customer import Customer
from strandwright.workshop.documents import Listing, LogHead
from strandwright.workshop.events import EVENT_ID, Event, StoredEvent
from strandwright.workshop.happenings.order import OrderOpened
from strandwright.workshop.job import Job
from strandwright.workshop.order_number import read_order_number
from strandwright.workshop.order_state import OrderState, fold, order_number
from strandwright.workshop.said import short
from strandwright.workshop.writes import Append, Begin, Save, Write

Table = dict[str, Any]
#: Times an act is decided again where another bench wrote in the same moment [-]
_TRIES = 50


@dataclass(frozen=True)
class KeptOrder:
    """An order as it stands.

    Attributes
    ----------
    id : str
        Its identity.
    state : OrderState
        How it stands.
    customer : Customer or None
        Whose it is; None where that is not kept any more.
    jobs : tuple of Job
        Its jobs, in the order in which they were added.
    finished : dict
        From a job to its newest finished build, of those that the order does not name yet.
    fits : tuple of Listing
        Its lines' ways onto the bow, the latest first.
    """

    id: str
    state: OrderState
    customer: Customer | None
    jobs: tuple[Job, ...]
    finished: dict[str, str] = field(default_factory=dict)
    fits: tuple[Listing, ...] = ()

    @property
    def verdict(self) -> Verdict:
        """Whether the work may go on."""
        return verdict_of(self.state, [_fibre(job) for job in self.jobs])


def _fibre(job: Job) -> str:
    try:
        return known_strand(job).stock.fibre
    except InputError:
        # A strand that cannot be found is told of where the line is planned.
        return "polyester"


def open_order(desk: JobDesk, id: str, table: Mapping[str, Any], units: str = "in") -> KeptOrder:
    """Open an order; opened twice it is one.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    id : str
        Identity, 32 hexadecimal digits made by who opens it.
    table : mapping
        The event that opens it, as it was sent.
    units : str
        Unit of bare figures, ``in`` or ``mm``.

    Returns
    -------
    KeptOrder
        As it stands.

    Raises
    ------
    InputError
        If it cannot be meant, or the customer is not kept.
    Conflict
        If an order of that identity was opened otherwise.
    """
    if not EVENT_ID.fullmatch(id):
        rule = "must be 32 hexadecimal digits in lower case"
        raise SpecError("order", short(id), rule, "make 128 random bits")
    event = read_event(table, units)
    if not isinstance(event.body, OrderOpened):
        rule = "must be order-opened, the first event of an order"
        raise SpecError("event.type", event.type, rule, "open it first")
    try:
        customer_of(desk, event.body.customer)
    except NotFound as error:
        rule, remedy = "must be a customer kept here", "keep the customer first"
        raise SpecError("order-opened.customer", event.body.customer, rule, remedy) from error
    head = LogHead(id, "order", event.body.customer, event.at)
    try:
        before = desk.store.log(id)
    except NotFound:
        desk.store.write([Begin(head), Append(id, [event])])
        return kept_order(desk, id)
    if before.kind != "order":
        raise Conflict("order", id, f"is a {before.kind} already", "make a new identity")
    # What stands there by this identity is the same, or a conflict; nothing is written over.
    record(desk, id, [table], units)
    return kept_order(desk, id)


def log_of(desk: JobDesk, id: str) -> tuple[StoredEvent, ...]:
    """Give the events of what must be an order.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    id : str
        Identity.

    Returns
    -------
    tuple of StoredEvent
        In their order.

    Raises
    ------
    NotFound
        If there is no such order.
    """
    if desk.store.log(id).kind != "order":
        raise NotFound("order", id)
    return desk.store.events(id)


def kept_order(desk: JobDesk, id: str) -> KeptOrder:
    """Give an order as it stands.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    id : str
        Identity.

    Returns
    -------
    KeptOrder
        The order.

    Raises
    ------
    NotFound
        If there is none.
    """
    state = fold(log_of(desk, id))
    try:
        who = None if state.opened is None else customer_of(desk, state.opened.customer)[1]
    except NotFound:
        who = None
    jobs = tuple(desk.job(job).job for job in state.jobs)
    fits = desk.store.listings("fit", owner=id)
    return KeptOrder(id, state, who, jobs, _finished(desk, state), fits)


def _finished(desk: JobDesk, state: OrderState) -> dict[str, str]:
    """Find finished builds that the order does not name."""
    left = [job for job in state.jobs if job not in {made.job for made in state.made}]
    if not left or state.is_over:
        return {}
    rows = desk.store.listings("build", owner=left, status="done")
    return {row.owner: row.id for row in reversed(rows)}


def record(
    desk: JobDesk, id: str, tables: Sequence[Mapping[str, Any]], units: str = "in"
) -> tuple[StoredEvent, ...]:
    """Record what happened to an order; an event sent twice is one.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    id : str
        Identity.
    tables : sequence of mapping
        Events as they were sent, in their order.
    units : str
        Unit of bare figures, ``in`` or ``mm``.

    Returns
    -------
    tuple of StoredEvent
        Each with its place: durable.

    Raises
    ------
    InputError
        If one cannot be meant, or cannot be as the order stands. None is recorded then.
    Conflict
        If one of that identity is kept with other content.
    NotFound
        If there is no such order.
    """
    events = [read_event(table, units) for table in tables]
    return decided(desk, id, events)


def decided(
    desk: JobDesk, id: str, events: Sequence[Event], beside: Sequence[Write] = ()
) -> tuple[StoredEvent, ...]:
    """Append events decided on the log as it stands; where it grows meanwhile, decide again.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    id : str
        Identity of the order.
    events : sequence of Event
        What happened, in its order.
    beside : sequence of Write
        What is written together with it, if any of it is new.

    Returns
    -------
    tuple of StoredEvent
        Each with its place: durable.

    Raises
    ------
    InputError
        If one cannot have happened as the order stands.
    Conflict
        If one of that identity is kept with other content.
    NotFound
        If there is no such order.
    """
    for attempt in range(_TRIES):
        log = log_of(desk, id)
        known = {stored.event.id for stored in log}
        new = [event for event in events if event.id not in known]
        ahead = [StoredEvent(len(log) + i, event) for i, event in enumerate(new, start=1)]
        made = {write.id for write in beside if isinstance(write, Save)}
        ground = Ground(desk.store, log, fold(log), fold([*log, *ahead]), frozenset(made))
        refuse_impossible_acts(ground, new)
        try:
            # What was added with an event that is there already is there, too.
            written = desk.store.write([*(beside if new else ()), Append(id, events, len(log))])
        except Conflict as error:
            grown = error.kind == "order" and error.newest is not None
            if attempt == _TRIES - 1 or not grown:
                raise
            continue
        return cast("tuple[StoredEvent, ...]", written[-1])
    raise AssertionError("the last try answers or raises")


def find_order(desk: JobDesk, text: str) -> str:
    """Find an order by its identity, or by its number as somebody says it.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    text : str
        Identity or number.

    Returns
    -------
    str
        Its identity.

    Raises
    ------
    NotFound
        If there is none.
    SpecError
        If it is no number, or several orders have it.
    """
    if EVENT_ID.fullmatch(text):
        log_of(desk, text)
        return text
    number = read_order_number(text)
    rows = desk.store.listings("order", words=number.lower())
    found = [row.id for row in rows if order_number(row.id) == number]
    if not found:
        raise NotFound("order", number)
    if len(found) > 1:
        rule = f"must name one order, and {len(found)} have this number"
        raise SpecError("order", number, rule, f"give one of {', '.join(found)}")
    return found[0]
