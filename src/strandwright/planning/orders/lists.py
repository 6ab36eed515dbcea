"""Lists: orders and customers as they stand, read from their listings alone, newest first."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from typing import Any

from strandwright.errors import SpecError
from strandwright.planning.ports import PAGE, Store
from strandwright.workshop.documents import Listing
from strandwright.workshop.order_number import read_order_number

Fields = dict[str, Any]
Before = tuple[str, str] | None
#: Customers of a sought name whose orders are shown [-]
_NAMED = 20


def orders_list(store: Store, status: str | None, words: str, before: Before = None) -> Fields:
    """Give the orders of a status, or those found by words.

    Parameters
    ----------
    store : Store
        Where they are kept.
    status : str or None
        Only those; left out, all.
    words : str
        Number, bow, job, or the customer's name.
    before : (str, str) or None
        ``at`` and ``id`` of the last one shown.

    Returns
    -------
    dict
        ``orders``, ``counts`` by status, and ``more``: where to go on from, if there are more.
    """
    page = store.listings("order", status=status, words=words, before=before, limit=PAGE + 1)
    found, more = page[:PAGE], _more(page)
    if words.strip() and before is None:
        number = _said_number(words)
        if number != words.strip().lower():
            found += store.listings("order", status=status, words=number)
        named = [who.id for who in store.listings("customer", words=words, limit=_NAMED)]
        # Those of a sought name stand with the first of the others, and are not gone on with.
        found += store.listings("order", owner=named, status=status)
    rows = sorted({row.id: row for row in found}.values(), key=lambda r: (r.at, r.id))
    names = _names(store, rows)
    return {
        "orders": [row_of(row) | {"name": names.get(row.owner, "")} for row in reversed(rows)],
        "counts": store.counts("order"),
        "more": more,
    }


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
