"""Records of a backup: everything kept as plain tables, and what is demanded of them.

The order is part of the form: documents by kind, identity and revision; plans and logs oldest
first, each log followed by its events; last the blobs. A backup of version 1 knew logs of builds
only, and older ones held what became of a line as a document; both are read still.
"""

from __future__ import annotations

import base64
import binascii
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, cast

from strandwright.errors import InputError, InputErrors, SpecError
from strandwright.workshop import kept
from strandwright.workshop.documents import (
    KINDS,
    Blob,
    BuildHead,
    Document,
    LogHead,
    LogKind,
    PlanRecord,
    Table,
)
from strandwright.workshop.events import StoredEvent, event_of_table
from strandwright.workshop.said import short
from strandwright.workshop.service import as_event, log_head, log_of, service_from_table

_REMEDY = "take another backup; this one was changed or is not whole"


@dataclass(frozen=True)
class DocumentRow:
    """A revision of a document, checked, ready to be kept.

    Attributes
    ----------
    kind, id : str
        Which.
    revision : int
        From 1 [-]
    content : str
        Its table as JSON.
    saved_at : str
        When, UTC.
    put_away : bool
        True when it is out of use.
    """

    kind: str
    id: str
    revision: int
    content: str
    saved_at: str
    put_away: bool

    def document(self) -> Document:
        """Give the document, its table free to be changed by who asked."""
        return kept.document_of(
            self.kind, self.id, self.revision, self.content, self.saved_at, self.put_away
        )


@dataclass(frozen=True)
class PlanRow:
    """A plan, checked, ready to be kept.

    Attributes
    ----------
    id, job_id : str
        Which, and its job.
    content : str
        Job, plan and sheet as JSON.
    model_version : int
        What the numbers mean [-]
    made_at : str
        When, UTC.
    """

    id: str
    job_id: str
    content: str
    model_version: int
    made_at: str

    def plan(self) -> PlanRecord:
        """Give the plan."""
        return kept.plan_of(
            self.id, self.job_id, self.content, self.model_version, self.made_at
        )


@dataclass(frozen=True)
class LogRow:
    """The head of a log, checked, ready to be kept.

    Attributes
    ----------
    id, kind, subject : str
        Which, of what kind, and what it is about.
    plan_id : str or None
        The plan of a build; None for any other log.
    began_at : str
        When, UTC.
    """

    id: str
    kind: LogKind
    subject: str
    plan_id: str | None
    began_at: str

    def log_head(self) -> LogHead:
        """Give the head as that of a log of any kind."""
        return LogHead(self.id, self.kind, self.subject, self.began_at)


@dataclass(frozen=True)
class EventRow:
    """An event, checked, ready to be kept.

    Attributes
    ----------
    id : str
        Its identity.
    log_id : str
        The log.
    seq : int
        Place in its log [-]
    content : str
        The event as JSON, in the version it was written.
    """

    id: str
    log_id: str
    seq: int
    content: str

    def stored(self) -> StoredEvent:
        """Give the event with its place."""
        return StoredEvent(self.seq, kept.event_of(self.content))


@dataclass(frozen=True)
class BlobRow:
    """Bytes, checked, ready to be kept.

    Attributes
    ----------
    id : str
        Their SHA-256.
    media : str
        What they are.
    content : bytes
        The bytes.
    kept_at : str
        When, UTC.
    """

    id: str
    media: str
    content: bytes
    kept_at: str

    def blob(self) -> Blob:
        """Give the blob."""
        return Blob(self.id, self.media, self.content, self.kept_at)


Row = DocumentRow | PlanRow | LogRow | EventRow | BlobRow


def row_of_head(head: BuildHead | LogHead) -> LogRow:
    """Give the head of a build or of another log as it is kept.

    Parameters
    ----------
    head : BuildHead or LogHead
        The head.

    Returns
    -------
    LogRow
        Ready to be kept.
    """
    if isinstance(head, BuildHead):
        return LogRow(head.id, "build", head.job_id, head.plan_id, head.began_at)
    return LogRow(head.id, head.kind, head.subject, None, head.began_at)


def head_of(row: LogRow) -> BuildHead | LogHead:
    """Give the head that was kept, that of a build with its plan.

    Parameters
    ----------
    row : LogRow
        As kept.

    Returns
    -------
    BuildHead or LogHead
        The head.
    """
    if row.plan_id is not None:
        return BuildHead(row.id, row.subject, row.plan_id, row.began_at)
    return row.log_head()


def document_record(document: Document) -> Table:
    """Give a revision of a document as a table of a backup.

    Parameters
    ----------
    document : Document
        The document.

    Returns
    -------
    dict
        The table.
    """
    return {
        "record": "document",
        "kind": document.kind,
        "id": document.id,
        "revision": document.revision,
        "saved_at": document.saved_at,
        "put_away": document.put_away,
        "table": document.table,
    }


