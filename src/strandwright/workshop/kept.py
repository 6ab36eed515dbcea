"""What any store accepts, and how it writes it: one edge, so that every store refuses alike.

Content is kept as JSON text in plain ASCII, so that neither the encoding nor the sort order of
a database can change it. A text that some store or file could not hold is refused by all.
"""

from __future__ import annotations

import hashlib
import json
import math
import re
from typing import Any, cast

from strandwright.errors import InputError, InputErrors, SpecError, StoreUnusable
from strandwright.workshop.documents import (
    KINDS,
    LOG_KINDS,
    Blob,
    BuildHead,
    Document,
    DocumentKind,
    LogHead,
    LogKind,
    PlanRecord,
    Table,
)
from strandwright.workshop.events import EVENT_ID, Event, event_of_table, refuse_stranger
from strandwright.workshop.said import short

#: Tables within tables; a job needs six.
DEEPEST = 60
#: Size of one record; a plan with its sheet needs a hundredth [byte]
LARGEST = 16_000_000
#: Size of one blob; a photo scaled for looking at needs a tenth [byte]
LARGEST_BLOB = 3_000_000
#: What blobs are, with the bytes such content begins with.
MEDIA = {"image/jpeg": b"\xff\xd8\xff", "image/png": b"\x89PNG\r\n\x1a\n"}
_DIGEST = re.compile(r"[0-9a-f]{64}")
#: Identity of a document or a plan.
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}")
_MOMENT = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}([.][0-9]{1,6})?(Z|[+]00:00)"
)


def content(table: object, field: str) -> str:
    """Write a table as JSON text.

    Parameters
    ----------
    table : object
        Plain values under text keys.
    field : str
        What to call it in an error.

    Returns
    -------
    str
        ASCII; keys in the order given.

    Raises
    ------
    InputError
        If it is no table, or holds what cannot be kept.
    """
    if not isinstance(table, dict):
        raise SpecError(field, short(table), "must be a table", "put its keys in { }")
    _refuse(cast(object, table), field, 0)
    try:
        text = json.dumps(table, separators=(",", ":"))
    except ValueError as error:
        rule, remedy = "must hold only numbers of a sane size", "mend the number"
        raise SpecError(field, "number", rule, remedy) from error
    if len(text) > LARGEST:
        rule = f"must be under {LARGEST // 1_000_000} MB"
        raise SpecError(field, f"{len(text) / 1e6:.1f} MB", rule, "take something out")
    return text


def table_of(text: str) -> Table:
    """Read a table back from its JSON text.

    Parameters
    ----------
    text : str
        As :func:`content` wrote it.

    Returns
    -------
    dict
        The table.

    Raises
    ------
    StoreUnusable
        If the text is damaged.
    """
    try:
        table = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise StoreUnusable(
            "a record kept here is damaged and cannot be read; restore a backup into a new store"
        ) from error
    return cast(Table, table)


def same(one: str, other: str) -> bool:
    """Whether two texts hold the same content, in whatever order of keys.

    Parameters
    ----------
    one, other : str
        JSON texts of tables.

    Returns
    -------
    bool
        True when they do; 1 is another content than 1.0.
    """
    return one == other or _sorted(one) == _sorted(other)


def _sorted(text: str) -> str:
    return json.dumps(table_of(text), sort_keys=True)


def _refuse(value: object, field: str, depth: int) -> None:
    """Refuse what some store or file could not hold."""
    if depth > DEEPEST:
        rule = f"must not hold more than {DEEPEST} tables or lists within each other"
        raise SpecError(field, "{ ... }", rule, "make it flatter")
    if isinstance(value, str):
        _refuse_text(value, field)
    elif isinstance(value, dict):
        for key, inside in cast(dict[object, object], value).items():
            if not isinstance(key, str):
                raise SpecError(field, short(key), "must have texts for keys", "put it in quotes")
            _refuse_text(key, field)
            _refuse(inside, f"{field}.{key}", depth + 1)
    elif isinstance(value, list | tuple):
        for place, inside in enumerate(cast(tuple[object, ...], value), 1):
            _refuse(inside, f"{field}[{place}]", depth + 1)
    elif isinstance(value, float):
        if not math.isfinite(value):
            raise SpecError(field, str(value), "must be a finite number", "write the number again")
    elif value is not None and not isinstance(value, bool | int):
        rule = "must be text, a number, true, false, a list or a table"
        raise SpecError(field, type(value).__name__, rule, "write it as text")


def _refuse_text(text: str, field: str) -> None:
    """Refuse the two things that PostgreSQL or a UTF-8 file cannot hold."""
    if "\0" in text:
        rule = "must not hold the character U+0000"
        raise SpecError(field, short(text), rule, "take that character out")
    if not text.isascii():
        try:
            text.encode()
        except UnicodeEncodeError as error:
            shown = short(text.encode("ascii", "backslashreplace").decode())
            rule = "must not hold half a character (a lone surrogate)"
            raise SpecError(field, shown, rule, "type that text again") from error


# ----------------------------------------------------------------------- identities and moments


