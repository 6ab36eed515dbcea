"""Order views: a customer with their orders, and the page of one order."""

from __future__ import annotations

from typing import Any

from strandwright.planning.desk.builds import Desk
from strandwright.planning.orders.customers import customer_of
from strandwright.planning.orders.keeping import KeptOrder
from strandwright.planning.orders.lists import row_of
from strandwright.planning.orders.page import order_page
from strandwright.web.quote_views import money_of
from strandwright.workshop.job import Job

Fields = dict[str, Any]


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
    return {
        "id": id,
        "revision": document.revision,
        "put_away": document.put_away,
        "customer": customer.model_dump(mode="json"),
        "orders": [row_of(row) for row in desk.store.listings("order", owner=id)],
    }


def order_view(desk: Desk, kept: KeptOrder, revision: int) -> Fields:
    """Give everything the counter shows of an order.

    Parameters
    ----------
    desk : Desk
        The desk.
    kept : KeptOrder
        The order.
    revision : int
        Newest revision of its customer, 0 where that is not kept [-]

    Returns
    -------
    dict
        JSON-ready.
    """
    going = _at_the_jig(desk, kept)
    jobs = [_job(job, kept) | {"building": going.get(job.id, "")} for job in kept.jobs]
    page = order_page(kept.id, kept.state, kept.customer, kept.verdict, jobs, kept.fits)
    return page | {"customer_revision": revision, "money": money_of(desk, kept.state)}


def _at_the_jig(desk: Desk, kept: KeptOrder) -> dict[str, str]:
    """Find the build of each job that is at the jig now."""
    if not kept.jobs:
        return {}
    owners = [job.id for job in kept.jobs]
    rows = desk.store.listings("build", owner=owners, status="at the jig")
    return {row.owner: row.id for row in reversed(rows)}


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
