"""A store in memory: for tests, for trying things out, gone when the program ends."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from strandwright.errors import NotFound
from strandwright.planning.ports import Store
from strandwright.store.records import (
    DocumentRow,
    EventRow,
    Intake,
    PlanRow,
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


@dataclass
class _Shelves:
    """What is kept; content is JSON text, so nobody holds a table that is kept."""

    documents: dict[tuple[str, str], list[DocumentRow]] = field(default_factory=dict)
    plans: dict[str, PlanRow] = field(default_factory=dict)
    builds: dict[str, BuildHead] = field(default_factory=dict)
    logs: dict[str, list[EventRow]] = field(default_factory=dict)
    events: dict[str, EventRow] = field(default_factory=dict)

    def put(self, row: DocumentRow | PlanRow | BuildHead | EventRow) -> None:
        match row:
            case DocumentRow():
                self.documents.setdefault((row.kind, row.id), []).append(row)
            case PlanRow():
                self.plans[row.id] = row
            case BuildHead():
                self.builds[row.id] = row
                self.logs[row.id] = []
            case EventRow():
                self.logs[row.build_id].append(row)
                self.events[row.id] = row


class MemoryStore(Store):
    """Keeps records in memory and every promise of a store but that of outlasting the program."""

    def __init__(self) -> None:
        self._lock = threading.RLock()
        self._shelves = _Shelves()
        self._mark = 0

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
        with self._lock:
            rows = self._shelves.documents.get((kind, id), [])
            newest = rows[-1] if rows else None
            if newest and newest.put_away == put_away and kept.same(newest.content, text):
                return _document(newest)
            if expected != len(rows):
                raise changed_elsewhere(kind, id, expected, len(rows))
            row = DocumentRow(kind, id, len(rows) + 1, text, at, put_away)
            self._put(row)
            return _document(row)

    def document(self, kind: DocumentKind, id: str, revision: int | None = None) -> Document:
        rows = self.revisions(kind, id)
        found = rows[-1:] if revision is None else [r for r in rows if r.revision == revision]
        if not found:
            raise NotFound(kind, id)
        return found[0]

    def documents(self, kind: DocumentKind) -> tuple[Document, ...]:
        kept.need_kind(kind)
        with self._lock:
            newest = {i: rows[-1] for (k, i), rows in self._shelves.documents.items() if k == kind}
        return tuple(_document(newest[id]) for id in sorted(newest))

    def revisions(self, kind: DocumentKind, id: str) -> tuple[Document, ...]:
        kept.need_kind(kind)
        with self._lock:
            rows = list(self._shelves.documents.get((kind, id), []))
        return tuple(_document(row) for row in rows)

    def keep_plan(self, record: PlanRecord) -> None:
        text = kept.plan_content(record)
        row = PlanRow(record.id, record.job_id, text, record.model_version, record.made_at)
        with self._lock:
            old = self._shelves.plans.get(record.id)
            if old is None:
                self._put(row)
            elif (old.job_id, old.model_version) != (row.job_id, row.model_version):
                raise other_plan(record.id)

    def plan(self, id: str) -> PlanRecord:
        with self._lock:
            row = self._shelves.plans.get(id)
        if row is None:
            raise NotFound("plan", id)
        return _plan(row)

    def plans(self, job_id: str | None = None) -> tuple[PlanRecord, ...]:
        with self._lock:
            rows = list(self._shelves.plans.values())
        chosen = [row for row in rows if job_id in (None, row.job_id)]
        return tuple(_plan(row) for row in sorted(chosen, key=lambda r: (r.made_at, r.id)))

    def begin(self, head: BuildHead) -> BuildHead:
        kept.need_head(head)
        with self._lock:
            old = self._shelves.builds.get(head.id)
            if old is not None:
                if (old.job_id, old.plan_id) != (head.job_id, head.plan_id):
                    raise other_build(head.id)
                return old
            if head.plan_id not in self._shelves.plans:
                raise NotFound("plan", head.plan_id)
            self._put(head)
            return head

    def build(self, id: str) -> BuildHead:
        with self._lock:
            head = self._shelves.builds.get(id)
        if head is None:
            raise NotFound("build", id)
        return head

    def builds(self, job_id: str | None = None) -> tuple[BuildHead, ...]:
        with self._lock:
            heads = list(self._shelves.builds.values())
        chosen = [head for head in heads if job_id in (None, head.job_id)]
        return tuple(sorted(chosen, key=lambda h: (h.began_at, h.id)))

    def append(self, build: str, events: Sequence[Event]) -> tuple[StoredEvent, ...]:
        texts = [(event.id, kept.event_content(event)) for event in events]
        with self._lock:
            log = self._log(build)
            new: dict[str, EventRow] = {}
            places: list[EventRow] = []
            for id, text in texts:
                row = new.get(id) or self._shelves.events.get(id)
                if row is None:
                    row = new[id] = EventRow(id, build, len(log) + len(new) + 1, text)
                elif row.build_id != build or not kept.same_event(row.content, text):
                    raise other_event(id)
                places.append(row)
            self._put(*new.values())
        return tuple(_stored(row) for row in places)

    def events(self, build: str, after: int = 0) -> tuple[StoredEvent, ...]:
        with self._lock:
            rows = list(self._log(build))
        return tuple(_stored(row) for row in rows if row.seq > after)

    def mark(self) -> int:
        with self._lock:
            return self._mark

    def contents(self) -> Iterable[Table]:
        with self._lock:
            shelves = self._shelves
            documents = [row for key in sorted(shelves.documents) for row in shelves.documents[key]]
            plans = sorted(shelves.plans.values(), key=lambda r: (r.made_at, r.id))
            heads = sorted(shelves.builds.values(), key=lambda h: (h.began_at, h.id))
            logs = {id: list(log) for id, log in shelves.logs.items()}

        def tables() -> Iterator[Table]:
            yield from (document_record(_document(row)) for row in documents)
            yield from (plan_record(_plan(row)) for row in plans)
            for head in heads:
                yield build_record(head)
                yield from (event_record(head.id, r.seq, r.content) for r in logs[head.id])

        return tables()

    def take_in(self, tables: Iterable[Table]) -> int:
        shelves, intake = _Shelves(), Intake()
        for table in tables:
            shelves.put(intake.row(table))
        with self._lock:
            if self._shelves != _Shelves():
                raise is_not_empty("memory:")
            self._shelves = shelves
            self._mark += 1 if intake.count else 0
        return intake.count

    def close(self) -> None:
        """Do nothing: there is nothing to let go of."""

    def _log(self, build: str) -> list[EventRow]:
        if build not in self._shelves.logs:
            raise NotFound("build", build)
        return self._shelves.logs[build]

    def _put(self, *rows: DocumentRow | PlanRow | BuildHead | EventRow) -> None:
        for row in rows:
            self._shelves.put(row)
        self._mark += 1 if rows else 0


def _document(row: DocumentRow) -> Document:
    return kept.document_of(
        row.kind, row.id, row.revision, row.content, row.saved_at, row.put_away
    )


def _plan(row: PlanRow) -> PlanRecord:
    return kept.plan_of(row.id, row.job_id, row.content, row.model_version, row.made_at)


def _stored(row: EventRow) -> StoredEvent:
    return StoredEvent(row.seq, kept.event_of(row.content))
