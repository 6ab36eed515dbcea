"""Lists: orders and customers as they stand, read from their listings alone, newest first."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from typing import Any, get_args

from strandwright.errors import SpecError
from strandwright.planning.ports import PAGE, Store
from strandwright.workshop.documents import Listing
from strandwright.workshop.order_number import read_order_number
from strandwright.workshop.order_state import OrderStatus

Fields = dict[str, Any]
Before = tuple[str, str] | None
#: How an order stands that is not closed, in the order of the work.
OPEN: tuple[OrderStatus, ...] = tuple(one for one in get_args(OrderStatus) if one != "closed")
#: Customers of a sought name whose orders are shown [-]
_NAMED = 20


def orders_list(store: Store, status: str | None, words: str, before: Before = None) -> Fields:
    """Give the orders that are open, those of one status, or those found by words.

    Parameters
    ----------
    store : Store
        Where they are kept.
    status : str or None
        Only those; left out, all, of each status the latest. Closed ones only where they are
        asked for by it or found by words.
    words : str
        Number, bow, job, or the customer's name.
    before : (str, str) or None
        ``at`` and ``id`` of the last one shown of that status.

    Returns
    -------
    dict
        ``orders``, ``counts`` by status, and ``more``: by status where to go on from.
    """
    if words.strip():
        rows, more = _found(store, status, words), {}
    else:
        pages = {
            one: store.listings("order", status=one, before=before, limit=PAGE + 1)
            for one in (OPEN if status is None else (status,))
        }
        rows = [row for page in pages.values() for row in page[:PAGE]]
        more = {one: place for one, page in pages.items() if (place := _more(page)) is not None}
    rows = sorted({row.id: row for row in rows}.values(), key=lambda r: (r.at, r.id))
    names = _names(store, rows)
    return {
        "orders": [row_of(row) | {"name": names.get(row.owner, "")} for row in reversed(rows)],
        "counts": store.counts("order"),
        "more": more,
    }


def _found(store: Store, status: str | None, words: str) -> list[Listing]:
    """Find orders by their own words, by their number however it was said, by their customer."""
    found = list(store.listings("order", status=status, words=words))
    number = _said_number(words)
    if number != words.strip().lower():
        found += store.listings("order", status=status, words=number)
    named = [who.id for who in store.listings("customer", words=words, limit=_NAMED)]
    return [*found, *store.listings("order", owner=named, status=status)]


def customers_list(store: Store, words: str, before: Before = None) -> Fields:
    """Give the customers found by words, or all, those changed last first.

    Parameters
    ----------
    store : Store
        Where they are kept.
    words : str
        Name or way to reach them.
    before : (str, str) or None
        ``at`` and ``id`` of the last one shown.

    Returns
    -------
    dict
        ``customers`` and ``more``: where to go on from, if there are more.
    """
    page = store.listings("customer", status="in use", words=words, before=before, limit=PAGE + 1)
    return {"customers": [row_of(row) for row in page[:PAGE]], "more": _more(page)}


def row_of(row: Listing) -> Fields:
    """Give a row of a list.

    Parameters
    ----------
    row : Listing
        How the thing stands.

    Returns
    -------
    dict
        JSON-ready.
    """
    return {"id": row.id, "status": row.status, "at": row.at, **row.summary}


def _more(page: Sequence[Listing]) -> list[str] | None:
    """Give the place to go on from, where there was one more than is shown."""
    return [page[PAGE - 1].at, page[PAGE - 1].id] if len(page) > PAGE else None


def _said_number(words: str) -> str:
    """Give an order's number as it is written, however it was said; other words as they are."""
    with suppress(SpecError):
        return read_order_number(words).lower()
    return words.strip().lower()


def _names(store: Store, rows: Sequence[Listing]) -> dict[str, str]:
    found = store.named("customer", sorted({row.owner for row in rows}))
    return {who.id: str(who.summary.get("name", "")) for who in found}