def plan_record(plan: PlanRecord) -> Table:
    """Give a plan as a table of a backup.

    Parameters
    ----------
    plan : PlanRecord
        The plan.

    Returns
    -------
    dict
        The table.
    """
    return {
        "record": "plan",
        "id": plan.id,
        "job_id": plan.job_id,
        "model_version": plan.model_version,
        "made_at": plan.made_at,
        "job": plan.job,
        "plan": plan.plan,
        "sheet": plan.sheet,
    }


def log_record(row: LogRow) -> Table:
    """Give the head of a log as a table of a backup.

    Parameters
    ----------
    row : LogRow
        The head.

    Returns
    -------
    dict
        The table; that of a build names its job and plan.
    """
    if row.plan_id is not None:
        return {
            "record": "build",
            "id": row.id,
            "job_id": row.subject,
            "plan_id": row.plan_id,
            "began_at": row.began_at,
        }
    return {
        "record": "log",
        "id": row.id,
        "kind": row.kind,
        "subject": row.subject,
        "began_at": row.began_at,
    }


def event_record(log_id: str, seq: int, content: str) -> Table:
    """Give an event as a table of a backup, in the version it was written.

    Parameters
    ----------
    log_id : str
        The log.
    seq : int
        Its place [-]
    content : str
        The event as JSON.

    Returns
    -------
    dict
        The table.
    """
    return {"record": "event", "log": log_id, "seq": seq, "event": kept.table_of(content)}


def blob_record(row: BlobRow) -> Table:
    """Give bytes as a table of a backup.

    Parameters
    ----------
    row : BlobRow
        The bytes.

    Returns
    -------
    dict
        The table; the content in base 64.
    """
    return {
        "record": "blob",
        "id": row.id,
        "media": row.media,
        "kept_at": row.kept_at,
        "content": base64.b64encode(row.content).decode("ascii"),
    }


def record_of(row: Row) -> Table:
    """Give a row as a table of a backup.

    Parameters
    ----------
    row : DocumentRow, PlanRow, LogRow, EventRow or BlobRow
        As it is kept.

    Returns
    -------
    dict
        The table.
    """
    match row:
        case DocumentRow():
            return document_record(row.document())
        case PlanRow():
            return plan_record(row.plan())
        case LogRow():
            return log_record(row)
        case EventRow():
            return event_record(row.log_id, row.seq, row.content)
        case BlobRow():
            return blob_record(row)


def as_kept_today(tables: Iterable[Table]) -> Iterator[Table]:
    """Give the tables of a backup, those that were once kept in another way as they are today.

    Parameters
    ----------
    tables : iterable of dict
        As a backup of any version holds them.

    Yields
    ------
    dict
        As a store gives them that has taken the backup in.
    """
    older = Intake()
    for table in tables:
        if table.get("record") == "document" and table.get("kind") not in KINDS:
            yield from map(record_of, older.rows(table))
        else:
            yield table