def is_id(id: object) -> bool:
    """Whether a text can be the identity of a document or a plan.

    Parameters
    ----------
    id : object
        The text.

    Returns
    -------
    bool
        True when it can.
    """
    return isinstance(id, str) and _ID.fullmatch(id) is not None


def is_log_id(id: object) -> bool:
    """Whether a text can be the identity of a log, such as that of a build.

    Parameters
    ----------
    id : object
        The text.

    Returns
    -------
    bool
        True when it can.
    """
    return isinstance(id, str) and EVENT_ID.fullmatch(id) is not None


def need_id(id: object, field: str) -> None:
    """Refuse what cannot be the identity of a document or a plan.

    Parameters
    ----------
    id : object
        The text.
    field : str
        What to call it.

    Raises
    ------
    InputError
        If it cannot.
    """
    if not is_id(id):
        rule = "must be 1 to 40 letters, digits, points, hyphens and underscores, "
        rule += "beginning with a letter or digit"
        raise SpecError(field, _shown(id), rule, "write it such as RIDGE-1")


def is_digest(id: object) -> bool:
    """Whether a text can be the digest of a blob.

    Parameters
    ----------
    id : object
        The text.

    Returns
    -------
    bool
        True when it can.
    """
    return isinstance(id, str) and _DIGEST.fullmatch(id) is not None


def need_log_id(id: object, kind: str) -> None:
    """Refuse what cannot be the identity of a log.

    Parameters
    ----------
    id : object
        The text.
    kind : str
        Kind of the log.

    Raises
    ------
    InputError
        If it cannot.
    """
    if not is_log_id(id):
        rule = "must be 32 hexadecimal digits in lower case"
        raise SpecError(f"{kind}.id", _shown(id), rule, f"make 128 random bits for every {kind}")


def need_kind(kind: object) -> None:
    """Refuse a kind of document that is not known.

    Parameters
    ----------
    kind : object
        Its name.

    Raises
    ------
    InputError
        If it is not known.
    """
    if kind not in KINDS:
        rule = f"must be one of {', '.join(KINDS)}"
        raise SpecError("document.kind", _shown(kind), rule, "choose one of these")


def need_log_kind(kind: object) -> None:
    """Refuse a kind of log that is not known.

    Parameters
    ----------
    kind : object
        Its name.

    Raises
    ------
    InputError
        If it is not known.
    """
    if kind not in LOG_KINDS:
        rule = f"must be one of {', '.join(LOG_KINDS)}"
        raise SpecError("log.kind", _shown(kind), rule, "choose one of these")


def plain(text: str) -> str:
    """Give a text that is searched for without what no record holds.

    Parameters
    ----------
    text : str
        As it was typed.

    Returns
    -------
    str
        Without U+0000 and half characters.
    """
    return text.replace("\0", "").encode("utf-8", "ignore").decode()


def need_moment(at: object, field: str) -> None:
    """Refuse what cannot be a moment as it is kept.

    Parameters
    ----------
    at : object
        The text.
    field : str
        What to call it.

    Raises
    ------
    InputError
        If it cannot.
    """
    if not isinstance(at, str) or not _MOMENT.fullmatch(at):
        remedy = "write it like 2026-11-25T13:00:00.000Z"
        raise SpecError(field, _shown(at), "must be a moment in ISO 8601, UTC", remedy)


def need_count(number: object, field: str) -> None:
    """Refuse what is no whole number that a database column holds.

    Parameters
    ----------
    number : object
        The number [-]
    field : str
        What to call it.

    Raises
    ------
    InputError
        If it is none.
    """
    if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number < 2**31:
        rule = "must be a whole number, zero or more"
        raise SpecError(field, _shown(number), rule, "mend the number")


def _shown(given: object) -> str:
    return short(given).encode("ascii", "backslashreplace").decode()


# ------------------------------------------------------------------------------- whole records


def need_document(kind: object, id: object, at: object) -> None:
    """Refuse the head of a document that cannot be kept.

    Parameters
    ----------
    kind, id, at : object
        Its kind, identity and moment.

    Raises
    ------
    InputError
        If one of them cannot be used.
    """
    need_kind(kind)
    need_id(id, f"{kind}.id")
    need_moment(at, f"{kind}.saved_at")


def plan_content(record: PlanRecord) -> str:
    """Check a plan and write what it holds as JSON text.

    Parameters
    ----------
    record : PlanRecord
        The plan.

    Returns
    -------
    str
        Its job, plan and sheet in one table.

    Raises
    ------
    InputError
        If it cannot be kept.
    """
    need_id(record.id, "plan.id")
    need_id(record.job_id, "plan.job_id")
    need_moment(record.made_at, "plan.made_at")
    need_count(record.model_version, "plan.model_version")
    for name in ("job", "plan", "sheet"):
        if not isinstance(getattr(record, name), dict):
            raise SpecError(f"plan.{name}", "", "must be a table", "give the plan whole")
    table = {"job": record.job, "plan": record.plan, "sheet": record.sheet}
    return content(table, "plan")


