"""Stock state: what is left on a spool or of small parts, folded from the events of its log.

What happened to the ware counts by its own moment, for a bench that was away tells later of what
it took before; what was promised counts in the log's order, in which it was decided.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from typing import cast

from strandwright.workshop.events import Event, StoredEvent
from strandwright.workshop.happenings.every import Noted, Withdrawn
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
from strandwright.workshop.money import Currency
from strandwright.workshop.on_spool import OnSpool, on_spool
from strandwright.workshop.wares import Ware


@dataclass(frozen=True)
class Receipt:
    """Ware that came in.

    Attributes
    ----------
    event : str
        The event's identity.
    at : str
        When, UTC.
    body : StockReceived
        What came.
    """

    event: str
    at: str
    body: StockReceived


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


@dataclass(frozen=True)
class StockState:
    """What stands of a spool, or of small parts.

    Attributes
    ----------
    receipts : tuple of Receipt
        What came in, by its moment; of a spool the last one counts.
    spool : OnSpool
        What is left on a spool, and how sure; all 0 for small parts.
    count : int
        Small parts left [-]
    beyond_count : int
        Small parts that were used though the book had them not [-]
    reserved : tuple of Reservation
        What is promised, by order and job.
    uses : tuple of Use
        What was used and written off, by its moment.
    place : str
        Where it lies.
    gone : str
        Why it was written off altogether; empty where it was not.
    notes : tuple of str
        What is worth remembering.
    seq : int
        Place of the last event [-]
    """

    receipts: tuple[Receipt, ...] = ()
    spool: OnSpool = field(default_factory=OnSpool)
    count: int = 0
    beyond_count: int = 0
    reserved: tuple[Reservation, ...] = ()
    uses: tuple[Use, ...] = ()
    place: str = ""
    gone: str = ""
    notes: tuple[str, ...] = ()
    seq: int = 0

    @property
    def received(self) -> StockReceived | None:
        """What came in last; None before anything did."""
        return self.receipts[-1].body if self.receipts else None

    @property
    def ware(self) -> Ware | None:
        """What it is; None before anything came in."""
        return None if self.received is None else self.received.ware

    @property
    def is_open(self) -> bool:
        """Whether some of it is gone already, so that it is to be finished first."""
        return (self.received is not None and self.received.opened) or bool(self.uses)

    @property
    def is_over(self) -> bool:
        """Whether it is written off, or a spool from which everything was taken."""
        empty = not _is_counted(self) and self.received is not None and self.spool.length <= 0.0
        return bool(self.gone) or empty

    @property
    def reserved_length(self) -> float:
        """Length promised to jobs [m]."""
        return sum(r.length for r in self.reserved)

    @property
    def reserved_count(self) -> int:
        """Small parts promised to jobs [-]."""
        return sum(r.count for r in self.reserved)

    @property
    def free_length(self) -> float:
        """Length that may be promised: left, less promised, less its 95 % half-range; >= 0 [m]."""
        return max(self.spool.length - self.reserved_length - 2.0 * self.spool.length_u, 0.0)

    @property
    def free_count(self) -> int:
        """Small parts that may be promised; >= 0 [-]."""
        return max(self.count - self.reserved_count, 0)

    @property
    def short_length(self) -> float:
        """Length that is promised and not there; 0 where all is [m]."""
        return max(self.reserved_length - self.spool.length, 0.0)

    @property
    def short_count(self) -> int:
        """Small parts that are promised and not there; 0 where all are [-]."""
        return max(self.reserved_count - self.count, 0)

    @property
    def worth(self) -> Fraction | None:
        """What is left at the price paid, exactly; None where no price is known [money]."""
        return _value_of_parts(self) if _is_counted(self) else _value_of_spool(self)

    def value(self, currency: Currency) -> Decimal | None:
        """What is left at the price that was paid, rounded once.

        Parameters
        ----------
        currency : Currency
            What the shop reckons in.

        Returns
        -------
        Decimal or None
            The share of a spool's price that is left; of small parts, those that came last are
            there still. None where no price is known.
        """
        worth = self.worth
        return None if worth is None else currency.rounded(worth)


def fold(events: Iterable[StoredEvent]) -> StockState:
    """Fold the log of a spool or of small parts to what stands now.

    Parameters
    ----------
    events : iterable of StoredEvent
        The whole log, in any order.

    Returns
    -------
    StockState
        The state; an event that was withdrawn, wherever it stands, counts no more.
    """
    log = sorted(events, key=lambda e: e.seq)
    gone = {cast(Withdrawn, s.event.body).event for s in log if s.event.type == "withdrawn"}
    counting = [s.event for s in log if s.event.id not in gone]
    happened = sorted(counting, key=_by_moment)
    bodies = [e.body for e in happened]
    receipts = tuple(
        Receipt(e.id, e.at, e.body) for e in happened if isinstance(e.body, StockReceived)
    )
    state = StockState(
        receipts=receipts,
        reserved=_reserved(counting),
        uses=tuple(use for e in happened if (use := _use(e)) is not None),
        place=_place(counting),
        gone=next((b.why for b in bodies if _is_whole(b)), ""),
        notes=tuple(b.text for b in bodies if isinstance(b, Noted)),
        seq=log[-1].seq if log else 0,
    )
    if not receipts:
        return state
    if _is_counted(state):
        count, beyond = (0, 0) if state.gone else _counted(bodies)
        return replace(state, count=count, beyond_count=beyond)
    return replace(state, spool=on_spool(receipts[-1].body, happened, gone=bool(state.gone)))


def _by_moment(event: Event) -> tuple[datetime, int, str]:
    """Order what happened: of one moment what came in stands first, and a weighing last."""
    rank = 0 if isinstance(event.body, StockReceived) else 1
    last = isinstance(event.body, StockWeighed | StockCounted)
    return event.moment, 2 if last else rank, event.id


def _is_counted(state: StockState) -> bool:
    return state.ware is not None and state.ware.is_counted


def _is_whole(body: object) -> bool:
    return isinstance(body, StockWrittenOff) and body.length is None and body.count is None


def _use(event: Event) -> Use | None:
    match event.body:
        case StockUsed(order=order, job=job, build=build, length=length, count=count):
            size = 0.0 if length is None else length.si
            return Use(event.id, event.at, order or "", job, build, size, count or 0)
        case StockWrittenOff(why=why, length=length, count=count):
            size = 0.0 if length is None else length.si
            return Use(event.id, event.at, "", "", "", size, count or 0, why)
        case _:
            return None


def _place(events: Sequence[Event]) -> str:
    """Find where it was said last to lie, in the log's order."""
    said = [
        e.body.place
        for e in events
        if isinstance(e.body, StockMoved) or (isinstance(e.body, StockReceived) and e.body.place)
    ]
    return said[-1] if said else ""