class Intake:
    """Checks the tables of a backup one after the other, each against those before it."""

    def __init__(self) -> None:
        self.count = 0
        self._revisions: dict[tuple[str, str], int] = {}
        self._plans: set[str] = set()
        self._kinds: dict[str, LogKind] = {}
        self._lengths: dict[str, int] = {}
        self._events: set[str] = set()
        self._blobs: set[str] = set()

    def rows(self, table: object) -> list[Row]:
        """Check the next table.

        Parameters
        ----------
        table : object
            As a backup holds it.

        Returns
        -------
        list of DocumentRow, PlanRow, LogRow, EventRow or BlobRow
            Ready to be kept, in their order: one, unless it was once kept in another way.

        Raises
        ------
        InputError
            If it is not one of a backup, or does not fit those before it.
        """
        self.count += 1
        given = cast(Table, table) if isinstance(table, dict) else {}
        readers: dict[str, tuple[Callable[[Table], Row | list[Row]], set[str]]] = {
            "document": (self._document, set(document_record(_NO_DOCUMENT))),
            "plan": (self._plan, set(plan_record(_NO_PLAN))),
            "build": (self._build, set(log_record(_NO_BUILD))),
            "log": (self._log, set(log_record(_NO_LOG))),
            "event": (self._event, {"record", "log", "seq", "event"}),
            "blob": (self._blob, set(blob_record(_NO_BLOB))),
        }
        if given.get("record") == "event" and "build" in given:
            given = {("log" if key == "build" else key): value for key, value in given.items()}
        what = given.get("record")
        if not isinstance(what, str) or what not in readers:
            raise self._wrong("record", what, f"must be one of {', '.join(readers)}")
        reader, keys = readers[what]
        if set(given) != keys:
            odd = ", ".join(sorted(map(str, set(given) ^ keys)))
            raise self._wrong(what, odd, "must have its keys, no more and no fewer")
        try:
            found = reader(given)
        except InputError as error:
            raise error.at(f"record {self.count}: {error.field}") from error
        except InputErrors as several:
            error = several.errors[0]
            raise error.at(f"record {self.count}: {error.field}") from several
        return found if isinstance(found, list) else [found]

    def _document(self, given: Table) -> DocumentRow | list[Row]:
        if given["kind"] == "service":
            return list(self._service(given))
        kept.need_document(given["kind"], given["id"], given["saved_at"])
        key = (given["kind"], given["id"])
        revision = self._revisions.get(key, 0) + 1
        _demand(given, "revision", revision, "must follow the revision before it")
        if not isinstance(given["put_away"], bool):
            raise _unfit("put_away", given["put_away"], "must be true or false")
        text = kept.content(given["table"], f"{given['kind']}")
        self._revisions[key] = revision
        return DocumentRow(*key, revision, text, given["saved_at"], given["put_away"])

    def _plan(self, given: Table) -> PlanRow:
        fields = {name: value for name, value in given.items() if name != "record"}
        text = kept.plan_content(PlanRecord(**fields))
        if given["id"] in self._plans:
            raise _unfit("plan.id", given["id"], "must stand there once")
        self._plans.add(given["id"])
        version = given["model_version"]
        return PlanRow(given["id"], given["job_id"], text, version, given["made_at"])

    def _build(self, given: Table) -> LogRow:
        head = BuildHead(given["id"], given["job_id"], given["plan_id"], given["began_at"])
        kept.need_head(head)
        if head.plan_id not in self._plans:
            raise _unfit("build.plan_id", head.plan_id, "must be a plan that stands before it")
        return self._head(row_of_head(head))

    def _log(self, given: Table) -> LogRow:
        head = LogHead(given["id"], given["kind"], given["subject"], given["began_at"])
        kept.need_head(head)
        return self._head(row_of_head(head))

    def _head(self, row: LogRow) -> LogRow:
        if row.id in self._lengths:
            raise _unfit(f"{row.kind}.id", row.id, "must stand there once")
        self._lengths[row.id], self._kinds[row.id] = 0, row.kind
        return row

    def _event(self, given: Table) -> EventRow:
        log = given["log"]
        if not isinstance(log, str) or log not in self._lengths:
            raise _unfit("event.log", log, "must be a log that stands before it")
        seq = self._lengths[log] + 1
        _demand(given, "seq", seq, "must follow the event before it")
        text = kept.content(given["event"], "event")
        event = event_of_table(given["event"])
        kept.need_native(self._kinds[log], event)
        if event.id in self._events:
            raise _unfit("event.id", event.id, "must stand there once")
        self._events.add(event.id)
        self._lengths[log] = seq
        return EventRow(event.id, log, seq, text)

    def _service(self, given: Table) -> Iterator[Row]:
        """Turn a document that held all entries of a line into the log of what it adds."""
        kept.need_head(log_head(given["id"], given["saved_at"]))
        key = ("service", given["id"])
        revision = self._revisions[key] = self._revisions.get(key, 0) + 1
        _demand(given, "revision", revision, "must follow the revision before it")
        entries, head = service_from_table(given["table"]), log_of(given["id"])
        if head not in self._lengths and entries:
            yield self._head(row_of_head(log_head(given["id"], entries[0].at)))
        for entry in entries[self._lengths.get(head, 0) :]:
            event = as_event(entry)
            table = event_record(head, self._lengths[head] + 1, kept.event_content(event))
            yield self._event(table)

    def _blob(self, given: Table) -> BlobRow:
        try:
            content = base64.b64decode(given["content"], validate=True)
        except (TypeError, ValueError, binascii.Error) as error:
            raise _unfit("blob.content", "...", "must be text in base 64") from error
        kept.need_blob(Blob(given["id"], given["media"], content, given["kept_at"]))
        if given["id"] in self._blobs:
            raise _unfit("blob.id", given["id"], "must stand there once")
        self._blobs.add(given["id"])
        return BlobRow(given["id"], given["media"], content, given["kept_at"])

    def _wrong(self, field: str, given: object, rule: str) -> SpecError:
        return SpecError(f"record {self.count}: {field}", short(given), rule, _REMEDY)


def _demand(given: Mapping[str, Any], name: str, wanted: int, rule: str) -> None:
    value = given[name]
    if isinstance(value, bool) or value != wanted:
        raise _unfit(name, value, f"{rule}, so it is {wanted}")


def _unfit(field: str, given: object, rule: str) -> SpecError:
    return SpecError(field, short(given), rule, _REMEDY)


# Stand only for the keys their tables have.
_NO_DOCUMENT = Document("bench", "", 0, {}, "")
_NO_PLAN = PlanRecord("", "", {}, {}, {}, 0, "")
_NO_BUILD = LogRow("", "build", "", "", "")
_NO_LOG = LogRow("", "order", "", None, "")
_NO_BLOB = BlobRow("", "", b"", "")
