"""Keeping stock: what happens to a spool or to small parts, written to its log over a desk.

What happened is a fact and is always written. A promise is a decision: it is taken on the log as
it stands, and where another bench wrote in the meantime it is taken anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from strandwright.errors import Conflict, NotFound, SpecError
from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.stock.allowed import (
    refuse_beyond_free,
    refuse_stranger,
    refuse_unmeant,
    refuse_withdrawal_of_a_release,
)
from strandwright.workshop.documents import LogHead
from strandwright.workshop.events import EVENT_ID, TYPES, Event, StoredEvent, event_of_table
from strandwright.workshop.happenings.stock import StockReceived, StockReserved
from strandwright.workshop.said import short
from strandwright.workshop.stock_state import StockState, fold
from strandwright.workshop.writes import Append, Begin, Write

Table = dict[str, Any]
#: Times a decision is taken anew where another bench wrote in the same moment [-]
_TRIES = 50
_KINDS = ("spool", "part")


@dataclass(frozen=True)
class KeptStock:
    """A spool, or small parts of one ware, with what stands of it.

    Attributes
    ----------
    head : LogHead
        Its log.
    state : StockState
        How it stands.
    """

    head: LogHead
    state: StockState


@dataclass(frozen=True)
class Promise:
    """Some of one spool, or of small parts, for a job of an order.

    Attributes
    ----------
    log : str
        The log of the spool or the parts.
    event : Event
        A ``stock-reserved``; its identity made by who decides, so that sent twice it is one.
    """

    log: str
    event: Event


def stock_of(desk: JobDesk, log: str) -> KeptStock:
    """Give a spool or small parts as they stand.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    log : str
        The log.

    Returns
    -------
    KeptStock
        As it stands.

    Raises
    ------
    NotFound
        If there is no such spool.
    """
    head = desk.store.log(log)
    if head.kind not in _KINDS:
        raise NotFound("spool", log)
    return KeptStock(head, fold(desk.store.events(log)))


def enter(desk: JobDesk, log: str, table: Mapping[str, Any]) -> KeptStock:
    """Write what happened to a spool or to small parts, or promise some of it.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    log : str
        Its log, 32 hexadecimal digits; the first ``stock-received`` begins it.
    table : mapping
        The event as it was sent: ``id``, ``type``, ``at``, ``by``, ``body``.

    Returns
    -------
    KeptStock
        As it stands then.

    Raises
    ------
    InputError
        If it cannot be meant, or more is promised than is free.
    Conflict
        If a spool would come in twice, or an event of that identity has other content.
    NotFound
        If there is no such spool.
    """
    event = event_of_table(table)
    if event.type not in TYPES["spool"] | TYPES["part"]:
        types = ", ".join(sorted(TYPES["spool"] | TYPES["part"]))
        raise SpecError("event.type", short(event.type), f"must be one of {types}", "choose one")
    if isinstance(event.body, StockReceived):
        return receive(desk, log, event)
    if isinstance(event.body, StockReserved):
        return reserve(desk, [Promise(log, event)])[0]
    return note(desk, log, event)


def receive(desk: JobDesk, log: str, event: Event) -> KeptStock:
    """Take in a spool, or small parts; those of one ware may come more than once.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    log : str
        Identity of its log, 32 hexadecimal digits made by who takes it in.
    event : Event
        A ``stock-received``.

    Returns
    -------
    KeptStock
        As it stands then.

    Raises
    ------
    InputError
        If it cannot be meant.
    Conflict
        If that spool came in already.
    """
    body = event.body
    assert isinstance(body, StockReceived)
    if not EVENT_ID.fullmatch(log):
        rule = "must be 32 hexadecimal digits in lower case"
        raise SpecError("spool", short(log), rule, "make 128 random bits")
    refuse_unmeant(event)
    try:
        stock_of(desk, log)
    except NotFound:
        kind = "part" if body.ware.is_counted else "spool"
        head = LogHead(log, kind, body.ware.id, event.at)
        desk.store.write([Begin(head), Append(log, [event], expected=0)])
        return stock_of(desk, log)
    return note(desk, log, event)


def note(desk: JobDesk, log: str, event: Event) -> KeptStock:
    """Write a fact: it was weighed, counted, used, moved, freed, written off; or a slip was one.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    log : str
        Its log.
    event : Event
        The event.

    Returns
    -------
    KeptStock
        As it stands then. More used than the book had leaves 0 there, and is told.

    Raises
    ------
    InputError
        If it cannot be meant of this spool.
    Conflict
        If an event of that identity has other content.
    NotFound
        If there is no such spool.
    """
    refuse_unmeant(event)
    for attempt in range(_TRIES):
        stock_of(desk, log)
        before = desk.store.events(log)
        is_new = event.id not in {s.event.id for s in before}
        if is_new:
            refuse_stranger(fold(before), event)
        decides = is_new and event.type == "withdrawn"
        if decides:
            refuse_withdrawal_of_a_release(before, event)
        try:
            desk.store.append(log, [event], expected=len(before) if decides else None)
            return stock_of(desk, log)
        except Conflict:
            if not decides or attempt == _TRIES - 1:
                raise
    raise AssertionError("the last try returns or raises")


def reserve(desk: JobDesk, promises: Sequence[Promise]) -> tuple[KeptStock, ...]:
    """Promise some of several spools and parts at once: all of it or nothing.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    promises : sequence of Promise
        What is promised, of each log as often as is wished.

    Returns
    -------
    tuple of KeptStock
        Each log once, in the order of the promises, as it stands then.

    Raises
    ------
    InputError
        If more is promised than is free: field, given, rule and remedy.
    Conflict
        If an event of that identity has other content.
    NotFound
        If there is no such spool.
    """
    by_log: dict[str, list[Event]] = {}
    for promise in promises:
        refuse_unmeant(promise.event)
        by_log.setdefault(promise.log, []).append(promise.event)
    for attempt in range(_TRIES):
        writes = reservations(desk, promises)
        try:
            desk.store.write(writes)
            break
        except Conflict:
            known = any(_is_known(desk, log, e) for log, es in by_log.items() for e in es)
            if attempt == _TRIES - 1 or known:
                raise
    return tuple(stock_of(desk, log) for log in by_log)


def reservations(desk: JobDesk, promises: Sequence[Promise]) -> list[Write]:
    """Decide on promises as the logs stand now, to be written together with other things.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    promises : sequence of Promise
        What is promised.

    Returns
    -------
    list of Write
        Each holds the length of log it was decided on: where one of the logs has grown when they
        are written, nothing is, and it is to be decided anew.

    Raises
    ------
    InputError
        If more is promised than is free.
    NotFound
        If there is no such spool.
    """
    by_log: dict[str, list[Event]] = {}
    for promise in promises:
        by_log.setdefault(promise.log, []).append(promise.event)
    writes: list[Write] = []
    for log, events in by_log.items():
        stock_of(desk, log)
        stored = desk.store.events(log)
        there = {s.event.id for s in stored}
        state, new = fold(stored), [e for e in events if e.id not in there]
        for place, event in enumerate(new):
            refuse_stranger(state, event)
            refuse_beyond_free(state, event, new[:place])
        writes.append(Append(log, events, expected=len(stored)))
    return writes


def release(desk: JobDesk, events: Mapping[str, Event]) -> tuple[KeptStock, ...]:
    """Free what is promised, of several spools and parts at once.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    events : mapping
        A ``stock-freed`` for each log.

    Returns
    -------
    tuple of KeptStock
        Each log as it stands then.

    Raises
    ------
    Conflict
        If an event of that identity has other content.
    NotFound
        If there is no such spool.
    """
    desk.store.write([Append(log, [event]) for log, event in events.items()])
    return tuple(stock_of(desk, log) for log in events)


def promised_to(desk: JobDesk, order: str) -> tuple[KeptStock, ...]:
    """Find every spool and part of which something is promised to an order.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    order : str
        The order.

    Returns
    -------
    tuple of KeptStock
        By the identities of their logs.
    """
    found = (stock_of(desk, head.id) for head in heads(desk))
    return tuple(k for k in found if any(r.order == order for r in k.state.reserved))


def heads(desk: JobDesk) -> Iterable[LogHead]:
    """Give the logs of all spools and small parts.

    Parameters
    ----------
    desk : JobDesk
        The desk.

    Returns
    -------
    iterable of LogHead
        Spools first, each kind oldest first.
    """
    return [head for kind in ("spool", "part") for head in desk.store.logs(kind)]


def _is_known(desk: JobDesk, log: str, event: Event) -> bool:
    """Say whether an event of that identity is there with other content."""
    stored: Sequence[StoredEvent] = desk.store.events(log)
    return any(s.event.id == event.id and s.event != event for s in stored)
