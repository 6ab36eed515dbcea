"""Listings of jobs, bows and sets: found by every name in them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, cast

from strandwright.workshop.documents import Document, Listing


def inside(table: object, *path: str) -> object:
    """Give what stands in a table, None where nothing does.

    Parameters
    ----------
    table : object
        The table.
    *path : str
        Keys, from the outermost.

    Returns
    -------
    object
        The value.
    """
    for key in path:
        table = cast(Mapping[str, Any], table).get(key) if isinstance(table, Mapping) else None
    return table


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
    found = inside(table, *path)
    return found if isinstance(found, str) else ""


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


def list_job(document: Document, hanging: Sequence[Listing] = ()) -> Listing:
    """Say how a job stands.

    Parameters
    ----------
    document : Document
        Its newest revision.
    hanging : sequence of Listing
        Its builds.

    Returns
    -------
    Listing
        ``building``, ``to start``, ``done`` or ``put away``; sorted by what was done to it last.
    """
    t = document.table
    names = {
        "name": said(t, "name"),
        "customer": said(t, "customer"),
        "bow": said(t, "bow", "name") or said(t, "bow", "kind"),
        "line": said(t, "line", "name"),
    }
    builds = sorted(hanging, key=lambda row: (str(row.summary["began_at"]), row.id))
    going = [row for row in builds if row.status != "put aside"]
    newest = (going or builds or [None])[-1]
    status = {"done": "done", "at the jig": "building"}.get(newest.status if newest else "")
    state = status or "to start"
    last = max((document.saved_at, *(row.at for row in builds)))
    summary = names | {
        "kind": said(t, "bow", "kind"),
        "state": state,
        "build": newest.id if newest else None,
        "revision": document.revision,
        "saved_at": document.saved_at,
        "put_away": document.put_away,
        "strands": inside(t, "makeup", "strands"),
        "colours": inside(t, "makeup", "colours"),
    }
    words = found_by(document.id, *names.values())
    status = "put away" if document.put_away else state
    return Listing("job", document.id, "", status, last, words, summary)


def list_bow(document: Document, hanging: Sequence[Listing] = ()) -> Listing:
    """Say how a bow stands.

    Parameters
    ----------
    document : Document
        Its newest revision.
    hanging : sequence of Listing
        Nothing hangs on it.

    Returns
    -------
    Listing
        The listing.
    """
    del hanging
    t = document.table
    names = {"name": said(t, "name"), "kind": said(t, "kind")}
    words = found_by(document.id, *names.values())
    return Listing(
        "bow", document.id, "", in_use(document), document.saved_at, words,
        names | {"revision": document.revision},
    )  # fmt: skip


def list_set(document: Document, hanging: Sequence[Listing] = ()) -> Listing:
    """Say how a set stands.

    Parameters
    ----------
    document : Document
        Its newest revision.
    hanging : sequence of Listing
        Nothing hangs on it.

    Returns
    -------
    Listing
        The listing.
    """
    del hanging
    name = said(document.table, "name")
    words = found_by(document.id, name)
    return Listing(
        "set", document.id, "", in_use(document), document.saved_at, words,
        {"name": name, "revision": document.revision},
    )  # fmt: skip
