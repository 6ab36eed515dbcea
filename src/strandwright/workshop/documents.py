"""What is kept: documents with revisions, plans stored whole, heads of logs, blobs, listings."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal, get_args

Table = dict[str, Any]

#: What has revisions: a change is a new one, and no old one is lost.
DocumentKind = Literal[
    "bench", "bow", "take-off", "job", "lesson", "set",
    "customer", "shop", "quote", "queue", "account",
]  # fmt: skip
KINDS: tuple[DocumentKind, ...] = get_args(DocumentKind)
#: What has a log of events: an entry never changes, and the state is folded from all of them.
LogKind = Literal["build", "order", "spool", "part", "fit", "service", "audit"]
LOG_KINDS: tuple[LogKind, ...] = get_args(LogKind)


@dataclass(frozen=True)
class Document:
    """One revision of a bench, a bow, a take-off, a job or a set.

    Attributes
    ----------
    kind : str
        One of :data:`KINDS`.
    id : str
        Its identity within the kind: up to 40 letters, digits, points, hyphens, underscores.
    revision : int
        From 1 [-]
    table : dict
        Plain values, quantities as text: the tables of the open file.
    saved_at : str
        When, UTC.
    put_away : bool
        True when it is no longer to be shown among those in use.
    """

    kind: DocumentKind
    id: str
    revision: int
    table: Table
    saved_at: str
    put_away: bool = False


@dataclass(frozen=True)
class PlanRecord:
    """A plan stored whole, so that its sheet prints again unchanged.

    Attributes
    ----------
    id : str
        Identity of the plan: the same job and model give the same.
    job_id : str
        The job it was made from.
    job : dict
        That job's tables as they were.
    plan : dict
        Every answer, as :func:`strandwright.planning.plan_data.plan_data` gives it.
    sheet : dict
        Everything its sheet prints; names the template.
    model_version : int
        What the numbers mean [-]
    made_at : str
        When, UTC.
    """

    id: str
    job_id: str
    job: Table
    plan: Table
    sheet: Table
    model_version: int
    made_at: str


@dataclass(frozen=True)
class BuildHead:
    """One line being built, or built: the log of its events hangs on this.

    Attributes
    ----------
    id : str
        32 hexadecimal digits, made by who began it.
    job_id : str
        The job.
    plan_id : str
        The stored plan it is built by.
    began_at : str
        When, UTC.
    """

    id: str
    job_id: str
    plan_id: str
    began_at: str


@dataclass(frozen=True)
class LogHead:
    """A log of what happened to one thing: a build, an order, a spool.

    Attributes
    ----------
    id : str
        32 hexadecimal digits, made by who began it.
    kind : str
        One of :data:`LOG_KINDS`.
    subject : str
        What it is about: the job of a build, the customer of an order, the ware on a spool.
    began_at : str
        When, UTC.
    """

    id: str
    kind: LogKind
    subject: str
    began_at: str


@dataclass(frozen=True)
class Blob:
    """Bytes kept whole under their own digest, such as a photo: sent twice it is one.

    Attributes
    ----------
    id : str
        SHA-256 of the content, 64 hexadecimal digits.
    media : str
        What it is, ``image/jpeg`` or ``image/png``.
    content : bytes
        The bytes.
    kept_at : str
        When it was first kept, UTC.
    """

    id: str
    media: str
    content: bytes
    kept_at: str


@dataclass(frozen=True)
class Listing:
    """How a document or a log stands now, in the few words a list shows of it.

    Attributes
    ----------
    kind : str
        Kind of document or log.
    id : str
        Its identity.
    owner : str
        What it belongs to, such as the customer of an order; empty where nothing.
    status : str
        How it stands, in a word a list is filtered by.
    at : str
        The moment it is sorted by, UTC.
    words : str
        What it is found by, in lower case.
    summary : dict
        What a list shows of it.
    """

    kind: str
    id: str
    owner: str
    status: str
    at: str
    words: str
    summary: Table = field(default_factory=dict)
