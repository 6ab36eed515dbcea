"""Listings: how each document and log stands now, in the few words that a list shows of it.

A store writes them in the same turn as what they tell of, so a list of fifty thousand is read
from its latest end without reading what stands behind it. They follow from the records alone;
where :data:`VERSION` is another than a store was written with, it makes all of them anew.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from strandwright.workshop.documents import Document, DocumentKind, Listing, LogHead, LogKind
from strandwright.workshop.events import StoredEvent
from strandwright.workshop.listings.builds import list_build
from strandwright.workshop.listings.jobs import list_bow, list_job, list_set

#: What listings say; raised with every change of what one of them says [-]
VERSION = 1

#: Documents of these kinds are listed.
DOCUMENTS: dict[DocumentKind, Callable[[Document], Listing]] = {
    "bow": list_bow,
    "job": list_job,
    "set": list_set,
}
#: Logs of these kinds are listed.
LOGS: dict[LogKind, Callable[[LogHead, Sequence[StoredEvent]], Listing]] = {
    "build": list_build,
}


def document_listing(document: Document) -> Listing | None:
    """Say how a document stands.

    Parameters
    ----------
    document : Document
        Its newest revision.

    Returns
    -------
    Listing or None
        None where its kind is not listed.
    """
    say = DOCUMENTS.get(document.kind)
    return None if say is None else say(document)


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
