"""Order views: what the counter's lists show, newest first, and one order's page."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from typing import Any

from strandwright.errors import SpecError
from strandwright.planning.desk.builds import Desk
from strandwright.planning.orders.keeping import KeptOrder, customer_of
from strandwright.planning.orders.page import order_page
from strandwright.planning.ports import PAGE
from strandwright.workshop.documents import Listing
from strandwright.workshop.job import Job
from strandwright.workshop.order_number import read_order_number

Fields = dict[str, Any]
Before = tuple[str, str] | None
#: Customers of a sought name whose orders are shown [-]
_NAMED = 20


def orders_view(desk: Desk, status: str | None, words: str, before: Before) -> Fields:
    """Give the orders of a status, or those found by words.

    Parameters
    ----------
    desk : Desk
        The desk.
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
    store, sought = desk.store, _said_number(words)
    page = store.listings("order", status=status, words=sought, before=before, limit=PAGE + 1)
    found, more = page[:PAGE], _more(page)
    if sought:
        named = [who.id for who in store.listings("customer", words=words, limit=_NAMED)]
        # Those of a sought name stand with the first of the others, and are not gone on with.
        found += store.listings("order", owner=named, status=status) if before is None else ()
    rows = sorted({row.id: row for row in found}.values(), key=lambda r: (r.at, r.id))
    names = _names(desk, rows)
    return {
        "orders": [_row(row) | {"name": names.get(row.owner, "")} for row in reversed(rows)],
        "counts": store.counts("order"),
        "more": more,
    }


def _row(row: Listing) -> Fields:
    return {"id": row.id, "status": row.status, "at": row.at, **row.summary}


def _more(page: Sequence[Listing]) -> list[str] | None:
    """Give the place to go on from, where there was one more than is shown."""
    return [page[PAGE - 1].at, page[PAGE - 1].id] if len(page) > PAGE else None


def _said_number(words: str) -> str:
    """Give what is sought; an order's number as it is written, however it was said."""
    with suppress(SpecError):
        return read_order_number(words).lower()
    return words.strip()


def _names(desk: Desk, rows: Sequence[Listing]) -> dict[str, str]:
    found = desk.store.named("customer", sorted({row.owner for row in rows}))
    return {who.id: str(who.summary.get("name", "")) for who in found}


def customers_view(desk: Desk, words: str, before: Before) -> Fields:
    """Give the customers found by words, or all, those changed last first.

    Parameters
    ----------
    desk : Desk
        The desk.
    words : str
        Name or way to reach them.
    before : (str, str) or None
        ``at`` and ``id`` of the last one shown.

    Returns
    -------
    dict
        ``customers`` and ``more``: where to go on from, if there are more.
    """
    page = desk.store.listings(
        "customer", status="in use", words=words.strip(), before=before, limit=PAGE + 1
    )
    return {"customers": [_row(row) for row in page[:PAGE]], "more": _more(page)}


def customer_view(desk: Desk, id: str) -> Fields:
    """Give a customer with their orders.

    Parameters
    ----------
    desk : Desk
        The desk.
    id : str
        Identity.

    Returns
    -------
    dict
        JSON-ready.

    Raises
    ------
    NotFound
        If there is none.
    """
    document, customer = customer_of(desk, id)
    orders = desk.store.listings("order", owner=id)
    return {
        "id": id,
        "revision": document.revision,
        "put_away": document.put_away,
        "customer": customer.model_dump(mode="json"),
        "orders": [_row(row) for row in orders],
    }


def order_view(kept: KeptOrder, revision: int) -> Fields:
    """Give everything the counter shows of an order.

    Parameters
    ----------
    kept : KeptOrder
        The order.
    revision : int
        Newest revision of its customer, 0 where that is not kept [-]

    Returns
    -------
    dict
        JSON-ready.
    """
    jobs = [_job(job, kept) for job in kept.jobs]
    page = order_page(kept.id, kept.state, kept.customer, kept.verdict, jobs)
    return page | {"customer_revision": revision}


def _job(job: Job, kept: KeptOrder) -> Fields:
    made = {one.job: one.build for one in kept.state.made}
    return {
        "id": job.id,
        "name": job.name,
        "line": job.line.name,
        "strands": job.makeup.strands,
        "strand": job.makeup.strand,
        "build": made.get(job.id, ""),
        "finished": kept.finished.get(job.id, ""),
    }
