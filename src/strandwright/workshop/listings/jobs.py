"""Listings of jobs, bows and sets: found by every name in them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from strandwright.workshop.documents import Document, Listing


def said(table: object, *path: str) -> str:
    """Give a text out of a table, empty where there is none.

    Parameters
    ----------
    table : object
        The table.
    *path : str
        Keys, from the outermost.

    Returns
    -------
    str
        The text.
    """
    for key in path:
        table = cast(Mapping[str, Any], table).get(key) if isinstance(table, Mapping) else None
    return table if isinstance(table, str) else ""


def found_by(*texts: str) -> str:
    """Join what something is found by.

    Parameters
    ----------
    *texts : str
        Names and the like.

    Returns
    -------
    str
        In lower case, each once.
    """
    return " ".join(dict.fromkeys(text.lower() for text in texts if text))


def in_use(document: Document) -> str:
    """Say whether a document is in use.

    Parameters
    ----------
    document : Document
        The document.

    Returns
    -------
    str
        ``in use`` or ``put away``.
    """
    return "put away" if document.put_away else "in use"


def list_job(document: Document) -> Listing:
    """Say how a job stands.

    Parameters
    ----------
    document : Document
        Its newest revision.

    Returns
    -------
    Listing
        The listing.
    """
    t = document.table
    names = {
        "name": said(t, "name"),
        "customer": said(t, "customer"),
        "bow": said(t, "bow", "name"),
        "line": said(t, "line", "name"),
    }
    words = found_by(document.id, *names.values())
    return Listing(
        "job", document.id, "", in_use(document), document.saved_at, words,
        names | {"revision": document.revision},
    )  # fmt: skip


def list_bow(document: Document) -> Listing:
    """Say how a bow stands.

    Parameters
    ----------
    document : Document
        Its newest revision.

    Returns
    -------
    Listing
        The listing.
    """
    t = document.table
    names = {"name": said(t, "name"), "kind": said(t, "kind")}
    words = found_by(document.id, *names.values())
    return Listing(
        "bow", document.id, "", in_use(document), document.saved_at, words,
        names | {"revision": document.revision},
    )  # fmt: skip


def list_set(document: Document) -> Listing:
    """Say how a set stands.

    Parameters
    ----------
    document : Document
        Its newest revision.

    Returns
    -------
    Listing
        The listing.
    """
    name = said(document.table, "name")
    words = found_by(document.id, name)
    return Listing(
        "set", document.id, "", in_use(document), document.saved_at, words,
        {"name": name, "revision": document.revision},
    )  # fmt: skip
