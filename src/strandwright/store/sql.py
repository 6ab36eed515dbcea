"""A store in a database: one code path for an SQLite file and a PostgreSQL server.

Nothing kept ever changes or goes, so a list of what is there at one moment stays true: long
reads take such a list first and then the content bit by bit, and never hold up a writer.
"""

from __future__ import annotations

import threading
from collections.abc import Generator, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any, cast

from sqlalchemy import Connection, Engine, Executable, Select, func, select, tuple_
from sqlalchemy import Table as SqlTable

from strandwright.errors import NotFound
from strandwright.planning.ports import PAGE, Answer, Store
from strandwright.store import tables
from strandwright.store.engine import driver_errors, snapshot, writing
from strandwright.store.listed import list_anew, other_kinds
from strandwright.store.records import (
    BlobRow,
    Intake,
    LogRow,
    Row,
    blob_record,
    document_record,
    event_record,
    log_record,
    plan_record,
)
from strandwright.store.refused import is_not_empty
from strandwright.store.sql_rows import AT_ONCE, HOMES, SqlRows, listing_of
from strandwright.store.turn import Prepared, Turn
from strandwright.store.watch import CHANNEL, ListeningWatch, Watch
from strandwright.workshop import kept
from strandwright.workshop.documents import (
    Blob,
    BuildHead,
    Document,
    DocumentKind,
    Listing,
    LogHead,
    LogKind,
    PlanRecord,
    Table,
)
from strandwright.workshop.events import StoredEvent
from strandwright.workshop.listings import VERSIONS
from strandwright.workshop.writes import Write


