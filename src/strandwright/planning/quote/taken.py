"""Taken: what follows over a store once a price was taken, each act whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from strandwright.errors import Conflict, NotFound
from strandwright.planning.ports import Store
from strandwright.planning.quote.accepting import Accepted, Told
from strandwright.planning.quote.afterwards import freeing, reserve_again, take_back
from strandwright.planning.quote.keeping import kept_quote, order_of_quote
from strandwright.planning.quote.shelf import OnShelf, promised_on, shelf_of
from strandwright.workshop.events import StoredEvent
from strandwright.workshop.order_state import fold
from strandwright.workshop.quote import Quote
from strandwright.workshop.writes import Append, Write

#: Times an act is decided again where another bench wrote in the same moment [-]
_TRIES = 50


def reserve_rest(store: Store, id: str, told: Told) -> Accepted:
    """Promise what was short when a price was taken, as far as it has come in since.

    Parameters
    ----------
    store : Store
        Where all is kept.
    id : str
        The quote that was taken.
    told : Told
        When and by whom.

    Returns
    -------
    Accepted
        What is promised now, and what is short still.

    Raises
    ------
    InputError
        If it was not taken, or its order is over.
    NotFound
        If there is no such quote or order.
    Conflict
        If benches wrote in between over and over.
    """
    for attempt in range(_TRIES):
        order = order_of_quote(store, kept_quote(store, id)[0])
        revision = None if order.accepted is None else order.accepted.revision
        quote, _ = kept_quote(store, id, revision)
        done = reserve_again(quote, order, _shelf(store, quote), told)
        try:
            store.write(done.writes)
        except Conflict:
            if attempt == _TRIES - 1:
                raise
        else:
            return done
    raise AssertionError


def _shelf(store: Store, quote: Quote) -> tuple[OnShelf, ...]:
    return shelf_of(store, {want.ware.name for want in quote.wares}, over=True)


def take_quote_back(store: Store, order: str, told: Told, why: str = "a slip") -> None:
    """Take back that a price was taken, and free what was promised with it; twice it is one.

    Parameters
    ----------
    store : Store
        Where all is kept.
    order : str
        Identity of the order.
    told : Told
        When and by whom.
    why : str
        Why.

    Raises
    ------
    InputError
        If a line of it is built already.
    NotFound
        If there is no such order.
    Conflict
        If benches wrote in between over and over.
    """
    _on_the_shelf(
        store, order, lambda log, shelf: take_back(order, log, fold(log), shelf, told, why)
    )


def free_for_order(store: Store, order: str) -> None:
    """Free what is promised to an order that is refused, handed over or closed; twice it is one.

    Parameters
    ----------
    store : Store
        Where all is kept.
    order : str
        Identity of the order.

    Raises
    ------
    NotFound
        If there is no such order.
    Conflict
        If benches wrote in between over and over.
    """

    def decide(log: Sequence[StoredEvent], shelf: Sequence[OnShelf]) -> tuple[Append, ...]:
        state = fold(log)
        if not state.is_over and state.handed_over is None:
            return ()
        last = log[-1].event
        return tuple(freeing(order, shelf, Told(last.at, last.by)))

    _on_the_shelf(store, order, decide)


def _on_the_shelf(
    store: Store,
    order: str,
    decide: Callable[[Sequence[StoredEvent], Sequence[OnShelf]], Sequence[Write]],
) -> None:
    """Write what is decided on an order and the shelf; decide anew where one of them goes on."""
    for attempt in range(_TRIES):
        if store.log(order).kind != "order":
            raise NotFound("order", order)
        writes = decide(store.events(order), promised_on(store, order))
        try:
            store.write(writes)
        except Conflict:
            if attempt == _TRIES - 1:
                raise
        else:
            return
