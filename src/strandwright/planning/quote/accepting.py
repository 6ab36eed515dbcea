"""Accepting: from a quote to what is written when it is told and when it is taken, pure.

All writes of one act go together or not at all. Each event's identity follows from what it says, so
that an act sent twice is one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from strandwright.errors import Conflict, InputErrors, SpecError
from strandwright.planning.quote.promising import Promise, Short, promise
from strandwright.planning.quote.shelf import OnShelf
from strandwright.workshop.derived import derived_event
from strandwright.workshop.events import Event
from strandwright.workshop.order_state import OrderState
from strandwright.workshop.quote import Quote, quote_table
from strandwright.workshop.writes import Append, Save, Write


@dataclass(frozen=True)
class Told:
    """When, and by whom.

    Attributes
    ----------
    at : str
        The moment, UTC.
    by : str
        Which bench or browser.
    """

    at: str
    by: str = ""


@dataclass(frozen=True)
class Accepted:
    """What follows from a quote that is taken.

    Attributes
    ----------
    writes : tuple of Write
        To be written together; none where it was taken already.
    promises : tuple of Promise
        What is reserved.
    short : tuple of Short
        What is not on the shelf and is to be bought.
    """

    writes: tuple[Write, ...]
    promises: tuple[Promise, ...] = ()
    short: tuple[Short, ...] = ()


def tell(quote: Quote, before: int, order: OrderState, told: Told) -> tuple[Write, ...]:
    """Give what is written when a quote is told to the customer.

    Parameters
    ----------
    quote : Quote
        The quote, of an order.
    before : int
        Newest revision of it that is kept, 0 for none [-]
    order : OrderState
        How its order stands.
    told : Told
        When and by whom.

    Returns
    -------
    tuple of Write
        The quote's next revision, and that it was told.

    Raises
    ------
    SpecError
        If a job of it is not of that order, the order is over, or a price was taken already.
    """
    _refuse_strangers(quote, order)
    refuse_over(quote, order)
    if order.accepted is not None:
        rule = "must be told before a price is taken, and one is"
        raise SpecError("quote", quote.id, rule, "take that back first, or open another order")
    body = {"quote": quote.id, "revision": before + 1}
    event = derived_event("quoted", body, (quote.order,), at=told.at, by=told.by)
    save = Save("quote", quote.id, quote_table(quote), told.at, before)
    return save, Append(quote.order, [event], order.seq)


def accept(
    quote: Quote,
    revision: int,
    order: OrderState,
    shelf: Sequence[OnShelf],
    told: Told,
    *,
    may_be_short: bool = False,
) -> Accepted:
    """Give what is written when a quote is taken.

    Parameters
    ----------
    quote : Quote
        The quote, of an order.
    revision : int
        Which of it is taken [-]
    order : OrderState
        How its order stands.
    shelf : sequence of OnShelf
        The stock.
    told : Told
        When and by whom.
    may_be_short : bool
        Whether it is taken though the shelf cannot promise all of it.

    Returns
    -------
    Accepted
        That it was taken, and what is reserved for its jobs.

    Raises
    ------
    InputError
        If it was never told, holds no longer, a job of it is not of that order, or something is
        short that may not be.
    InputErrors
        If several things are short.
    Conflict
        If another price was taken.
    """
    _refuse_strangers(quote, order)
    if order.accepted is not None:
        if (order.accepted.quote, order.accepted.revision) == (quote.id, revision):
            return Accepted(())
        rule = "has another price taken already"
        raise Conflict("order", quote.order, rule, "take that back first")
    refuse_over(quote, order)
    said = order.quoted
    if said is None or (said.quote, said.revision) != (quote.id, revision):
        rule = "must be the price that was told last"
        raise SpecError("quote", f"{quote.id}, revision {revision}", rule, "tell it first")
    if quote.holds_until is not None and told.at[:10] > quote.holds_until:
        rule = f"must be taken by {quote.holds_until}, until when it holds"
        raise SpecError("quote", quote.id, rule, "make a new quote")
    body = {"quote": quote.id, "revision": revision}
    taken = derived_event("quote-accepted", body, (quote.order,), at=told.at, by=told.by)
    promises, short = promise(quote.wares, shelf)
    if short and not may_be_short:
        _refuse_short(short)
    writes = (Append(quote.order, [taken], order.seq), *reserving(quote, promises, shelf, told))
    return Accepted(writes, promises, short)


def refuse_orderless(quote: Quote) -> None:
    """Refuse to tell or take a quote that is of no order.

    Parameters
    ----------
    quote : Quote
        The quote.

    Raises
    ------
    SpecError
        If it names none.
    """
    if not quote.order:
        rule = "must be of an order to be told and taken"
        raise SpecError("quote", quote.id, rule, "make it for an order")


def _refuse_strangers(quote: Quote, order: OrderState) -> None:
    refuse_orderless(quote)
    stranger = next((job.job for job in quote.jobs if job.job not in order.jobs), None)
    if stranger is not None:
        rule = "must be a job of its order"
        raise SpecError("quote.jobs", stranger, rule, "add the job to the order first")


def refuse_over(quote: Quote, order: OrderState) -> None:
    """Refuse to go on with an order that is over.

    Parameters
    ----------
    quote : Quote
        Its quote.
    order : OrderState
        How it stands.

    Raises
    ------
    SpecError
        If it is refused or closed.
    """
    if order.is_over:
        rule = "must be of an order that goes on, and this one is over"
        raise SpecError("quote", quote.id, rule, "take that back first, or open another order")


def _refuse_short(short: Sequence[Short]) -> None:
    rule, remedy = "is not free on the shelf", "buy it, or take the price short on purpose"
    errors = tuple(
        SpecError(f"shelf.{one.job}", f"{_amount(one)} of {one.want.title}", rule, remedy)
        for one in short
    )
    raise errors[0] if len(errors) == 1 else InputErrors(errors)


def _amount(short: Short) -> str:
    return f"{short.count}" if short.count else f"{short.length:.1f} m"


def reserving(
    quote: Quote,
    promises: Sequence[Promise],
    shelf: Sequence[OnShelf],
    told: Told,
    about: str = "",
) -> list[Append]:
    """Reserve on each log, on what stood there when it was decided.

    Parameters
    ----------
    quote : Quote
        Whose jobs it is for.
    promises : sequence of Promise
        What is promised.
    shelf : sequence of OnShelf
        The stock it was decided on.
    told : Told
        When and by whom.
    about : str
        What tells it from another promise of as much at the same moment.

    Returns
    -------
    list of Append
        One for each log.
    """
    stands = {one.log: one.state.seq for one in shelf}
    by_log: dict[str, dict[str, Promise]] = {}
    for each in promises:
        jobs = by_log.setdefault(each.log, {})
        before = jobs.get(each.job, Promise(each.log, each.job))
        jobs[each.job] = Promise(
            each.log, each.job, before.length + each.length, before.count + each.count
        )
    return [
        Append(log, [_reservation(quote, one, told, about) for one in jobs.values()], stands[log])
        for log, jobs in by_log.items()
    ]


def _reservation(quote: Quote, one: Promise, told: Told, about: str) -> Event:
    # Down to the millimetre: rounded up it could be more than is free.
    length = math.floor(one.length * 1000.0) / 1000.0
    size = {"count": one.count} if one.count else {"length": f"{length:.3f} m"}
    body = {"order": quote.order, "job": one.job, **size}
    whose = (one.log, quote.id, about) if about else (one.log, quote.id)
    return derived_event("stock-reserved", body, whose, at=told.at, by=told.by)