class SqlStore(Store):
    """Keeps records in a database whose schema is the newest.

    Parameters
    ----------
    engine : Engine
        To the database.
    place : str
        Where it is, for errors; without a password.
    """

    def __init__(self, engine: Engine, place: str) -> None:
        self.place = place
        self._engine = engine
        self._writer = writing(engine)
        self._snapshot = snapshot(engine)
        # Threads of this program wait for each other here, in order, not at the database.
        self._turn = threading.Lock()
        listens = engine.dialect.name == "postgresql"
        self._watch = ListeningWatch(self.mark, engine) if listens else Watch(self.mark)

    def write(self, writes: Sequence[Write]) -> tuple[Answer, ...]:
        prepared = [Prepared(write) for write in writes]
        with self._writing() as connection:
            turn = Turn(SqlRows(connection))
            answers = turn.all(prepared)
            if turn.wrote:
                _grow(connection)
        self._watch.tell()
        return answers

    # ---------------------------------------------------------------------------- documents

    def document(self, kind: DocumentKind, id: str, revision: int | None = None) -> Document:
        kept.need_kind(kind)
        query = _revisions(kind, id, newest_first=True).limit(1)
        if revision is not None:
            query = query.where(tables.document.c.revision == revision)
        rows = self._rows(query) if kept.is_id(id) and _fits(revision) else []
        if not rows:
            raise NotFound(kind, id)
        return kept.document_of(*rows[0])

    def documents(
        self, kind: DocumentKind, ids: Sequence[str] | None = None
    ) -> tuple[Document, ...]:
        kept.need_kind(kind)
        t = tables.document.c
        newest = select(t.id, func.max(t.revision).label("revision")).where(t.kind == kind)
        rows: list[Any] = []
        for some in [None] if ids is None else _parts([id for id in ids if kept.is_id(id)]):
            chosen = newest if some is None else newest.where(t.id.in_(some))
            found = chosen.group_by(t.id).subquery()
            both = (t.id == found.c.id) & (t.revision == found.c.revision)
            rows += self._rows(select(tables.document).join(found, both).where(t.kind == kind))
        documents = {row.id: kept.document_of(*row) for row in rows}
        return tuple(documents[id] for id in sorted(documents))

    def revisions(self, kind: DocumentKind, id: str) -> tuple[Document, ...]:
        kept.need_kind(kind)
        rows = self._rows(_revisions(kind, id)) if kept.is_id(id) else []
        return tuple(kept.document_of(*row) for row in rows)

    # -------------------------------------------------------------------------------- plans

    def plan(self, id: str) -> PlanRecord:
        query = select(tables.plan).where(tables.plan.c.id == id)
        rows = self._rows(query) if kept.is_id(id) else []
        if not rows:
            raise NotFound("plan", id)
        return kept.plan_of(*rows[0])

    def plans(self, job_id: str | None = None) -> tuple[PlanRecord, ...]:
        found = (kept.plan_of(*row) for row in self._of_job(tables.plan, job_id))
        return tuple(sorted(found, key=lambda plan: (plan.made_at, plan.id)))

    # --------------------------------------------------------------------------------- logs

    def log(self, id: str) -> LogHead:
        return self._log(id, "log").log_head()

    def logs(self, kind: LogKind, subject: str | None = None) -> tuple[LogHead, ...]:
        kept.need_log_kind(kind)
        return tuple(row.log_head() for row in self._logs(kind, subject))

    def build(self, id: str) -> BuildHead:
        return _build(self._log(id, "build"))

    def builds(self, job_id: str | None = None) -> tuple[BuildHead, ...]:
        return tuple(_build(row) for row in self._logs("build", job_id))

    def events(self, log: str, after: int = 0) -> tuple[StoredEvent, ...]:
        t = tables.event.c
        self._log(log, "log")
        query = select(t.seq, t.content).where(t.log_id == log, t.seq > _bounded(after))
        rows = self._rows(query.order_by(t.seq))
        return tuple(StoredEvent(row.seq, kept.event_of(row.content)) for row in rows)

    def _log(self, id: str, kind: str) -> LogRow:
        with self._reading() as connection:
            row = SqlRows(connection).log_row(id)
        if row is None or kind not in ("log", row.kind):
            raise NotFound(kind, id)
        return row

    def _logs(self, kind: LogKind, subject: str | None) -> list[LogRow]:
        t = tables.log.c
        query = select(tables.log).where(t.kind == kind)
        if subject is not None:
            if not kept.is_id(subject):
                return []
            query = query.where(t.subject == subject)
        found = [LogRow(*row) for row in self._rows(query)]
        return sorted(found, key=lambda row: (row.began_at, row.id))

    # -------------------------------------------------------------------- blobs and listings

    def blob(self, id: str) -> Blob:
        query = select(tables.blob).where(tables.blob.c.id == id)
        rows = self._rows(query) if kept.is_digest(id) else []
        if not rows:
            raise NotFound("blob", id)
        return BlobRow(*rows[0]).blob()

    def listings(
        self,
        kind: str,
        *,
        owner: str | Sequence[str] | None = None,
        status: str | None = None,
        words: str = "",
        before: tuple[str, str] | None = None,
        limit: int = PAGE,
    ) -> tuple[Listing, ...]:
        t = tables.listing.c
        query = select(tables.listing).where(t.kind == kind)
        if owner is not None:
            owners = [owner] if isinstance(owner, str) else owner
            query = query.where(t.owner.in_([kept.plain(one) for one in owners]))
        if status is not None:
            query = query.where(t.status == kept.plain(status))
        for word in kept.plain(words).lower().split():
            query = query.where(t.words.contains(word, autoescape=True))
        if before is not None:
            at, id = map(kept.plain, before)
            query = query.where(tuple_(t.at, t.id) < (at, id))
        query = query.order_by(t.at.desc(), t.id.desc()).limit(_bounded(limit))
        return tuple(listing_of(*row) for row in self._rows(query))

    def named(self, kind: str, ids: Sequence[str]) -> tuple[Listing, ...]:
        t, found = tables.listing.c, dict[str, Listing]()
        wanted = list(dict.fromkeys(id for id in ids if kept.is_id(id)))
        for some in _parts(wanted):
            rows = self._rows(select(tables.listing).where(t.kind == kind, t.id.in_(some)))
            found |= {row.id: listing_of(*row) for row in rows}
        return tuple(found[id] for id in wanted if id in found)

    def counts(self, kind: str) -> dict[str, int]:
        t = tables.listing.c
        query = select(t.status, func.count()).where(t.kind == kind).group_by(t.status)
        return dict(sorted((row[0], row[1]) for row in self._rows(query)))

    def list_if_other(self) -> None:
        """Make listings anew where another version of this program wrote them.

        Raises
        ------
        StoreUnusable
            If they cannot be read or written.
        """
        with driver_errors(self.place):
            with self._reading() as connection:
                if not other_kinds(connection):
                    return
            with self._writing() as connection:
                list_anew(connection, other_kinds(connection))

    # ---------------------------------------------------------------------------- the whole

    def mark(self) -> int:
        return int(self._rows(select(tables.mark.c.value))[0].value)

    def wait(self, mark: int, timeout: float) -> int:
        return self._watch.wait(mark, timeout)

    def contents(self) -> Iterable[Table]:
        d, p, e = tables.document.c, tables.plan.c, tables.event.c
        with driver_errors(self.place), self._snapshot.begin() as connection:
            newest = select(d.kind, d.id, func.max(d.revision)).group_by(d.kind, d.id)
            documents = sorted(map(tuple, connection.execute(newest)))
            plans = sorted(map(tuple, connection.execute(select(p.made_at, p.id))))
            logs = [LogRow(*row) for row in connection.execute(select(tables.log))]
            ends = select(e.log_id, func.max(e.seq)).group_by(e.log_id)
            last = {row[0]: row[1] for row in connection.execute(ends)}
            blobs = sorted(row[0] for row in connection.execute(select(tables.blob.c.id)))
        return self._tables(documents, plans, logs, last, blobs)

    def _tables(
        self,
        documents: list[tuple[Any, ...]],
        plans: list[tuple[Any, ...]],
        logs: list[LogRow],
        last: dict[str, int],
        blobs: list[str],
    ) -> Iterator[Table]:
        t = tables.event.c
        for kind, id, newest in documents:
            for document in self.revisions(kind, id):
                if document.revision <= newest:
                    yield document_record(document)
        for _, id in plans:
            yield plan_record(self.plan(id))
        for log in sorted(logs, key=lambda log: (log.began_at, log.id)):
            yield log_record(log)
            query = select(t.seq, t.content).where(t.log_id == log.id).order_by(t.seq)
            for seq, text in self._rows(query.where(t.seq <= last.get(log.id, 0))):
                yield event_record(log.id, seq, text)
        for id in blobs:
            row = self._rows(select(tables.blob).where(tables.blob.c.id == id))[0]
            yield blob_record(BlobRow(*row))

    def take_in(self, tables: Iterable[Table]) -> int:
        intake = Intake()
        with self._writing() as connection:
            if any(connection.execute(select(t).limit(1)).first() for t in HOMES.values()):
                raise is_not_empty(self.place)
            kept_here, rows = SqlRows(connection), list[Row]()
            for table in tables:
                rows += intake.rows(table)
                if len(rows) >= AT_ONCE:
                    kept_here.put(rows)
                    rows = []
            kept_here.put(rows)
            list_anew(connection, set(VERSIONS))
            if intake.count:
                _grow(connection)
        self._watch.tell()
        return intake.count

    def close(self) -> None:
        self._watch.close()
        self._engine.dispose()

    # ------------------------------------------------------------------------- transactions

    @contextmanager
    def _writing(self) -> Generator[Connection]:
        """Begin a transaction that writes; there is one at a time, whoever writes."""
        with self._turn, driver_errors(self.place), self._writer.begin() as connection:
            # On PostgreSQL this row lock queues the writers as BEGIN IMMEDIATE does on SQLite,
            # so what is read from here on stays true until the end, and no place is given twice.
            connection.execute(select(tables.mark.c.value).with_for_update()).one()
            yield connection

    @contextmanager
    def _reading(self) -> Generator[Connection]:
        """Begin a transaction that only reads and holds up nobody."""
        with driver_errors(self.place), self._engine.begin() as connection:
            yield connection

    def _rows(self, query: Executable) -> Sequence[Any]:
        with self._reading() as connection:
            return connection.execute(query).all()

    def _of_job(self, table: SqlTable, job_id: str | None) -> Sequence[Any]:
        query = select(table)
        if job_id is None:
            return self._rows(query)
        return self._rows(query.where(table.c.job_id == job_id)) if kept.is_id(job_id) else []


def _parts(ids: list[str]) -> Iterator[list[str]]:
    """Cut a list into what one statement asks for."""
    return (ids[start : start + AT_ONCE] for start in range(0, len(ids), AT_ONCE))


def _revisions(kind: str, id: str, *, newest_first: bool = False) -> Select[Any]:
    t = tables.document.c
    order = t.revision.desc() if newest_first else t.revision
    return select(tables.document).where(t.kind == kind, t.id == id).order_by(order)


def _build(row: LogRow) -> BuildHead:
    return BuildHead(row.id, row.subject, cast(str, row.plan_id), row.began_at)


def _grow(connection: Connection) -> None:
    """Let the mark grow, and have those told who listen, once this is written and not before."""
    connection.execute(tables.mark.update().values(value=tables.mark.c.value + 1))
    if connection.dialect.name == "postgresql":
        connection.execute(select(func.pg_notify(CHANNEL, "")))


def _fits(revision: int | None) -> bool:
    """Whether a number can be a revision at all; a database takes no larger one."""
    return revision is None or 0 < revision < 2**31


def _bounded(after: int) -> int:
    return max(-1, min(after, 2**31 - 1))
