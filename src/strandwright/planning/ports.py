"""Ports: what a store must do, whatever it keeps its records in.

Every promise here is tested on each implementation by the same tests. An answer is given only
when what it acknowledges is durable. Nothing is ever written over: a document gets a further
revision, a log a further event. What belongs together is written together or not at all, by
:meth:`Store.write`; the other verbs that keep something are that with one write.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol, cast

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
from strandwright.workshop.events import Event, StoredEvent
from strandwright.workshop.writes import Append, Begin, KeepBlob, KeepPlan, Save, Write

#: What a store answers to a write: the document, nothing, the head, the events with places.
Answer = Document | BuildHead | LogHead | tuple[StoredEvent, ...] | None
#: Rows of a list that are given at once unless asked [-]
PAGE = 50


class Store(Protocol):
    """Where the workshop's records are kept. Safe to use from several threads."""

    def write(self, writes: Sequence[Write]) -> tuple[Answer, ...]:
        """Keep everything of a list, in its order, all of it or nothing.

        Later writes see earlier ones. Writers take turns, whoever they are: with the revision
        or the length that each decision was taken on, what was decided on stays true.

        Parameters
        ----------
        writes : sequence of Write
            In their order.

        Returns
        -------
        tuple
            An answer to each: the document as kept; the head as kept; the events with their
            places; None for plans and blobs.

        Raises
        ------
        Conflict
            If a document has another newest revision and content, a log has grown past the
            expected length, or an identity is kept with other content.
        NotFound
            If a plan or log that one of them needs is not kept.
        InputError
            If one cannot be kept, or an event does not belong into its log.
        StoreUnusable
            If they cannot be written.
        """
        ...

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
        """Keep a further revision of a document.

        Parameters
        ----------
        kind : str
            Bench, bow, take-off or job.
        id : str
            Its identity.
        table : dict
            Plain values.
        at : str
            When, UTC.
        expected : int
            The revision this one follows, 0 for a new document [-]
        put_away : bool
            True to take it out of use; its revisions stay.

        Returns
        -------
        Document
            As kept. Where the newest revision already holds this very content, that one, and
            nothing is written: so a repeated save is harmless.

        Raises
        ------
        Conflict
            If the newest revision is another one and holds other content.
        StoreUnusable
            If it cannot be written.
        """
        write = Save(kind, id, table, at, expected, put_away)
        return cast(Document, self.write([write])[0])

    def document(self, kind: DocumentKind, id: str, revision: int | None = None) -> Document:
        """Give a document, the newest revision unless told which.

        Parameters
        ----------
        kind : str
            Its kind.
        id : str
            Its identity.
        revision : int or None
            Which one [-]

        Returns
        -------
        Document
            The document.

        Raises
        ------
        NotFound
            If there is none.
        """
        ...

    def documents(
        self, kind: DocumentKind, ids: Sequence[str] | None = None
    ) -> tuple[Document, ...]:
        """Give the newest revision of every document of a kind, by identity.

        Parameters
        ----------
        kind : str
            The kind.
        ids : sequence of str or None
            Only these, of those that are kept; left out, all.

        Returns
        -------
        tuple of Document
            Those put away too.
        """
        ...

    def revisions(self, kind: DocumentKind, id: str) -> tuple[Document, ...]:
        """Give every revision of a document, oldest first.

        Parameters
        ----------
        kind : str
            Its kind.
        id : str
            Its identity.

        Returns
        -------
        tuple of Document
            Empty where there is none.
        """
        ...

    def keep_plan(self, record: PlanRecord) -> None:
        """Keep a plan; one that is kept already stays as it was.

        Parameters
        ----------
        record : PlanRecord
            The plan.

        Raises
        ------
        StoreUnusable
            If it cannot be written.
        """
        self.write([KeepPlan(record)])

    def plan(self, id: str) -> PlanRecord:
        """Give a plan.

        Parameters
        ----------
        id : str
            Its identity.

        Returns
        -------
        PlanRecord
            As it was kept.

        Raises
        ------
        NotFound
            If there is none.
        """
        ...

    def plans(self, job_id: str | None = None) -> tuple[PlanRecord, ...]:
        """Give every plan, or every one of a job, oldest first.

        Parameters
        ----------
        job_id : str or None
            The job; left out, all.

        Returns
        -------
        tuple of PlanRecord
            The plans.
        """
        ...

    def begin(self, head: BuildHead) -> BuildHead:
        """Keep the head of a build; begun twice it is one.

        Parameters
        ----------
        head : BuildHead
            The build.

        Returns
        -------
        BuildHead
            As kept.

        Raises
        ------
        NotFound
            If its plan is not kept.
        Conflict
            If a build of that identity has another job or plan.
        """
        return cast(BuildHead, self.write([Begin(head)])[0])

    def log(self, id: str) -> LogHead:
        """Give the head of a log of any kind.

        Parameters
        ----------
        id : str
            Its identity.

        Returns
        -------
        LogHead
            The log.

        Raises
        ------
        NotFound
            If there is none.
        """
        ...

    def logs(self, kind: LogKind, subject: str | None = None) -> tuple[LogHead, ...]:
        """Give every log of a kind, or every one about a thing, oldest first.

        Parameters
        ----------
        kind : str
            The kind.
        subject : str or None
            What they are about; left out, all.

        Returns
        -------
        tuple of LogHead
            The logs.
        """
        ...

    def build(self, id: str) -> BuildHead:
        """Give the head of a build.

        Parameters
        ----------
        id : str
            Its identity.

        Returns
        -------
        BuildHead
            The build.

        Raises
        ------
        NotFound
            If there is none.
        """
        ...

    def builds(self, job_id: str | None = None) -> tuple[BuildHead, ...]:
        """Give every build, or every one of a job, oldest first.

        Parameters
        ----------
        job_id : str or None
            The job; left out, all.

        Returns
        -------
        tuple of BuildHead
            The builds.
        """
        ...

    def append(
        self, log: str, events: Sequence[Event], expected: int | None = None
    ) -> tuple[StoredEvent, ...]:
        """Add events to the end of a log, all of them or none.

        Parameters
        ----------
        log : str
            The log.
        events : sequence of Event
            In their order.
        expected : int or None
            How long the log was when this was decided; None where that does not matter [-]

        Returns
        -------
        tuple of StoredEvent
            Each with its place; one that was there already with its old place.

        Raises
        ------
        NotFound
            If there is no such log.
        Conflict
            If an event of that identity is kept with other content or in another log, or the
            log has grown past the expected length.
        InputError
            If a log of its kind holds no such events.
        StoreUnusable
            If they cannot be written: then none is.
        """
        return cast(tuple[StoredEvent, ...], self.write([Append(log, events, expected)])[0])

    def events(self, log: str, after: int = 0) -> tuple[StoredEvent, ...]:
        """Give the events of a log.

        Parameters
        ----------
        log : str
            The log.
        after : int
            Only events behind this place [-]

        Returns
        -------
        tuple of StoredEvent
            In their order, places without a gap.

        Raises
        ------
        NotFound
            If there is no such log.
        """
        ...

    def keep_blob(self, blob: Blob) -> None:
        """Keep bytes under their digest; kept twice they are one.

        Parameters
        ----------
        blob : Blob
            The bytes.

        Raises
        ------
        InputError
            If the digest is not that of the content, or the content may not be kept.
        """
        self.write([KeepBlob(blob)])

    def blob(self, id: str) -> Blob:
        """Give bytes by their digest.

        Parameters
        ----------
        id : str
            SHA-256, 64 hexadecimal digits.

        Returns
        -------
        Blob
            The bytes.

        Raises
        ------
        NotFound
            If there are none.
        """
        ...

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
        """Give how documents or logs of a kind stand now, the latest first.

        Parameters
        ----------
        kind : str
            Kind of document or log.
        owner : str, sequence of str or None
            Only those that belong to it, or to one of them; left out, all.
        status : str or None
            Only those that stand so; left out, all.
        words : str
            Only those in whose words each of these stands.
        before : (str, str) or None
            ``at`` and ``id`` of the last one shown: only those behind it.
        limit : int
            How many at most [-]

        Returns
        -------
        tuple of Listing
            Written together with what they tell of, so never older or newer than it.
        """
        ...

    def named(self, kind: str, ids: Sequence[str]) -> tuple[Listing, ...]:
        """Give the listings of these identities.

        Parameters
        ----------
        kind : str
            Kind of document or log.
        ids : sequence of str
            Their identities.

        Returns
        -------
        tuple of Listing
            In the order of the identities, those that are kept, each once.
        """
        ...

    def counts(self, kind: str) -> dict[str, int]:
        """Count the listings of a kind by status.

        Parameters
        ----------
        kind : str
            Kind of document or log.

        Returns
        -------
        dict
            From status to how many there are [-]
        """
        ...

    def mark(self) -> int:
        """Give a number that grows with every change of anything kept, by anybody.

        Returns
        -------
        int
            The mark [-]
        """
        ...

    def wait(self, mark: int, timeout: float) -> int:
        """Wait until the mark is another than this one, or for so long.

        Parameters
        ----------
        mark : int
            The mark that is known [-]
        timeout : float
            How long at most [s]

        Returns
        -------
        int
            The mark now; the same one where nothing changed, or the store was closed [-]

        Raises
        ------
        StoreUnusable
            If it cannot be read.
        """
        ...

    def contents(self) -> Iterable[Table]:
        """Give everything kept as plain tables, for a backup: the same for equal stores.

        Returns
        -------
        iterable of dict
            Each says in ``record`` what it is.
        """
        ...

    def take_in(self, tables: Iterable[Table]) -> int:
        """Keep everything of a backup, all of it or nothing; the store must be empty.

        Parameters
        ----------
        tables : iterable of dict
            As :meth:`contents` gave them.

        Returns
        -------
        int
            Records kept [-]

        Raises
        ------
        Conflict
            If the store is not empty.
        InputError
            If a table is not one of a backup.
        """
        ...

    def close(self) -> None:
        """Let go of files and connections."""
        ...
