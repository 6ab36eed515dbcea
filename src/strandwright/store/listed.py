"""Listed: listings of a database made anew, of those kinds of which something else is said now."""

from __future__ import annotations

from sqlalchemy import Connection, select

from strandwright.store import tables
from strandwright.store.records import LogRow
from strandwright.store.sql_rows import SqlRows, listing_of
from strandwright.store.turn import list_document, list_log
from strandwright.workshop.documents import Listing
from strandwright.workshop.listings import DOCUMENTS, HANGING, LOGS, VERSIONS

#: Kind of the rows that say by which version the listings of another kind were made.
_VERSION = "version"


def other_kinds(connection: Connection) -> set[str]:
    """Give the kinds whose listings are missing, or say what another version says.

    Parameters
    ----------
    connection : Connection
        In a transaction.

    Returns
    -------
    set of str
        Kinds of documents and logs, those that are listed no more among them.
    """
    query = select(tables.listing).where(tables.listing.c.kind == _VERSION)
    found = [listing_of(*row) for row in connection.execute(query)]
    made = {row.id: row.summary["version"] for row in found}
    other = {kind for kind in made.keys() | VERSIONS if made.get(kind) != VERSIONS.get(kind)}
    return other | {kind for kind, hanging in HANGING.items() if hanging in other}


def list_anew(connection: Connection, kinds: set[str]) -> None:
    """Make the listings of some kinds anew from the records.

    Parameters
    ----------
    connection : Connection
        In a transaction that writes.
    kinds : set of str
        Kinds of documents and logs.
    """
    rows, t = SqlRows(connection), tables.listing.c
    gone = t.kind.in_(sorted(kinds)) | ((t.kind == _VERSION) & t.id.in_(sorted(kinds)))
    connection.execute(tables.listing.delete().where(gone))
    for kind in sorted(kinds & LOGS.keys()):
        for found in connection.execute(select(tables.log).where(tables.log.c.kind == kind)).all():
            list_log(rows, LogRow(*found))
    # Behind the logs: what hangs on a document is told in its listing.
    for kind in sorted(kinds & DOCUMENTS.keys()):
        ids = select(tables.document.c.id).where(tables.document.c.kind == kind).distinct()
        for (id,) in connection.execute(ids).all():
            document = rows.newest(kind, id)
            if document is not None:
                list_document(rows, document)
    for kind in sorted(kinds & VERSIONS.keys()):
        rows.list_anew(Listing(_VERSION, kind, "", "", "", "", {"version": VERSIONS[kind]}))

