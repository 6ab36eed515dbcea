"""A store in memory: for tests, for trying things out, gone when the program ends."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import cast

from strandwright.errors import NotFound
from strandwright.planning.ports import PAGE, Answer, Store
from strandwright.store.records import (
    BlobRow,
    DocumentRow,
    EventRow,
    Intake,
    LogRow,
    PlanRow,
    Row,
    blob_record,
    document_record,
    event_record,
    log_record,
    plan_record,
)
from strandwright.store.refused import is_not_empty
from strandwright.store.turn import Prepared, Rows, Turn, list_document, list_log
from strandwright.store.watch import Watch
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
from strandwright.workshop.writes import Write


@dataclass
class _Shelves(Rows):
    """What is kept; content is JSON text, so nobody holds a table that is kept."""

    documents: dict[tuple[str, str], list[DocumentRow]] = field(default_factory=dict)
    plans: dict[str, PlanRow] = field(default_factory=dict)
    heads: dict[str, LogRow] = field(default_factory=dict)
    logs: dict[str, list[EventRow]] = field(default_factory=dict)
    known_events: dict[str, EventRow] = field(default_factory=dict)
    blobs: dict[str, BlobRow] = field(default_factory=dict)
    listings: dict[tuple[str, str], Listing] = field(default_factory=dict)

    def newest(self, kind: str, id: str) -> DocumentRow | None:
        rows = self.documents.get((kind, id))
        return rows[-1] if rows else None

    def plan_job(self, id: str) -> tuple[str, int] | None:
        row = self.plans.get(id)
        return None if row is None else (row.job_id, row.model_version)

    def log_row(self, id: str) -> LogRow | None:
        return self.heads.get(id)

    def length(self, log: str) -> int:
        return len(self.logs[log])

    def known(self, ids: Sequence[str]) -> dict[str, EventRow]:
        return {id: self.known_events[id] for id in ids if id in self.known_events}

    def log_events(self, log: str) -> Sequence[EventRow]:
        return list(self.logs[log])

    def has_blob(self, id: str) -> bool:
        return id in self.blobs

    def put(self, rows: Sequence[Row]) -> None:
        for row in rows:
            match row:
                case DocumentRow():
                    self.documents.setdefault((row.kind, row.id), []).append(row)
                case PlanRow():
                    self.plans[row.id] = row
                case LogRow():
                    self.heads[row.id] = row
                    self.logs[row.id] = []
                case EventRow():
                    self.logs[row.log_id].append(row)
                    self.known_events[row.id] = row
                case BlobRow():
                    self.blobs[row.id] = row

    def owned(self, kind: str, owner: str) -> Sequence[Listing]:
        return [row for row in self.listings.values() if (row.kind, row.owner) == (kind, owner)]

    def list_anew(self, listing: Listing) -> None:
        self.listings[listing.kind, listing.id] = listing

    def drop(self, rows: Iterable[Row]) -> None:
        """Take rows away again, the latest first: a turn failed half way."""
        for row in rows:
            match row:
                case DocumentRow():
                    self.documents[row.kind, row.id].pop()
                    if not self.documents[row.kind, row.id]:
                        del self.documents[row.kind, row.id]
                case PlanRow():
                    del self.plans[row.id]
                case LogRow():
                    del self.heads[row.id], self.logs[row.id]
                case EventRow():
                    self.logs[row.log_id].pop()
                    del self.known_events[row.id]
                case BlobRow():
                    del self.blobs[row.id]


class _Trial(_Shelves):
    """The same shelves during one turn, with what it put and listed."""

    def __init__(self, shelves: _Shelves) -> None:
        self.__dict__.update(shelves.__dict__)
        self._shelves = shelves
        self.added: list[Row] = []
        self._listed: dict[tuple[str, str], Listing] = {}

    def put(self, rows: Sequence[Row]) -> None:
        self._shelves.put(rows)
        self.added.extend(rows)

    def list_anew(self, listing: Listing) -> None:
        self._listed[listing.kind, listing.id] = listing

    def owned(self, kind: str, owner: str) -> Sequence[Listing]:
        rows = {(row.kind, row.id): row for row in self._shelves.owned(kind, owner)}
        new = {key: row for key, row in self._listed.items() if key[0] == kind}
        return [row for row in (rows | new).values() if row.owner == owner]

    def stay(self) -> None:
        """Let what was listed stay, now that the turn has ended well."""
        for listing in self._listed.values():
            self._shelves.list_anew(listing)


class MemoryStore(Store):
    """Keeps records in memory and every promise of a store but that of outlasting the program."""

    def __init__(self) -> None:
        self._lock = threading.RLock()
        self._shelves = _Shelves()
        self._mark = 0
        self._watch = Watch(self.mark)

    def write(self, writes: Sequence[Write]) -> tuple[Answer, ...]:
        prepared = [Prepared(write) for write in writes]
        with self._lock:
            trial = _Trial(self._shelves)
            turn = Turn(trial)
            try:
                answers = turn.all(prepared)
            except BaseException:
                self._shelves.drop(reversed(trial.added))
                raise
            trial.stay()
            self._mark += 1 if turn.wrote else 0
        self._watch.tell()
        return answers

    def document(self, kind: DocumentKind, id: str, revision: int | None = None) -> Document:
        rows = self.revisions(kind, id)
        found = rows[-1:] if revision is None else [r for r in rows if r.revision == revision]
        if not found:
            raise NotFound(kind, id)
        return found[0]

    def documents(
        self, kind: DocumentKind, ids: Sequence[str] | None = None
    ) -> tuple[Document, ...]:
        kept.need_kind(kind)
        with self._lock:
            newest = {i: rows[-1] for (k, i), rows in self._shelves.documents.items() if k == kind}
        chosen = sorted(newest if ids is None else newest.keys() & set(ids))
        return tuple(newest[id].document() for id in chosen)

    def revisions(self, kind: DocumentKind, id: str) -> tuple[Document, ...]:
        kept.need_kind(kind)
        with self._lock:
            rows = list(self._shelves.documents.get((kind, id), []))
        return tuple(row.document() for row in rows)

    def plan(self, id: str) -> PlanRecord:
        with self._lock:
            row = self._shelves.plans.get(id)
        if row is None:
            raise NotFound("plan", id)
        return row.plan()

    def plans(self, job_id: str | None = None) -> tuple[PlanRecord, ...]:
        with self._lock:
            rows = list(self._shelves.plans.values())
        chosen = [row for row in rows if job_id in (None, row.job_id)]
        return tuple(row.plan() for row in sorted(chosen, key=lambda r: (r.made_at, r.id)))

    def log(self, id: str) -> LogHead:
        return self._head(id, "log").log_head()

    def logs(self, kind: LogKind, subject: str | None = None) -> tuple[LogHead, ...]:
        kept.need_log_kind(kind)
        return tuple(row.log_head() for row in self._heads(kind, subject))

    def build(self, id: str) -> BuildHead:
        return _build(self._head(id, "build"))

    def builds(self, job_id: str | None = None) -> tuple[BuildHead, ...]:
        return tuple(_build(row) for row in self._heads("build", job_id))

    def events(self, log: str, after: int = 0) -> tuple[StoredEvent, ...]:
        self._head(log, "log")
        with self._lock:
            rows = self._shelves.log_events(log)
        return tuple(row.stored() for row in rows if row.seq > after)

    def _head(self, id: str, kind: str) -> LogRow:
        with self._lock:
            row = self._shelves.heads.get(id)
        if row is None or kind not in ("log", row.kind):
            raise NotFound(kind, id)
        return row

    def _heads(self, kind: LogKind, subject: str | None) -> list[LogRow]:
        with self._lock:
            rows = [row for row in self._shelves.heads.values() if row.kind == kind]
        chosen = [row for row in rows if subject in (None, row.subject)]
        return sorted(chosen, key=lambda row: (row.began_at, row.id))

    def blob(self, id: str) -> Blob:
        with self._lock:
            row = self._shelves.blobs.get(id)
        if row is None:
            raise NotFound("blob", id)
        return row.blob()

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
        wanted = kept.plain(words).lower().split()
        owners = [owner] if isinstance(owner, str) else owner or ()
        with self._lock:
            of_kind = [row for row in self._shelves.listings.values() if row.kind == kind]
        found = [
            row
            for row in of_kind
            if (owner is None or row.owner in owners)
            and status in (None, row.status)
            and all(word in row.words for word in wanted)
            and (before is None or (row.at, row.id) < before)
        ]
        found.sort(key=lambda row: (row.at, row.id), reverse=True)
        return tuple(found[: max(0, limit)])

    def named(self, kind: str, ids: Sequence[str]) -> tuple[Listing, ...]:
        with self._lock:
            found = [self._shelves.listings.get((kind, id)) for id in dict.fromkeys(ids)]
        return tuple(row for row in found if row is not None)

    def counts(self, kind: str) -> dict[str, int]:
        with self._lock:
            states = [row.status for row in self._shelves.listings.values() if row.kind == kind]
        return {status: states.count(status) for status in sorted(set(states))}

    def mark(self) -> int:
        with self._lock:
            return self._mark

    def wait(self, mark: int, timeout: float) -> int:
        return self._watch.wait(mark, timeout)

    def contents(self) -> Iterable[Table]:
        with self._lock:
            shelves = self._shelves
            documents = [row for key in sorted(shelves.documents) for row in shelves.documents[key]]
            plans = sorted(shelves.plans.values(), key=lambda r: (r.made_at, r.id))
            heads = sorted(shelves.heads.values(), key=lambda h: (h.began_at, h.id))
            logs = {id: list(log) for id, log in shelves.logs.items()}
            blobs = [shelves.blobs[id] for id in sorted(shelves.blobs)]

        def tables() -> Iterator[Table]:
            yield from (document_record(row.document()) for row in documents)
            yield from (plan_record(row.plan()) for row in plans)
            for head in heads:
                yield log_record(head)
                yield from (event_record(head.id, r.seq, r.content) for r in logs[head.id])
            yield from map(blob_record, blobs)

        return tables()

    def take_in(self, tables: Iterable[Table]) -> int:
        shelves, intake = _Shelves(), Intake()
        for table in tables:
            shelves.put(intake.rows(table))
        _list_all(shelves)
        with self._lock:
            if self._shelves != _Shelves():
                raise is_not_empty("memory:")
            self._shelves = shelves
            self._mark += 1 if intake.count else 0
        self._watch.tell()
        return intake.count

    def close(self) -> None:
        self._watch.close()


def _build(row: LogRow) -> BuildHead:
    return BuildHead(row.id, row.subject, cast(str, row.plan_id), row.began_at)


def _list_all(shelves: _Shelves) -> None:
    """Make every listing anew from the records."""
    for log in shelves.heads.values():
        list_log(shelves, log)
    for rows in shelves.documents.values():
        list_document(shelves, rows[-1])
