"""Listings of lessons: what finished builds teach, by when each was written last."""

from __future__ import annotations

from collections.abc import Sequence

from strandwright.workshop.documents import Document, Listing


def list_lesson(document: Document, hanging: Sequence[Listing] = ()) -> Listing:
    """Say how the lesson of a build stands.

    Parameters
    ----------
    document : Document
        Its newest revision.
    hanging : sequence of Listing
        Nothing hangs on it.

    Returns
    -------
    Listing
        ``kept``, or ``dropped`` where the end of its build was a slip.
    """
    del hanging
    status = "dropped" if document.put_away else "kept"
    summary = {"revision": document.revision}
    return Listing("lesson", document.id, "", status, document.saved_at, "", summary)
