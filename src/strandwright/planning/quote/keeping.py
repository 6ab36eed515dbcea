"""Keeping: terms and quotes over a store, each act written whole or not at all."""

from __future__ import annotations

from typing import Any

from strandwright.errors import Conflict, NotFound
from strandwright.planning.ports import Store
from strandwright.planning.quote.accepting import (
    Accepted,
    Told,
    accept,
    refuse_orderless,
    tell,
)
from strandwright.planning.quote.shelf import shelf_of
from strandwright.workshop.order_state import OrderState, fold
from strandwright.workshop.quote import Quote, quote_from_table
from strandwright.workshop.terms import TERMS_ID, Terms, terms_from_table, terms_table

Table = dict[str, Any]
#: Times an act is decided again where another bench wrote in the same moment [-]
_TRIES = 50


def kept_terms(store: Store) -> tuple[Terms, int]:
    """Give the shop's terms.

    Parameters
    ----------
    store : Store
        Where they are kept.

    Returns
    -------
    (Terms, int)
        The terms, nothing set where none are kept, and their revision, 0 for none [-]
    """
    try:
        found = store.document("shop", TERMS_ID)
    except NotFound:
        return Terms(), 0
    return terms_from_table(found.table), found.revision


def keep_terms(store: Store, table: Table, revision: int, at: str) -> tuple[Terms, int]:
    """Keep the shop's terms.

    Parameters
    ----------
    store : Store
        Where they are kept.
    table : dict
        As they were entered.
    revision : int
        The revision they follow, 0 for the first ones [-]
    at : str
        When, UTC.

    Returns
    -------
    (Terms, int)
        As kept, and their revision [-]

    Raises
    ------
    InputError
        If they cannot be used.
    Conflict
        If they were changed elsewhere in the meantime.
    """
    terms = terms_from_table(table)
    kept = store.save("shop", TERMS_ID, terms_table(terms), at=at, expected=revision)
    return terms, kept.revision


def kept_quote(store: Store, id: str, revision: int | None = None) -> tuple[Quote, int]:
    """Give a quote as it was told.

    Parameters
    ----------
    store : Store
        Where it is kept.
    id : str
        Its identity.
    revision : int or None
        Which one; the newest where left out [-]

    Returns
    -------
    (Quote, int)
        The quote and its revision [-]

    Raises
    ------
    NotFound
        If there is none.
    """
    found = store.document("quote", id, revision)
    return quote_from_table(found.table), found.revision


def tell_quote(store: Store, quote: Quote, told: Told) -> int:
    """Keep a quote and record that it was told; told twice it is one.

    Parameters
    ----------
    store : Store
        Where orders and quotes are kept.
    quote : Quote
        The quote, of an order.
    told : Told
        When and by whom.

    Returns
    -------
    int
        Its revision [-]

    Raises
    ------
    InputError
        If it cannot be told as its order stands.
    NotFound
        If there is no such order.
    Conflict
        If the order went on elsewhere, over and over.
    """
    for attempt in range(_TRIES):
        order, before = order_of_quote(store, quote), 0
        try:
            kept, before = kept_quote(store, quote.id)
        except NotFound:
            kept = None
        said = order.quoted
        if kept == quote and said is not None and (said.quote, said.revision) == (quote.id, before):
            return before
        try:
            store.write(tell(quote, before, order, told))
        except Conflict:
            if attempt == _TRIES - 1:
                raise
        else:
            return before + 1
    raise AssertionError


def accept_quote(
    store: Store,
    id: str,
    told: Told,
    revision: int | None = None,
    *,
    may_be_short: bool = False,
) -> Accepted:
    """Take a quote: its order goes on and its material is reserved, all of it or nothing.

    Parameters
    ----------
    store : Store
        Where all is kept.
    id : str
        The quote.
    told : Told
        When and by whom.
    revision : int or None
        Which one is taken; the newest where left out [-]
    may_be_short : bool
        Whether it is taken though the shelf cannot promise all of it.

    Returns
    -------
    Accepted
        What was reserved, and what is short.

    Raises
    ------
    InputError
        If it cannot be taken as its order stands, or something is short that may not be.
    NotFound
        If there is no such quote or order.
    Conflict
        If another price was taken, or benches wrote in between over and over.
    """
    quote, newest = kept_quote(store, id, revision)
    names = {want.ware.name for want in quote.wares}
    for attempt in range(_TRIES):
        order, shelf = order_of_quote(store, quote), shelf_of(store, names)
        done = accept(quote, newest, order, shelf, told, may_be_short=may_be_short)
        try:
            store.write(done.writes)
        except Conflict:
            if attempt == _TRIES - 1:
                raise
        else:
            return done
    raise AssertionError


def order_of_quote(store: Store, quote: Quote) -> OrderState:
    """Give how the order of a quote stands.

    Parameters
    ----------
    store : Store
        Where it is kept.
    quote : Quote
        The quote.

    Returns
    -------
    OrderState
        The state.

    Raises
    ------
    SpecError
        If the quote is of no order.
    NotFound
        If there is no such order.
    """
    refuse_orderless(quote)
    if store.log(quote.order).kind != "order":
        raise NotFound("order", quote.order)
    return fold(store.events(quote.order))
