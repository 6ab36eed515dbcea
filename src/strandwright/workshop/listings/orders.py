"""Listings of customers and orders: found by name, by number, by bow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, cast

from strandwright.workshop.documents import Document, Listing, LogHead
from strandwright.workshop.events import StoredEvent
from strandwright.workshop.listings.jobs import found_by, in_use, said
from strandwright.workshop.order_state import fold, order_number

#: Stands among the words of an order in which something is made again.
REMADE = "remake:"


def list_customer(document: Document, hanging: Sequence[Listing] = ()) -> Listing:
    """Say how a customer stands.

    Parameters
    ----------
    document : Document
        Its newest revision.
    hanging : sequence of Listing
        Nothing hangs on it.

    Returns
    -------
    Listing
        Found by name and by every way to reach them; notes are not searched.
    """
    del hanging
    table = document.table
    rows = table.get("reach")
    reach = [
        said(row, "at")
        for row in (cast("list[Any]", rows) if isinstance(rows, list) else [])
        if isinstance(row, Mapping)
    ]
    name = said(table, "name")
    return Listing(
        "customer", document.id, "", in_use(document), document.saved_at, found_by(name, *reach),
        {"name": name, "reach": reach[0] if reach else "", "revision": document.revision},
    )  # fmt: skip


def list_order(head: LogHead, events: Sequence[StoredEvent]) -> Listing:
    """Say how an order stands.

    Parameters
    ----------
    head : LogHead
        Its head; the customer is its subject.
    events : sequence of StoredEvent
        All of its events, in order.

    Returns
    -------
    Listing
        Owned by its customer; sorted by its last event.
    """
    state = fold(events)
    last = max((stored.event.at for stored in events), default=head.began_at)
    bow, opened, number = state.bow, state.opened, order_number(head.id)
    name, kind = ("", "") if bow is None else (bow.name, bow.kind)
    summary = {
        "number": number,
        "customer": head.subject,
        "bow": name,
        "kind": kind,
        "lines": 0 if opened is None else opened.lines,
        "jobs": list(state.jobs),
        "made": len(state.made),
        "wished_by": "" if opened is None or opened.wished_by is None else opened.wished_by,
        "opened_at": state.opened_at or head.began_at,
        "asked": state.waiting[0].question if state.waiting else "",
        "forbids": next((f.finding for f in state.findings if f.decision == "refuse"), ""),
        "refused": state.refused,
        "handed_over_at": state.handed_over_at,
        "remakes": [one.model_dump(mode="json") for one in state.remakes],
    }
    remade = (REMADE,) if state.remakes else ()
    words = found_by(number, name, kind, head.id, *state.jobs, *remade)
    return Listing("order", head.id, head.subject, state.status, last, words, summary)
