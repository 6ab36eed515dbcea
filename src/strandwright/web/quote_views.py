"""Views of the price: the terms, a draft, and everything about the price of one order."""

from __future__ import annotations

from typing import Any

from strandwright.planning.desk.builds import Desk
from strandwright.planning.orders.keeping import KeptOrder
from strandwright.planning.quote.afterwards import unserved
from strandwright.planning.quote.drafting import quote_id
from strandwright.planning.quote.keeping import kept_quote, kept_terms
from strandwright.planning.quote.owing import money_page, owing
from strandwright.planning.quote.page import quote_page, reserved_page, shelf_page
from strandwright.planning.quote.promising import promise
from strandwright.planning.quote.shelf import shelf_of
from strandwright.planning.quote.words import not_set
from strandwright.workshop.documents import Document
from strandwright.workshop.order_state import OrderState, order_number
from strandwright.workshop.quote import Quote, quote_from_table
from strandwright.workshop.terms import Terms, terms_table

Fields = dict[str, Any]


def terms_view(desk: Desk) -> Fields:
    """Give the shop's terms, and what they do not say.

    Parameters
    ----------
    desk : Desk
        The desk.

    Returns
    -------
    dict
        JSON-ready.
    """
    terms, revision = kept_terms(desk.store)
    return {
        "revision": revision,
        "terms": terms_table(terms),
        "needed": _needed(terms),
        "not_set": not_set(terms),
    }


def _needed(terms: Terms) -> list[str]:
    """Name what no quote can do without."""
    return [name for name in ("currency", "hourly_rate") if getattr(terms, name) is None]


def quote_view(quote: Quote, revision: int) -> Fields:
    """Give a quote as it was told.

    Parameters
    ----------
    quote : Quote
        The quote.
    revision : int
        Which of it [-]

    Returns
    -------
    dict
        JSON-ready.
    """
    return quote_page(quote) | {"revision": revision}


def draft_view(desk: Desk, quote: Quote) -> Fields:
    """Give a draft, with what the shelf has of it.

    Parameters
    ----------
    desk : Desk
        The desk.
    quote : Quote
        The draft.

    Returns
    -------
    dict
        JSON-ready.
    """
    shelf = shelf_of(desk.store, _names(quote))
    return quote_page(quote) | shelf_page(quote, *promise(quote.wares, shelf), shelf)


def order_quote_view(desk: Desk, kept: KeptOrder) -> Fields:
    """Give everything about the price of an order.

    Parameters
    ----------
    desk : Desk
        The desk.
    kept : KeptOrder
        The order.

    Returns
    -------
    dict
        JSON-ready: ``told``, the price that was taken or told last; ``quotes``, every one of it;
        ``money``, what was paid and is owed.
    """
    state, terms = kept.state, kept_terms(desk.store)[0]
    id = quote_id(desk.store, kept.id)
    rows = [d for d in desk.store.revisions("quote", id) if d.table.get("order") == kept.id]
    told = _told(desk, state)
    return {
        "order": kept.id,
        "number": order_number(kept.id),
        "status": state.status,
        "over": state.is_over,
        "customer": "" if kept.customer is None else kept.customer.name,
        "wished_by": "" if state.opened is None else state.opened.wished_by or "",
        "jobs": [{"id": job.id, "name": job.name} for job in kept.jobs],
        "needed": _needed(terms),
        "taxes": [{"name": tax.name, "rate": f"{tax.rate:f}"} for tax in terms.taxes],
        "accepted": state.accepted is not None,
        "made": len(state.made),
        "told": None if told is None else _with_shelf(desk, *told, state),
        "quotes": [_row(one, state) for one in reversed(rows)],
        "money": money_of(desk, state),
        "paid": [{"amount": f"{one.amount:f}", "how": one.how} for one in state.paid],
    }


def money_of(desk: Desk, state: OrderState) -> Fields:
    """Say what was paid of an order and what is still owed.

    Parameters
    ----------
    desk : Desk
        The desk.
    state : OrderState
        The order.

    Returns
    -------
    dict
        JSON-ready.
    """
    told, terms = _told(desk, state), kept_terms(desk.store)[0]
    quote = None if told is None else told[0]
    own = None if terms.currency is None else terms.money
    page = money_page(owing(quote, state.paid), own if quote is None else quote.money)
    return page | {"taken": state.accepted is not None}


def _told(desk: Desk, state: OrderState) -> tuple[Quote, int] | None:
    """Give the price that was taken, or else the one that was told last."""
    said = state.accepted or state.quoted
    return None if said is None else kept_quote(desk.store, said.quote, said.revision)


def _with_shelf(desk: Desk, quote: Quote, revision: int, state: OrderState) -> Fields:
    shelf = shelf_of(desk.store, _names(quote), over=True)
    if state.accepted is None:
        found = shelf_page(quote, *promise(quote.wares, shelf), shelf)
    else:
        found = reserved_page(quote, unserved(quote, shelf), shelf)
    return quote_view(quote, revision) | found


def _names(quote: Quote) -> set[str]:
    return {want.ware.name for want in quote.wares}


def _row(document: Document, state: OrderState) -> Fields:
    quote = quote_from_table(document.table)
    this = (document.id, document.revision)
    said, taken = state.quoted, state.accepted
    return {
        "id": document.id,
        "revision": document.revision,
        "told_at": document.saved_at,
        "total": quote.money.written(quote.total),
        "last": said is not None and (said.quote, said.revision) == this,
        "taken": taken is not None and (taken.quote, taken.revision) == this,
    }
