"""Making: what follows for an order, and for the shelf, when the build of a line is finished."""

from __future__ import annotations

from collections.abc import Iterable

from strandwright.errors import Conflict
from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.ports import Store
from strandwright.planning.quote.taken import free_for_order
from strandwright.planning.stock.following import locked_event, use_for_build, uses_of
from strandwright.workshop.derived import derived_id
from strandwright.workshop.events import Event, make_event
from strandwright.workshop.happenings.order import (
    HandedOver,
    LineMade,
    OrderClosed,
    OrderRefused,
)
from strandwright.workshop.order_state import fold
from strandwright.workshop.writes import Append, Write

#: Times an act is decided again where another bench wrote in the same moment [-]
_TRIES = 50
_OVER = ("refused", "closed")


def note_made(desk: JobDesk, build: str) -> str:
    """Let the order of a finished build know that its line is made, and take its strand.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    build : str
        The build.

    Returns
    -------
    str
        Identity of the order; empty where the build is not finished or its job is of none that
        goes on. Told twice, or by two benches, it is one.

    Raises
    ------
    NotFound
        If there is no such build.
    Conflict
        If benches wrote in between over and over.
    """
    head, log = desk.store.build(build), desk.store.events(build)
    ended = locked_event(log)
    if ended is None:
        return ""
    for attempt in range(_TRIES):
        order = order_of_job(desk.store, head.job_id)
        writes: list[Write] = [*uses_of(desk, build)]
        if order:
            writes += _made(desk.store, order, head.job_id, build, ended)
        try:
            desk.store.write(writes)
        except Conflict:
            if attempt == _TRIES - 1:
                raise
        else:
            return order
    raise AssertionError


def _made(store: Store, order: str, job: str, build: str, ended: Event) -> list[Write]:
    """Give the event that a line is made; none where it is there, or the order is over."""
    id, log = derived_id("line-made", order, build), store.events(order)
    state = fold(log)
    is_told = any(made.build == build for made in state.made)
    if is_told or state.is_over or id in {stored.event.id for stored in log}:
        return []
    body = {"job": job, "build": build}
    event = make_event(id, "line-made", body, at=ended.at, by=ended.by)
    return [Append(order, [event], len(log))]


def order_of_job(store: Store, job: str) -> str:
    """Find the order that a job is of.

    Parameters
    ----------
    store : Store
        Where orders are kept.
    job : str
        The job.

    Returns
    -------
    str
        Identity of the one worked on last that is not over; empty where there is none.
    """
    rows = store.listings("order", words=job)
    mine = (row for row in rows if job in row.summary["jobs"] and row.status not in _OVER)
    return next((row.id for row in mine), "")


def follow(desk: JobDesk, order: str, events: Iterable[Event]) -> None:
    """Let the shelf follow what was recorded of an order; followed twice it is once.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    order : str
        Identity of the order.
    events : iterable of Event
        What was recorded.

    Raises
    ------
    Conflict
        If benches wrote in between over and over.
    """
    for event in events:
        if isinstance(event.body, LineMade):
            use_for_build(desk, event.body.build)
        elif isinstance(event.body, OrderRefused | HandedOver | OrderClosed):
            free_for_order(desk.store, order)
