"""Stock state: what is left on a spool or of small parts, folded from the events of its log.

What happened to the ware counts by its own moment, for a bench that was away tells later of what
it took before; what was promised counts in the log's order, in which it was decided.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from typing import cast

from strandwright.workshop.events import StoredEvent
from strandwright.workshop.happenings.every import Noted, Withdrawn
from strandwright.workshop.happenings.stock import StockReceived, StockWrittenOff
from strandwright.workshop.money import Currency
from strandwright.workshop.on_spool import OnSpool, on_spool
from strandwright.workshop.stock_book import (
    Reservation,
    Use,
    by_moment,
    counted,
    is_whole,
    place_of,
    reserved,
    use_of,
)
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
    happened = sorted(counting, key=by_moment)
    bodies = [e.body for e in happened]
    receipts = tuple(
        Receipt(e.id, e.at, e.body) for e in happened if isinstance(e.body, StockReceived)
    )
    state = StockState(
        receipts=receipts,
        reserved=reserved(counting),
        uses=tuple(use for e in happened if (use := use_of(e)) is not None),
        place=place_of(counting),
        gone=next((b.why for b in bodies if isinstance(b, StockWrittenOff) and is_whole(b)), ""),
        notes=tuple(b.text for b in bodies if isinstance(b, Noted)),
        seq=log[-1].seq if log else 0,
    )
    if not receipts:
        return state
    if _is_counted(state):
        count, beyond = (0, 0) if state.gone else counted(bodies)
        return replace(state, count=count, beyond_count=beyond)
    return replace(state, spool=on_spool(receipts[-1].body, happened, gone=bool(state.gone)))


def _is_counted(state: StockState) -> bool:
    return state.ware is not None and state.ware.is_counted


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
        price, came = receipt.body.price, receipt.body.count
        value += pieces * (each[0] if price is None or not came else Fraction(price) / came)
        here -= pieces
    return value + here * each[0]
