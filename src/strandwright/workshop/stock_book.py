"""Stock book: what the events of a log say one after the other of a spool, or of small parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from strandwright.workshop.events import Event
from strandwright.workshop.happenings.stock import (
    StockCounted,
    StockFreed,
    StockMoved,
    StockReceived,
    StockReserved,
    StockUsed,
    StockWeighed,
    StockWrittenOff,
)

#: What is promised by order and job: a length and a number of parts.
_Book = dict[tuple[str, str], tuple[float, int]]


@dataclass(frozen=True)
class Reservation:
    """What is promised to a job of an order.

    Attributes
    ----------
    order, job : str
        Whose it is.
    length : float
        Of a spool [m]
    count : int
        Of small parts [-]
    """

    order: str
    job: str
    length: float
    count: int


@dataclass(frozen=True)
class Use:
    """What was used or written off, and for what.

    Attributes
    ----------
    event : str
        The event's identity.
    at : str
        When, UTC.
    order, job, build : str
        For what, as far as it was said; all empty where it was written off.
    length : float
        Of a spool [m]
    count : int
        Of small parts [-]
    why : str
        Why it was written off; empty where it was used.
    """

    event: str
    at: str
    order: str
    job: str
    build: str
    length: float
    count: int
    why: str = ""


def by_moment(event: Event) -> tuple[datetime, int, str]:
    """Give the order of what happened.

    Parameters
    ----------
    event : Event
        The event.

    Returns
    -------
    (datetime, int, str)
        Its moment; of one moment what came in stands first, and a weighing last [-]
    """
    rank = 0 if isinstance(event.body, StockReceived) else 1
    last = isinstance(event.body, StockWeighed | StockCounted)
    return event.moment, 2 if last else rank, event.id


def is_whole(body: StockWrittenOff) -> bool:
    """Say whether all of it was written off.

    Parameters
    ----------
    body : StockWrittenOff
        What was written off.

    Returns
    -------
    bool
        True where no amount was said.
    """
    return body.length is None and body.count is None


def use_of(event: Event) -> Use | None:
    """Give what an event says was used or written off.

    Parameters
    ----------
    event : Event
        The event.

    Returns
    -------
    Use or None
        None where it says nothing of that.
    """
    match event.body:
        case StockUsed(order=order, job=job, build=build, length=length, count=count):
            size = 0.0 if length is None else length.si
            return Use(event.id, event.at, order or "", job, build, size, count or 0)
        case StockWrittenOff(why=why, length=length, count=count):
            size = 0.0 if length is None else length.si
            return Use(event.id, event.at, "", "", "", size, count or 0, why)
        case _:
            return None


def place_of(events: Sequence[Event]) -> str:
    """Find where it was said last to lie.

    Parameters
    ----------
    events : sequence of Event
        In the log's order.

    Returns
    -------
    str
        Empty where it was not said.
    """
    said = [
        e.body.place
        for e in events
        if isinstance(e.body, StockMoved) or (isinstance(e.body, StockReceived) and e.body.place)
    ]
    return said[-1] if said else ""


def counted(bodies: Sequence[object]) -> tuple[int, int]:
    """Count small parts.

    Parameters
    ----------
    bodies : sequence of Noun
        What happened, by its moment.

    Returns
    -------
    (int, int)
        How many there are, never below 0, and how many were used that the book had not [-]
    """
    count, beyond = 0, 0
    for body in bodies:
        match body:
            case StockReceived(count=more):
                count += more or 0
            case StockCounted(count=there):
                count = there
            case StockUsed(count=less) | StockWrittenOff(count=less):
                beyond += max((less or 0) - count, 0)
                count = max(count - (less or 0), 0)
            case _:
                pass
    return count, beyond


def reserved(events: Sequence[Event]) -> tuple[Reservation, ...]:
    """Keep the book of promises.

    Parameters
    ----------
    events : sequence of Event
        In the log's order, in which they were decided.

    Returns
    -------
    tuple of Reservation
        What is promised still, by order and job.
    """
    book: _Book = {}
    for event in events:
        match event.body:
            case StockReserved(order=order, job=job, length=length, count=count):
                held = book.get((order, job), (0.0, 0))
                more = 0.0 if length is None else length.si
                book[order, job] = held[0] + more, held[1] + (count or 0)
            case StockFreed(order=order, job=job):
                for key in [k for k in book if k[0] == order and job in ("", k[1])]:
                    del book[key]
            case StockUsed():
                _fulfil(book, event.body)
            case StockWrittenOff() if is_whole(event.body):
                book.clear()
            case _:
                pass
    return tuple(Reservation(*key, *book[key]) for key in sorted(book) if any(book[key]))


def _fulfil(book: _Book, used: StockUsed) -> None:
    """Take what was used off what was promised to the same job, or else to the same order."""
    if not used.order and not used.job:
        return
    length = 0.0 if used.length is None else used.length.si
    count = used.count or 0
    for key in sorted(book):
        if used.order not in (None, key[0]) or used.job not in ("", key[1]):
            continue
        held = book[key]
        book[key] = max(held[0] - length, 0.0), max(held[1] - count, 0)
        length, count = max(length - held[0], 0.0), max(count - held[1], 0)
