"""Afterwards: what follows once a price was taken: what was short comes in, or it is taken back."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from strandwright.errors import SpecError
from strandwright.planning.quote.accepting import Accepted, Told, refuse_over, reserving
from strandwright.planning.quote.promising import needed, promise
from strandwright.planning.quote.shelf import OnShelf, serves
from strandwright.workshop.derived import derived_event
from strandwright.workshop.events import StoredEvent
from strandwright.workshop.happenings.every import Withdrawn
from strandwright.workshop.happenings.order import QuoteAccepted
from strandwright.workshop.order_state import OrderState
from strandwright.workshop.quote import Quote, QuotedWare
from strandwright.workshop.writes import Append

#: Promises are rounded down to the millimetre [m]
_ROUNDED = 2e-3


def reserve_again(
    quote: Quote, order: OrderState, shelf: Sequence[OnShelf], told: Told
) -> Accepted:
    """Give what is written when what was short has come in: it is promised, too.

    Parameters
    ----------
    quote : Quote
        The quote that was taken.
    order : OrderState
        How its order stands.
    shelf : sequence of OnShelf
        The stock, what is used up among it.
    told : Told
        When and by whom.

    Returns
    -------
    Accepted
        What is promised now, and what is short still.

    Raises
    ------
    SpecError
        If it is not the price that was taken, or the order is over.
    """
    refuse_over(quote, order)
    if order.accepted is None or order.accepted.quote != quote.id:
        raise SpecError("quote", quote.id, "must be the price that was taken", "take it first")
    promises, short = promise(unserved(quote, shelf), shelf)
    return Accepted(tuple(reserving(quote, promises, shelf, told, "come in")), promises, short)


def unserved(quote: Quote, shelf: Sequence[OnShelf]) -> tuple[QuotedWare, ...]:
    """Find what a quote takes of which nothing is promised and nothing was used for its job.

    Parameters
    ----------
    quote : Quote
        The quote.
    shelf : sequence of OnShelf
        The stock, what is used up among it.

    Returns
    -------
    tuple of QuotedWare
        In the quote's order.
    """
    covered: dict[tuple[str, str, str], float] = {}
    short: list[QuotedWare] = []
    for want in quote.wares:
        key = want.job, want.ware.key, want.lot
        if key not in covered:
            covered[key] = sum(_has(one, quote.order, want) for one in shelf)
        size = needed(want)
        if covered[key] >= size - _ROUNDED:
            covered[key] -= size
        else:
            short.append(want)
    return tuple(short)


def _has(one: OnShelf, order: str, want: QuotedWare) -> float:
    """Give how much of a spool, or of small parts, is promised to a job or was used for it."""
    ware, counted = one.state.ware, want.ware.is_counted
    if ware is None or not serves(ware, want.ware) or want.lot not in ("", one.lot):
        return 0.0
    used = [u for u in one.state.uses if u.job == want.job and u.order in ("", order)]
    if used and not counted:
        # What a line really took is all it wants, be it a little less than was promised.
        return math.inf
    held = [r for r in one.state.reserved if (r.order, r.job) == (order, want.job)]
    return float(sum(x.count if counted else x.length for x in (*held, *used)))


def take_back(
    order: str,
    log: Sequence[StoredEvent],
    state: OrderState,
    shelf: Sequence[OnShelf],
    told: Told,
    why: str,
) -> tuple[Append, ...]:
    """Give what is written when it was a slip that a price was taken: its promises are free again.

    Parameters
    ----------
    order : str
        Identity of the order.
    log : sequence of StoredEvent
        What is recorded of it.
    state : OrderState
        How it stands.
    shelf : sequence of OnShelf
        The stock, what is used up among it.
    told : Told
        When and by whom.
    why : str
        Why.

    Returns
    -------
    tuple of Append
        To be written together; none where no price is taken.

    Raises
    ------
    SpecError
        If a line of it is built already.
    """
    if state.accepted is None:
        return ()
    if state.made:
        rule = "must be taken back before a line is built on it, and one is"
        raise SpecError("quote", state.accepted.quote, rule, "take that back first")
    gone = {s.event.body.event for s in log if isinstance(s.event.body, Withdrawn)}
    counting = [
        s.event.id
        for s in log
        if isinstance(s.event.body, QuoteAccepted) and s.event.id not in gone
    ]
    events = [
        derived_event("withdrawn", {"event": id, "why": why}, (order,), at=told.at, by=told.by)
        for id in counting
    ]
    return Append(order, events, state.seq), *freeing(order, shelf, told)


def freeing(order: str, shelf: Sequence[OnShelf], told: Told) -> Iterator[Append]:
    """Give what is written when all that is promised to an order is free again.

    Parameters
    ----------
    order : str
        Identity of the order.
    shelf : sequence of OnShelf
        The stock, what is used up among it.
    told : Told
        When and by whom.

    Yields
    ------
    Append
        One for each spool and kind of part of which something is promised to it.
    """
    for one in shelf:
        if any(r.order == order for r in one.state.reserved):
            body = {"order": order}
            event = derived_event("stock-freed", body, (one.log,), at=told.at, by=told.by)
            yield Append(one.log, [event], one.state.seq)
