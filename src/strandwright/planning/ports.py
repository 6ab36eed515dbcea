"""Ports: what a store must do, whatever it keeps its records in.

Every promise here is tested on each implementation by the same tests. An answer is given only
when what it acknowledges is durable. Nothing is ever written over: a document gets a further
revision, a build a further event.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol

from strandwright.workshop.documents import (
    BuildHead,
    Document,
    DocumentKind,
    PlanRecord,
    Table,
)
from strandwright.workshop.events import Event, StoredEvent


class Store(Protocol):
    """Where the workshop's records are kept. Safe to use from several threads."""

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
        ...

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

    def documents(self, kind: DocumentKind) -> tuple[Document, ...]:
        """Give the newest revision of every document of a kind, by identity.

        Parameters
        ----------
        kind : str
            The kind.

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
        ...

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

    def append(self, build: str, events: Sequence[Event]) -> tuple[StoredEvent, ...]:
        """Add events to the end of a build's log, all of them or none.

        Parameters
        ----------
        build : str
            The build.
        events : sequence of Event
            In their order.

        Returns
        -------
        tuple of StoredEvent
            Each with its place; one that was there already with its old place.

        Raises
        ------
        NotFound
            If there is no such build.
        Conflict
            If an event of that identity is kept with other content or in another build.
        StoreUnusable
            If they cannot be written: then none is.
        """
        ...

    def events(self, build: str, after: int = 0) -> tuple[StoredEvent, ...]:
        """Give the log of a build.

        Parameters
        ----------
        build : str
            The build.
        after : int
            Only events behind this place [-]

        Returns
        -------
        tuple of StoredEvent
            In their order, places without a gap.

        Raises
        ------
        NotFound
            If there is no such build.
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
