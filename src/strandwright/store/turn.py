"""A turn at writing: what each write means, once for every store.

Writers take turns, so what a turn finds stays true until it ends. It looks at the rows that are
kept, refuses what stands against them, and puts new ones; whether those come to stay or are all
dropped again is the store's to see to.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from strandwright.errors import NotFound
from strandwright.planning.ports import Answer
from strandwright.store.records import (
    BlobRow,
    DocumentRow,
    EventRow,
    LogRow,
    PlanRow,
    Row,
    head_of,
    row_of_head,
)
from strandwright.store.refused import (
    changed_elsewhere,
    grown_elsewhere,
    other_build,
    other_event,
    other_log,
    other_plan,
)
from strandwright.workshop import kept
from strandwright.workshop.documents import Document, Listing, LogHead
from strandwright.workshop.events import StoredEvent
from strandwright.workshop.listings import HANGING, document_listing, log_listing
from strandwright.workshop.writes import Append, Begin, KeepBlob, KeepPlan, Save, Write


class Rows(Protocol):
    """What is kept, within one turn at writing."""

    def newest(self, kind: str, id: str) -> DocumentRow | None:
        """Give the newest revision of a document.

        Parameters
        ----------
        kind, id : str
            Which.

        Returns
        -------
        DocumentRow or None
            None where there is none.
        """
        ...

    def plan_job(self, id: str) -> tuple[str, int] | None:
        """Give the job and the model version of a plan.

        Parameters
        ----------
        id : str
            Its identity.

        Returns
        -------
        (str, int) or None
            The job, and the version [-]; None where there is no such plan.
        """
        ...

    def log_row(self, id: str) -> LogRow | None:
        """Give the head of a log.

        Parameters
        ----------
        id : str
            Its identity.

        Returns
        -------
        LogRow or None
            None where there is none.
        """
        ...

    def length(self, log: str) -> int:
        """Count the events of a log.

        Parameters
        ----------
        log : str
            Its identity.

        Returns
        -------
        int
            How many [-]
        """
        ...

    def known(self, ids: Sequence[str]) -> dict[str, EventRow]:
        """Find those of these events that are kept, in whatever log.

        Parameters
        ----------
        ids : sequence of str
            Identities of events.

        Returns
        -------
        dict
            From identity to event.
        """
        ...

    def log_events(self, log: str) -> Sequence[EventRow]:
        """Give every event of a log.

        Parameters
        ----------
        log : str
            Its identity.

        Returns
        -------
        sequence of EventRow
            In their order.
        """
        ...

    def has_blob(self, id: str) -> bool:
        """Whether bytes of that digest are kept.

        Parameters
        ----------
        id : str
            The digest.

        Returns
        -------
        bool
            True when they are.
        """
        ...

    def put(self, rows: Sequence[Row]) -> None:
        """Put new rows.

        Parameters
        ----------
        rows : sequence of rows
            In any order.
        """
        ...

    def owned(self, kind: str, owner: str) -> Sequence[Listing]:
        """Give the listings of a kind that belong to one thing.

        Parameters
        ----------
        kind : str
            Their kind.
        owner : str
            What they belong to.

        Returns
        -------
        sequence of Listing
            In any order.
        """
        ...

    def list_anew(self, listing: Listing) -> None:
        """Put a listing in the place of the one of that kind and identity.

        Parameters
        ----------
        listing : Listing
            How it stands now.
        """
        ...


def list_log(rows: Rows, log: LogRow) -> None:
    """Say anew how what a log is about stands.

    Parameters
    ----------
    rows : Rows
        What is kept.
    log : LogRow
        The log.
    """
    listing = log_listing(log.log_head(), [event.stored() for event in rows.log_events(log.id)])
    if listing is not None:
        rows.list_anew(listing)


def list_document(rows: Rows, document: DocumentRow) -> None:
    """Say anew how a document stands, when the logs that hang on it are listed.

    Parameters
    ----------
    rows : Rows
        What is kept.
    document : DocumentRow
        Its newest revision.
    """
    found = document.document()
    kind = HANGING.get(found.kind)
    hanging = () if kind is None else rows.owned(kind, found.id)
    listing = document_listing(found, hanging)
    if listing is not None:
        rows.list_anew(listing)


class Prepared:
    """A write, checked and put into words before anybody waits for its turn.

    Parameters
    ----------
    write : Write
        What is to be kept.

    Raises
    ------
    InputError
        If it cannot be kept, whatever is kept already.
    """

    def __init__(self, write: Write) -> None:
        self.write = write
        self.texts: tuple[str, ...] = ()
        match write:
            case Save():
                kept.need_document(write.kind, write.id, write.at)
                self.texts = (kept.content(write.table, write.kind),)
            case KeepPlan():
                self.texts = (kept.plan_content(write.record),)
            case Begin():
                kept.need_head(write.head)
            case Append():
                self.texts = tuple(kept.event_content(event) for event in write.events)
            case KeepBlob():
                kept.need_blob(write.blob)


class Turn:
    """One turn at writing.

    Parameters
    ----------
    rows : Rows
        What is kept.
    """

    def __init__(self, rows: Rows) -> None:
        self._rows = rows
        self._documents: dict[tuple[str, str], DocumentRow] = {}
        self._logs: dict[str, LogRow] = {}

    def all(self, writes: Sequence[Prepared]) -> tuple[Answer, ...]:
        """Keep everything, and how what was touched stands now.

        Parameters
        ----------
        writes : sequence of Prepared
            In their order.

        Returns
        -------
        tuple
            The answers.
        """
        answers = tuple(self._one(write) for write in writes)
        for row in self._logs.values():
            list_log(self._rows, row)
            for kind in (kind for kind, hanging in HANGING.items() if hanging == row.kind):
                home = self._rows.newest(kind, row.subject)
                if home is not None:
                    self._documents[kind, home.id] = home
        for row in self._documents.values():
            list_document(self._rows, row)
        return answers

    @property
    def wrote(self) -> bool:
        """Whether anything new was put."""
        return self._wrote

    _wrote = False

    def _put(self, rows: Sequence[Row]) -> None:
        if rows:
            self._rows.put(rows)
            self._wrote = True

    def _one(self, prepared: Prepared) -> Answer:
        match prepared.write:
            case Save() as write:
                return self._save(write, prepared.texts[0])
            case KeepPlan() as write:
                return self._keep_plan(write, prepared.texts[0])
            case Begin() as write:
                return self._begin(write)
            case Append() as write:
                return self._append(write, prepared.texts)
            case KeepBlob(blob):
                if not self._rows.has_blob(blob.id):
                    self._put([BlobRow(blob.id, blob.media, blob.content, blob.kept_at)])
                return None

    def _save(self, write: Save, text: str) -> Document:
        newest = self._rows.newest(write.kind, write.id)
        if newest and newest.put_away == write.put_away and kept.same(newest.content, text):
            return newest.document()
        revision = newest.revision if newest else 0
        if write.expected != revision:
            raise changed_elsewhere(write.kind, write.id, write.expected, revision)
        row = DocumentRow(write.kind, write.id, revision + 1, text, write.at, write.put_away)
        self._put([row])
        self._documents[write.kind, write.id] = row
        return row.document()

    def _keep_plan(self, write: KeepPlan, text: str) -> None:
        plan = write.record
        old = self._rows.plan_job(plan.id)
        if old is None:
            row = PlanRow(plan.id, plan.job_id, text, plan.model_version, plan.made_at)
            self._put([row])
        elif old != (plan.job_id, plan.model_version):
            raise other_plan(plan.id)

    def _begin(self, write: Begin) -> Answer:
        row = row_of_head(write.head)
        old = self._rows.log_row(row.id)
        if old is not None:
            if (old.kind, old.subject, old.plan_id) != (row.kind, row.subject, row.plan_id):
                is_log = isinstance(write.head, LogHead)
                raise other_log(row.kind, row.id) if is_log else other_build(row.id)
            return head_of(old)
        if row.plan_id is not None and self._rows.plan_job(row.plan_id) is None:
            raise NotFound("plan", row.plan_id)
        self._put([row])
        self._logs[row.id] = row
        return head_of(row)

    def _append(self, write: Append, texts: Sequence[str]) -> tuple[StoredEvent, ...]:
        log = self._rows.log_row(write.log)
        if log is None:
            raise NotFound("log", write.log)
        for event in write.events:
            kept.need_native(log.kind, event)
        known = self._rows.known([event.id for event in write.events])
        end = self._rows.length(log.id)
        new: list[EventRow] = []
        places: list[EventRow] = []
        for event, text in zip(write.events, texts, strict=True):
            row = known.get(event.id)
            if row is None:
                row = known[event.id] = EventRow(event.id, log.id, end + len(new) + 1, text)
                new.append(row)
            elif row.log_id != log.id or not kept.same_event(row.content, text):
                raise other_event(event.id)
            places.append(row)
        if new and write.expected not in (None, end):
            raise grown_elsewhere(log.kind, log.id, write.expected, end)
        self._put(new)
        if new:
            self._logs[log.id] = log
        return tuple(row.stored() for row in places)
