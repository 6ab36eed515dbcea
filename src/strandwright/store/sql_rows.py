"""Rows of a database within one transaction, as a turn at writing sees them."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, func, insert, select
from sqlalchemy import Table as SqlTable

from strandwright.store import tables
from strandwright.store.records import BlobRow, DocumentRow, EventRow, LogRow, PlanRow, Row
from strandwright.store.turn import Rows
from strandwright.workshop import kept
from strandwright.workshop.documents import Listing

#: Rows read or written in one statement.
AT_ONCE = 200
#: Where rows of each kind are kept, those first that others hang on.
HOMES: dict[type[Row], SqlTable] = {
    DocumentRow: tables.document,
    PlanRow: tables.plan,
    LogRow: tables.log,
    EventRow: tables.event,
    BlobRow: tables.blob,
}


class SqlRows(Rows):
    """Rows of a database.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def newest(self, kind: str, id: str) -> DocumentRow | None:
        t = tables.document.c
        query = select(tables.document).where(t.kind == kind, t.id == id)
        row = self._connection.execute(query.order_by(t.revision.desc()).limit(1)).first()
        return None if row is None else DocumentRow(*row)

    def plan_job(self, id: str) -> tuple[str, int] | None:
        t = tables.plan.c
        query = select(t.job_id, t.model_version).where(t.id == id)
        row = self._connection.execute(query).first()
        return None if row is None else (row.job_id, row.model_version)

    def log_row(self, id: str) -> LogRow | None:
        if not kept.is_log_id(id):
            return None
        query = select(tables.log).where(tables.log.c.id == id)
        row = self._connection.execute(query).first()
        return None if row is None else LogRow(*row)

    def length(self, log: str) -> int:
        t = tables.event.c
        query = select(func.max(t.seq)).where(t.log_id == log)
        return self._connection.execute(query).scalar() or 0

    def known(self, ids: Sequence[str]) -> dict[str, EventRow]:
        found: dict[str, EventRow] = {}
        for start in range(0, len(ids), AT_ONCE):
            some = tables.event.c.id.in_(ids[start : start + AT_ONCE])
            rows = self._connection.execute(select(tables.event).where(some))
            found |= {row.id: EventRow(*row) for row in rows}
        return found

    def log_events(self, log: str) -> Sequence[EventRow]:
        t = tables.event.c
        query = select(tables.event).where(t.log_id == log).order_by(t.seq)
        return [EventRow(*row) for row in self._connection.execute(query)]

    def has_blob(self, id: str) -> bool:
        query = select(tables.blob.c.id).where(tables.blob.c.id == id)
        return self._connection.execute(query).first() is not None

    def put(self, rows: Sequence[Row]) -> None:
        for kind, table in HOMES.items():
            values = [vars(row) for row in rows if isinstance(row, kind)]
            if values:
                self._connection.execute(insert(table), values)

    def owned(self, kind: str, owner: str) -> Sequence[Listing]:
        t = tables.listing.c
        query = select(tables.listing).where(t.kind == kind, t.owner == owner)
        return [listing_of(*row) for row in self._connection.execute(query)]

    def list_anew(self, listing: Listing) -> None:
        t = tables.listing
        summary = json.dumps(listing.summary, separators=(",", ":"))
        self._connection.execute(t.delete().where(t.c.kind == listing.kind, t.c.id == listing.id))
        self._connection.execute(insert(t), [vars(listing) | {"summary": summary}])


def listing_of(*row: Any) -> Listing:
    """Give a listing as it was kept.

    Parameters
    ----------
    *row : str
        Its columns, the summary as JSON.

    Returns
    -------
    Listing
        The listing.
    """
    kind, id, owner, status, at, words, summary = row
    return Listing(kind, id, owner, status, at, words, json.loads(summary))