def _counted(bodies: Sequence[object]) -> tuple[int, int]:
    """Count small parts in the order of what happened to them, and those the book had not."""
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


def _reserved(events: Sequence[Event]) -> tuple[Reservation, ...]:
    """Keep the book of promises in the log's order."""
    book: dict[tuple[str, str], tuple[float, int]] = {}
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
            case StockWrittenOff() if _is_whole(event.body):
                book.clear()
            case _:
                pass
    return tuple(Reservation(*key, *book[key]) for key in sorted(book) if any(book[key]))


def _fulfil(book: dict[tuple[str, str], tuple[float, int]], used: StockUsed) -> None:
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


def _value_of_spool(state: StockState) -> Fraction | None:
    received = state.received
    if received is None or received.price is None:
        return None
    if state.spool.full <= 0.0:
        return Fraction(0)
    share = min(Fraction(state.spool.length) / Fraction(state.spool.full), Fraction(1))
    return Fraction(received.price) * share


def _value_of_parts(state: StockState) -> Fraction | None:
    """Value what is there as if those that came last were there still."""
    newest = list(reversed(state.receipts))
    each = [
        Fraction(r.body.price) / r.body.count
        for r in newest
        if r.body.price is not None and r.body.count
    ]
    if not each:
        return None
    value, here = Fraction(0), state.count
    for receipt in newest:
        pieces = min(here, receipt.body.count or 0)
        price = receipt.body.price
        one = each[0] if price is None or not pieces else Fraction(price) / receipt.body.count
        value += pieces * one
        here -= pieces
    return value + here * each[0]
