"""Writes: what a store is asked to keep, any number of them together or none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from strandwright.workshop.documents import (
    Blob,
    BuildHead,
    DocumentKind,
    LogHead,
    PlanRecord,
    Table,
)
from strandwright.workshop.events import Event


@dataclass(frozen=True)
class Save:
    """Keep a further revision of a document.

    Attributes
    ----------
    kind : str
        Its kind.
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
    """

    kind: DocumentKind
    id: str
    table: Table
    at: str
    expected: int
    put_away: bool = False


@dataclass(frozen=True)
class KeepPlan:
    """Keep a plan; one that is kept already stays as it was.

    Attributes
    ----------
    record : PlanRecord
        The plan.
    """

    record: PlanRecord


@dataclass(frozen=True)
class Begin:
    """Begin a log; begun twice it is one.

    Attributes
    ----------
    head : BuildHead or LogHead
        What it is about.
    """

    head: BuildHead | LogHead


@dataclass(frozen=True)
class Append:
    """Add events to the end of a log.

    Attributes
    ----------
    log : str
        The log.
    events : sequence of Event
        In their order; one that is there already keeps its place.
    expected : int or None
        How long the log was when this was decided; where it has grown since, nothing is
        written. None where the events stand whatever else happened [-]
    """

    log: str
    events: Sequence[Event]
    expected: int | None = None


@dataclass(frozen=True)
class KeepBlob:
    """Keep bytes under their digest.

    Attributes
    ----------
    blob : Blob
        The bytes.
    """

    blob: Blob


Write = Save | KeepPlan | Begin | Append | KeepBlob
