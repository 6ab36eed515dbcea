"""A store in a database: one code path for an SQLite file and a PostgreSQL server.

Nothing kept ever changes or goes, so a list of what is there at one moment stays true: long
reads take such a list first and then the content bit by bit, and never hold up a writer.
"""

from __future__ import annotations

import threading
from collections.abc import Generator, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, Engine, Executable, Select, func, insert, select, update
from sqlalchemy import Table as SqlTable

from strandwright.errors import NotFound
from strandwright.planning.ports import Store
from strandwright.store import tables
from strandwright.store.engine import driver_errors, snapshot, writing
from strandwright.store.records import (
    DocumentRow,
    EventRow,
    Intake,
    PlanRow,
    Row,
    build_record,
    document_record,
    event_record,
    plan_record,
)
from strandwright.store.refused import (
    changed_elsewhere,
    is_not_empty,
    other_build,
    other_event,
    other_plan,
)
from strandwright.workshop import kept
from strandwright.workshop.documents import BuildHead, Document, DocumentKind, PlanRecord, Table
from strandwright.workshop.events import Event, StoredEvent

#: Rows read or written in one statement.
_AT_ONCE = 200
_HOMES: dict[type[Row], SqlTable] = {
    DocumentRow: tables.document,
    PlanRow: tables.plan,
    BuildHead: tables.build,
    EventRow: tables.event,
}


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

    # ---------------------------------------------------------------------------- documents

    def save(
        self,
        kind: DocumentKind,
        id: str,
        table: Table,
        *,
        at: str,
        expected: int,
        put_away: bool = False,
    ) -> Document:
        kept.need_document(kind, id, at)
        text = kept.content(table, kind)
        with self._writing() as connection:
            newest = connection.execute(_revisions(kind, id, newest_first=True).limit(1)).first()
            if newest and newest.put_away == put_away and kept.same(newest.content, text):
                return kept.document_of(*newest)
            revision = newest.revision if newest else 0
            if expected != revision:
                raise changed_elsewhere(kind, id, expected, revision)
            row = DocumentRow(kind, id, revision + 1, text, at, put_away)
            _put(connection, [row])
        return kept.document_of(kind, id, row.revision, text, at, put_away)

    def document(self, kind: DocumentKind, id: str, revision: int | None = None) -> Document:
        kept.need_kind(kind)
        query = _revisions(kind, id, newest_first=True).limit(1)
        if revision is not None:
            query = query.where(tables.document.c.revision == revision)
        rows = self._rows(query) if kept.is_id(id) and _fits(revision) else []
        if not rows:
            raise NotFound(kind, id)
        return kept.document_of(*rows[0])

    def documents(self, kind: DocumentKind) -> tuple[Document, ...]:
        kept.need_kind(kind)
        t = tables.document.c
        newest = (
            select(t.id, func.max(t.revision).label("revision"))
            .where(t.kind == kind)
            .group_by(t.id)
            .subquery()
        )
        both = (t.id == newest.c.id) & (t.revision == newest.c.revision)
        query = select(tables.document).join(newest, both).where(t.kind == kind)
        found = (kept.document_of(*row) for row in self._rows(query))
        return tuple(sorted(found, key=lambda document: document.id))

    def revisions(self, kind: DocumentKind, id: str) -> tuple[Document, ...]:
        kept.need_kind(kind)
        rows = self._rows(_revisions(kind, id)) if kept.is_id(id) else []
        return tuple(kept.document_of(*row) for row in rows)

    # -------------------------------------------------------------------------------- plans

    def keep_plan(self, record: PlanRecord) -> None:
        text = kept.plan_content(record)
        row = PlanRow(record.id, record.job_id, text, record.model_version, record.made_at)
        t = tables.plan.c
        with self._writing() as connection:
            query = select(t.job_id, t.model_version).where(t.id == record.id)
            old = connection.execute(query).first()
            if old is None:
                _put(connection, [row])
            elif tuple(old) != (row.job_id, row.model_version):
                raise other_plan(record.id)

    def plan(self, id: str) -> PlanRecord:
        query = select(tables.plan).where(tables.plan.c.id == id)
        rows = self._rows(query) if kept.is_id(id) else []
        if not rows:
            raise NotFound("plan", id)
        return kept.plan_of(*rows[0])

    def plans(self, job_id: str | None = None) -> tuple[PlanRecord, ...]:
        found = (kept.plan_of(*row) for row in self._of_job(tables.plan, job_id))
        return tuple(sorted(found, key=lambda plan: (plan.made_at, plan.id)))

    # ------------------------------------------------------------------------------- builds

    def begin(self, head: BuildHead) -> BuildHead:
        kept.need_head(head)
        with self._writing() as connection:
            old = _head(connection, head.id)
            if old is not None:
                if (old.job_id, old.plan_id) != (head.job_id, head.plan_id):
                    raise other_build(head.id)
                return old
            plan = select(tables.plan.c.id).where(tables.plan.c.id == head.plan_id)
            if connection.execute(plan).first() is None:
                raise NotFound("plan", head.plan_id)
            _put(connection, [head])
        return head

    def build(self, id: str) -> BuildHead:
        with self._reading() as connection:
            head = _head(connection, id)
        if head is None:
            raise NotFound("build", id)
        return head

    def builds(self, job_id: str | None = None) -> tuple[BuildHead, ...]:
        found = (BuildHead(*row) for row in self._of_job(tables.build, job_id))
        return tuple(sorted(found, key=lambda head: (head.began_at, head.id)))

    # ------------------------------------------------------------------------------- events

    def append(self, build: str, events: Sequence[Event]) -> tuple[StoredEvent, ...]:
        texts = [(event.id, kept.event_content(event)) for event in events]
        t = tables.event.c
        with self._writing() as connection:
            if _head(connection, build) is None:
                raise NotFound("build", build)
            known = _events(connection, [id for id, _ in texts])
            last = select(func.max(t.seq)).where(t.build_id == build)
            end = connection.execute(last).scalar() or 0
            new: list[EventRow] = []
            places: list[EventRow] = []
            for id, text in texts:
                row = known.get(id)
                if row is None:
                    row = known[id] = EventRow(id, build, end + len(new) + 1, text)
                    new.append(row)
                elif row.build_id != build or not kept.same_event(row.content, text):
                    raise other_event(id)
                places.append(row)
            _put(connection, new)
        return tuple(StoredEvent(row.seq, kept.event_of(row.content)) for row in places)

    def events(self, build: str, after: int = 0) -> tuple[StoredEvent, ...]:
        t = tables.event.c
        with self._reading() as connection:
            if _head(connection, build) is None:
                raise NotFound("build", build)
            query = select(t.seq, t.content).where(t.build_id == build, t.seq > _bounded(after))
            rows = connection.execute(query.order_by(t.seq)).all()
        return tuple(StoredEvent(row.seq, kept.event_of(row.content)) for row in rows)

    # ---------------------------------------------------------------------------- the whole

    def mark(self) -> int:
        return int(self._rows(select(tables.mark.c.value))[0].value)

    def contents(self) -> Iterable[Table]:
        d, p, b, e = tables.document.c, tables.plan.c, tables.build, tables.event.c
        with driver_errors(self.place), self._snapshot.begin() as connection:
            newest = select(d.kind, d.id, func.max(d.revision)).group_by(d.kind, d.id)
            documents = sorted(map(tuple, connection.execute(newest)))
            plans = sorted(map(tuple, connection.execute(select(p.made_at, p.id))))
            heads = [BuildHead(*row) for row in connection.execute(select(b))]
            ends = select(e.build_id, func.max(e.seq)).group_by(e.build_id)
            last = {row[0]: row[1] for row in connection.execute(ends)}
        return self._tables(documents, plans, heads, last)

    def _tables(
        self,
        documents: list[tuple[Any, ...]],
        plans: list[tuple[Any, ...]],
        heads: list[BuildHead],
        last: dict[str, int],
    ) -> Iterator[Table]:
        t = tables.event.c
        for kind, id, newest in documents:
            for document in self.revisions(kind, id):
                if document.revision <= newest:
                    yield document_record(document)
        for _, id in plans:
            yield plan_record(self.plan(id))
        for head in sorted(heads, key=lambda head: (head.began_at, head.id)):
            yield build_record(head)
            query = select(t.seq, t.content).where(t.build_id == head.id).order_by(t.seq)
            for seq, text in self._rows(query.where(t.seq <= last.get(head.id, 0))):
                yield event_record(head.id, seq, text)

    def take_in(self, tables: Iterable[Table]) -> int:
        intake = Intake()
        with self._writing() as connection:
            if any(connection.execute(select(t).limit(1)).first() for t in _HOMES.values()):
                raise is_not_empty(self.place)
            rows: list[Row] = []
            for table in tables:
                rows.append(intake.row(table))
                if len(rows) == _AT_ONCE:
                    _put(connection, rows)
                    rows = []
            _put(connection, rows)
        return intake.count

    def close(self) -> None:
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


