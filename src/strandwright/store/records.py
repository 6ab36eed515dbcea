"""Records of a backup: everything kept as plain tables, and what is demanded of them.

The order is part of the form: documents by kind, identity and revision; plans and builds oldest
first; each build followed by its log.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, cast

from strandwright.errors import InputError, InputErrors, SpecError
from strandwright.workshop import kept
from strandwright.workshop.documents import BuildHead, Document, PlanRecord, Table
from strandwright.workshop.events import event_of_table
from strandwright.workshop.said import short

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


@dataclass(frozen=True)
class EventRow:
    """An event, checked, ready to be kept.

    Attributes
    ----------
    id : str
        Its identity.
    build_id : str
        The build.
    seq : int
        Place in its log [-]
    content : str
        The event as JSON, in the version it was written.
    """

    id: str
    build_id: str
    seq: int
    content: str


Row = DocumentRow | PlanRow | BuildHead | EventRow


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


def build_record(head: BuildHead) -> Table:
    """Give the head of a build as a table of a backup.

    Parameters
    ----------
    head : BuildHead
        The build.

    Returns
    -------
    dict
        The table.
    """
    return {
        "record": "build",
        "id": head.id,
        "job_id": head.job_id,
        "plan_id": head.plan_id,
        "began_at": head.began_at,
    }


def event_record(build_id: str, seq: int, content: str) -> Table:
    """Give an event as a table of a backup, in the version it was written.

    Parameters
    ----------
    build_id : str
        The build.
    seq : int
        Its place [-]
    content : str
        The event as JSON.

    Returns
    -------
    dict
        The table.
    """
    return {"record": "event", "build": build_id, "seq": seq, "event": kept.table_of(content)}


class Intake:
    """Checks the tables of a backup one after the other, each against those before it."""

    def __init__(self) -> None:
        self.count = 0
        self._revisions: dict[tuple[str, str], int] = {}
        self._plans: set[str] = set()
        self._lengths: dict[str, int] = {}
        self._events: set[str] = set()

    def row(self, table: object) -> Row:
        """Check the next table.

        Parameters
        ----------
        table : object
            As a backup holds it.

        Returns
        -------
        DocumentRow, PlanRow, BuildHead or EventRow
            Ready to be kept.

        Raises
        ------
        InputError
            If it is not one of a backup, or does not fit those before it.
        """
        self.count += 1
        given = cast(Table, table) if isinstance(table, dict) else {}
        readers: dict[str, tuple[Callable[[Table], Row], set[str]]] = {
            "document": (self._document, set(document_record(_NO_DOCUMENT))),
            "plan": (self._plan, set(plan_record(_NO_PLAN))),
            "build": (self._build, set(build_record(_NO_HEAD))),
            "event": (self._event, {"record", "build", "seq", "event"}),
        }
        what = given.get("record")
        if not isinstance(what, str) or what not in readers:
            raise self._wrong("record", what, f"must be one of {', '.join(readers)}")
        reader, keys = readers[what]
        if set(given) != keys:
            odd = ", ".join(sorted(map(str, set(given) ^ keys)))
            raise self._wrong(what, odd, "must have its keys, no more and no fewer")
        try:
            return reader(given)
        except InputError as error:
            raise error.at(f"record {self.count}: {error.field}") from error
        except InputErrors as several:
            error = several.errors[0]
            raise error.at(f"record {self.count}: {error.field}") from several

    def _document(self, given: Table) -> DocumentRow:
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

    def _build(self, given: Table) -> BuildHead:
        head = BuildHead(given["id"], given["job_id"], given["plan_id"], given["began_at"])
        kept.need_head(head)
        if head.plan_id not in self._plans:
            raise _unfit("build.plan_id", head.plan_id, "must be a plan that stands before it")
        if head.id in self._lengths:
            raise _unfit("build.id", head.id, "must stand there once")
        self._lengths[head.id] = 0
        return head

    def _event(self, given: Table) -> EventRow:
        build = given["build"]
        if not isinstance(build, str) or build not in self._lengths:
            raise _unfit("event.build", build, "must be a build that stands before it")
        seq = self._lengths[build] + 1
        _demand(given, "seq", seq, "must follow the event before it")
        text = kept.content(given["event"], "event")
        id = event_of_table(given["event"]).id
        if id in self._events:
            raise _unfit("event.id", id, "must stand there once")
        self._events.add(id)
        self._lengths[build] = seq
        return EventRow(id, build, seq, text)

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
_NO_HEAD = BuildHead("", "", "", "")