def need_head(head: BuildHead | LogHead) -> None:
    """Refuse the head of a log that cannot be kept.

    Parameters
    ----------
    head : BuildHead or LogHead
        The head.

    Raises
    ------
    InputError
        If one of its fields cannot be used.
    """
    if isinstance(head, BuildHead):
        need_log_id(head.id, "build")
        need_id(head.job_id, "build.job_id")
        need_id(head.plan_id, "build.plan_id")
        need_moment(head.began_at, "build.began_at")
        return
    if head.kind not in LOG_KINDS or head.kind == "build":
        rule = f"must be one of {', '.join(kind for kind in LOG_KINDS if kind != 'build')}"
        raise SpecError("log.kind", _shown(head.kind), rule, "choose one of these")
    need_log_id(head.id, head.kind)
    need_id(head.subject, f"{head.kind}.subject")
    need_moment(head.began_at, f"{head.kind}.began_at")


def need_native(kind: LogKind, event: Event) -> None:
    """Refuse an event that a log of that kind does not hold.

    Parameters
    ----------
    kind : str
        Kind of the log.
    event : Event
        The event.

    Raises
    ------
    InputError
        If it does not.
    """
    refuse_stranger(kind, event.type)


def need_blob(blob: Blob) -> None:
    """Refuse bytes that cannot be kept.

    Parameters
    ----------
    blob : Blob
        The bytes.

    Raises
    ------
    InputError
        If they are too many, are not what they are said to be, or have another digest.
    """
    need_moment(blob.kept_at, "blob.kept_at")
    begins = MEDIA.get(blob.media) if isinstance(cast(object, blob.media), str) else None
    if begins is None or not blob.content.startswith(begins):
        rule = f"must be what it begins like, one of {', '.join(MEDIA)}"
        raise SpecError("blob.media", _shown(blob.media), rule, "send a photo as JPEG or PNG")
    if len(blob.content) > LARGEST_BLOB:
        rule = f"must be under {LARGEST_BLOB // 1_000_000} MB"
        said = f"{len(blob.content) / 1e6:.1f} MB"
        raise SpecError("blob", said, rule, "scale the photo down to 1600 points a side")
    if not is_digest(blob.id) or hashlib.sha256(blob.content).hexdigest() != blob.id:
        rule = "must be the SHA-256 of the content in hexadecimal"
        raise SpecError("blob.id", _shown(blob.id), rule, "send it again, whole")


def event_content(event: Event) -> str:
    """Check an event and write it as JSON text.

    Parameters
    ----------
    event : Event
        What happened.

    Returns
    -------
    str
        Its table with the version of its type, so that it can be read for ever.

    Raises
    ------
    InputError
        If it could not be read again.
    """
    table = event.table()
    text = content(table, f"event.{event.type}")
    event_of_table(table)
    return text


def event_of(text: str) -> Event:
    """Read an event that was kept.

    Parameters
    ----------
    text : str
        As :func:`event_content` wrote it, in whatever version.

    Returns
    -------
    Event
        In today's form.

    Raises
    ------
    StoreUnusable
        If it is damaged or of a version not known here.
    """
    try:
        return event_of_table(table_of(text))
    except (InputError, InputErrors) as several:
        error = several if isinstance(several, InputError) else several.errors[0]
        said = f"an event kept here cannot be read ({error.field}: {error.rule})"
        raise StoreUnusable(f"{said}; use the newest strandwright that wrote here") from error


def same_event(kept: str, new: str) -> bool:
    """Whether a kept event, of whatever version, is the one sent now.

    Parameters
    ----------
    kept, new : str
        JSON texts.

    Returns
    -------
    bool
        True when they say the same in today's form.
    """
    return same(kept, new) or event_of(kept) == event_of(new)


def document_of(
    kind: str, id: str, revision: int, text: str, saved_at: str, put_away: bool
) -> Document:
    """Make a document from what was kept.

    Parameters
    ----------
    kind, id : str
        Which.
    revision : int
        From 1 [-]
    text : str
        Its table as JSON.
    saved_at : str
        When, UTC.
    put_away : bool
        True when it is out of use.

    Returns
    -------
    Document
        The document, its table free to be changed by who asked.
    """
    named = cast(DocumentKind, kind)
    return Document(named, id, revision, table_of(text), saved_at, bool(put_away))


def plan_of(id: str, job_id: str, text: str, model_version: int, made_at: str) -> PlanRecord:
    """Make a plan from what was kept.

    Parameters
    ----------
    id, job_id : str
        Which, and its job.
    text : str
        Job, plan and sheet as JSON.
    model_version : int
        What the numbers mean [-]
    made_at : str
        When, UTC.

    Returns
    -------
    PlanRecord
        The plan.
    """
    parts: dict[str, Any] = table_of(text)
    try:
        tables: tuple[Table, Table, Table] = (parts["job"], parts["plan"], parts["sheet"])
    except (KeyError, TypeError) as error:
        raise StoreUnusable(
            f"plan {id} kept here is damaged; restore a backup into a new store"
        ) from error
    return PlanRecord(id, job_id, *tables, model_version, made_at)