def _revisions(kind: str, id: str, *, newest_first: bool = False) -> Select[Any]:
    t = tables.document.c
    order = t.revision.desc() if newest_first else t.revision
    return select(tables.document).where(t.kind == kind, t.id == id).order_by(order)


def _head(connection: Connection, id: str) -> BuildHead | None:
    if not kept.is_build_id(id):
        return None
    row = connection.execute(select(tables.build).where(tables.build.c.id == id)).first()
    return None if row is None else BuildHead(*row)


def _events(connection: Connection, ids: list[str]) -> dict[str, EventRow]:
    """Find those of these events that are kept, in whatever build."""
    found: dict[str, EventRow] = {}
    for start in range(0, len(ids), _AT_ONCE):
        some = tables.event.c.id.in_(ids[start : start + _AT_ONCE])
        rows = connection.execute(select(tables.event).where(some))
        found |= {row.id: EventRow(*row) for row in rows}
    return found


def _put(connection: Connection, rows: Sequence[Row]) -> None:
    """Write rows, those first that others hang on, and let the mark grow."""
    for kind, table in _HOMES.items():
        values = [vars(row) for row in rows if isinstance(row, kind)]
        if values:
            connection.execute(insert(table), values)
    if rows:
        connection.execute(update(tables.mark).values(value=tables.mark.c.value + 1))


def _fits(revision: int | None) -> bool:
    """Whether a number can be a revision at all; a database takes no larger one."""
    return revision is None or 0 < revision < 2**31


def _bounded(after: int) -> int:
    return max(-1, min(after, 2**31 - 1))
