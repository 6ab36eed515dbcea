"""Customers: kept with their revisions, and given back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.orders.opening import read_customer
from strandwright.workshop.customer import Customer
from strandwright.workshop.documents import Document
from strandwright.workshop.job import noun_from_table


def keep_customer(
    desk: JobDesk, id: str, table: Mapping[str, Any], revision: int, *, put_away: bool = False
) -> Document:
    """Keep a customer.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    id : str
        Identity, made by the program that asks.
    table : mapping
        ``name``, ``reach`` and ``notes`` as they were typed.
    revision : int
        The revision it follows, 0 for a new one [-]
    put_away : bool
        True to take it out of the list.

    Returns
    -------
    Document
        As kept.

    Raises
    ------
    InputError
        If it cannot be used.
    Conflict
        If it was changed elsewhere in the meantime.
    """
    customer = read_customer(table)
    kept = customer.model_dump(mode="json", exclude_defaults=True)
    return desk.store.save(
        "customer", id, kept, at=desk.now(), expected=revision, put_away=put_away
    )


def customer_of(desk: JobDesk, id: str) -> tuple[Document, Customer]:
    """Give a customer.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    id : str
        Identity.

    Returns
    -------
    (Document, Customer)
        As kept, and read.

    Raises
    ------
    NotFound
        If there is none.
    """
    document = desk.store.document("customer", id)
    return document, noun_from_table(Customer, document.table, "customer")
