"""Listings: how each document and log stands now, in the few words that a list shows of it.

A store writes them in the same turn as what they tell of, so a list of fifty thousand is read
from its latest end without reading what stands behind it. They follow from the records alone;
where one of :data:`VERSIONS` is another than a store was written with, it makes those anew.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from strandwright.workshop.documents import Document, DocumentKind, Listing, LogHead, LogKind
from strandwright.workshop.events import StoredEvent
from strandwright.workshop.listings.builds import list_build
from strandwright.workshop.listings.fits import list_fit
from strandwright.workshop.listings.jobs import list_bow, list_job, list_set
from strandwright.workshop.listings.lessons import list_lesson
from strandwright.workshop.listings.orders import list_customer, list_order
from strandwright.workshop.listings.service import list_service
from strandwright.workshop.listings.stock import list_stock

#: Documents of these kinds are listed, each with the listings of what hangs on it.
DOCUMENTS: dict[DocumentKind, Callable[[Document, Sequence[Listing]], Listing]] = {
    "bow": list_bow,
    "customer": list_customer,
    "job": list_job,
    "lesson": list_lesson,
    "set": list_set,
}
#: Logs of these kinds are listed.
LOGS: dict[LogKind, Callable[[LogHead, Sequence[StoredEvent]], Listing]] = {
    "build": list_build,
    "fit": list_fit,
    "order": list_order,
    "part": list_stock,
    "service": list_service,
    "spool": list_stock,
}
#: What hangs on a document: logs of a kind whose subject it is, told in its listing.
HANGING: dict[DocumentKind, LogKind] = {"job": "build"}
#: What the listings of each kind say; raised when that changes, and they are made anew [-]
VERSIONS: dict[str, int] = {str(kind): 1 for kind in (*DOCUMENTS, *LOGS)} | {"job": 2, "order": 2}


def document_listing(document: Document, hanging: Sequence[Listing]) -> Listing | None:
    """Say how a document stands.

    Parameters
    ----------
    document : Document
        Its newest revision.
    hanging : sequence of Listing
        Listings of the logs that hang on it by :data:`HANGING`, in any order.

    Returns
    -------
    Listing or None
        None where its kind is not listed.
    """
    say = DOCUMENTS.get(document.kind)
    return None if say is None else say(document, hanging)


def log_listing(head: LogHead, events: Sequence[StoredEvent]) -> Listing | None:
    """Say how what a log is about stands.

    Parameters
    ----------
    head : LogHead
        Its head.
    events : sequence of StoredEvent
        All of its events, in order.

    Returns
    -------
    Listing or None
        None where its kind is not listed.
    """
    say = LOGS.get(head.kind)
    return None if say is None else say(head, events)
