"""Exchange: jobs and whole builds as open files, out of one store and into another.

Everything that is taken in together is looked at first, against the store and against each
other, so that a file which cannot be kept brings in nothing of the others either.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any, cast

from strandwright.errors import Conflict, NotFound, SpecError
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.ports import Store
from strandwright.planning.settling.record import appended, kept_service, read_entries, taken_in
from strandwright.workshop import kept
from strandwright.workshop.documents import BuildHead, PlanRecord
from strandwright.workshop.events import Event, event_of_table
from strandwright.workshop.job import Job, job_from_table
from strandwright.workshop.said import short
from strandwright.workshop.service import ServiceEntry, service_table

#: Version of the build file.
FORMAT = 1
_AGAIN = "give the file as it was exported"

Table = dict[str, Any]


@dataclass(frozen=True)
class BuildFile:
    """A build as its file holds it.

    Attributes
    ----------
    head : BuildHead
        The build.
    plan : PlanRecord
        The plan it began with.
    events : tuple of Event
        Its log, in its order.
    service : tuple of ServiceEntry
        What was written of the line on its bow; empty where nothing was.
    """

    head: BuildHead
    plan: PlanRecord
    events: tuple[Event, ...]
    service: tuple[ServiceEntry, ...] = ()


def build_table(store: Store, build_id: str) -> Table:
    """Give the whole record of a build: its head, its plan and every event.

    Parameters
    ----------
    store : Store
        Where it is kept.
    build_id : str
        The build.

    Returns
    -------
    dict
        ``format``, ``build``, ``plan``, ``events``, and ``service`` where anything was written
        of the line on its bow; ready for JSON.

    Raises
    ------
    NotFound
        If there is no such build.
    """
    head, service = store.build(build_id), kept_service(store, build_id)[0]
    table: Table = {
        "format": FORMAT,
        "build": asdict(head),
        "plan": asdict(store.plan(head.plan_id)),
        "events": [{"seq": s.seq, **s.event.table()} for s in store.events(build_id)],
    }
    return table | {"service": service_table(service)} if service else table


def read_build(table: Mapping[str, Any]) -> BuildFile:
    """Read a build from the table of its file.

    Parameters
    ----------
    table : mapping
        As :func:`build_table` gave it.

    Returns
    -------
    BuildFile
        The build; nothing is kept yet.

    Raises
    ------
    InputError
        If the table is no build of a version known here.
    """
    if table.get("format") != FORMAT or isinstance(table.get("format"), bool):
        rule = f"must be {FORMAT}, the format known here"
        raise SpecError("format", short(table.get("format")), rule, "use a newer strandwright")
    head, plan = _made(BuildHead, table, "build"), _made(PlanRecord, table, "plan")
    if (head.plan_id, head.job_id) != (plan.id, plan.job_id):
        rule = "must be the plan and the job that the build names"
        raise SpecError("plan", short(plan.id), rule, _AGAIN)
    # Looked at before anything is kept, so that what a store would refuse brings in nothing.
    kept.need_head(head)
    kept.plan_content(plan)
    job_from_table(plan.job)
    rows = table.get("events")
    if not isinstance(rows, list):
        raise SpecError("events", short(rows), "must be a list of tables", _AGAIN)
    events = tuple(_events(cast(list[object], rows)))
    return BuildFile(head, plan, events, read_entries(table.get("service")))


def take_in_build(store: Store, table: Mapping[str, Any]) -> str:
    """Keep a build from its file; taken in twice it is one.

    Parameters
    ----------
    store : Store
        Where to keep it.
    table : mapping
        As :func:`build_table` gave it.

    Returns
    -------
    str
        The build's identity.

    Raises
    ------
    InputError
        If the table is no build of a version known here.
    Conflict
        If something of it is kept already with other content; nothing is kept then.
    """
    build = read_build(table)
    take_in(store, (), (build,), at=build.service[-1].at if build.service else "")
    return build.head.id


def take_in(store: Store, jobs: Iterable[Job], builds: Iterable[BuildFile], *, at: str) -> None:
    """Keep jobs and builds, all of them or none; what is kept already is left as it is.

    Parameters
    ----------
    store : Store
        Where to keep them.
    jobs : iterable of Job
        Jobs; one that is kept already in any of its revisions is left alone.
    builds : iterable of BuildFile
        Builds; a longer log goes on from a shorter one.
    at : str
        Now, UTC; needed where there are jobs or lines on their bows.

    Raises
    ------
    Conflict
        If something is kept already with other content, or two of these do not agree.
    """
    jobs, builds = tuple(jobs), tuple(builds)
    look = _Look(store)
    new = [job for job in jobs if look.is_new_job(job)]
    for build in builds:
        look.refuse_other(build)
    # Each of these is harmless when repeated: after a crash between them, take in again.
    for job in new:
        store.save("job", job.id, tables_of(job), at=at, expected=0)
    for build in builds:
        store.keep_plan(build.plan)
        store.begin(build.head)
        store.append(build.head.id, build.events)
        before, count = kept_service(store, build.head.id)
        after = taken_in(before, build.service, build.head.id)
        store.write(appended(build.head.id, before, after[count:]))


class _Look:
    """What would be kept: the store's records, and over them those looked at before."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self.jobs: dict[str, Job] = {}
        self.plans: dict[str, PlanRecord] = {}
        self.builds = {head.id: head for head in store.builds()}
        self.logs: dict[str, tuple[Event, ...]] = {}
        self._owners: dict[str, str] | None = None

    def is_new_job(self, job: Job) -> bool:
        """Tell a new job from one that is kept; refuse one kept with other content."""
        if job.id in self.jobs:
            known = [self.jobs[job.id]]
        else:
            documents = self.store.revisions("job", job.id)
            known = [job_from_table(document.table) for document in documents]
        if known and job not in known:
            rule = "is kept already with other content"
            raise Conflict("job", job.id, rule, "give this one another id in its file")
        kept.content(tables_of(job), "job")
        self.jobs[job.id] = job
        return not known

    def refuse_other(self, build: BuildFile) -> None:
        """Refuse a build of which something is kept with other content."""
        head, plan = build.head, build.plan
        planned = self._plan(plan.id) or plan
        if (planned.job_id, planned.model_version) != (plan.job_id, plan.model_version):
            rule = "is kept already with another job or model version"
            raise Conflict("plan", plan.id, rule, "keep this build in a store of its own")
        begun = self.builds.get(head.id, head)
        if (begun.job_id, begun.plan_id) != (head.job_id, head.plan_id):
            rule = "is kept already with another job or plan"
            raise Conflict("build", head.id, rule, "keep this build in a store of its own")
        log = self._log(head.id)
        shared = min(len(log), len(build.events))
        if log[:shared] != build.events[:shared]:
            rule = "has gone on here from other events than in this file"
            remedy = "keep to the store where it was last worked on, or use one of its own"
            raise Conflict("build", head.id, rule, remedy)
        owners = self._event_owners()
        for event in build.events[shared:]:
            if owners.setdefault(event.id, head.id) != head.id:
                rule = "is kept already in another build"
                raise Conflict("event", event.id, rule, "keep this build in a store of its own")
        taken_in(kept_service(self.store, head.id)[0], build.service, head.id)
        self.plans[plan.id], self.builds[head.id] = planned, begun
        self.logs[head.id] = max(log, build.events, key=len)

    def _plan(self, id: str) -> PlanRecord | None:
        try:
            return self.plans.get(id) or self.store.plan(id)
        except NotFound:
            return None

    def _log(self, build: str) -> tuple[Event, ...]:
        if build not in self.logs:
            stored = self.store.events(build) if build in self.builds else ()
            self.logs[build] = tuple(s.event for s in stored)
        return self.logs[build]

    def _event_owners(self) -> dict[str, str]:
        """Give the build of every event that is kept."""
        if self._owners is None:
            self._owners = {e.id: build for build in self.builds for e in self._log(build)}
        return self._owners


def _made(kind: type[Any], table: Mapping[str, Any], name: str) -> Any:
    """Make a head or a plan whose fields have their types; what they say a store checks."""
    found, wanted = table.get(name), fields(kind)
    if not isinstance(found, dict) or set(found) != {field.name for field in wanted}:
        rule = f"must be a table with {', '.join(sorted(field.name for field in wanted))}"
        raise SpecError(name, short(found), rule, _AGAIN)
    types: dict[object, type] = {"str": str, "Table": dict, "int": int}
    for field in wanted:
        value = cast(Table, found)[field.name]
        if not isinstance(value, types[field.type]) or isinstance(value, bool):
            words = {str: "text", dict: "a table", int: "a whole number"}
            rule = f"must be {words[types[field.type]]}"
            raise SpecError(f"{name}.{field.name}", short(value), rule, _AGAIN)
    return kind(**found)


def _events(rows: list[object]) -> Iterable[Event]:
    """Read a log, each event in its place."""
    seen: set[str] = set()
    for place, row in enumerate(rows, 1):
        if not isinstance(row, dict) or cast(Table, row).get("seq") != place:
            given = cast(Table, row).get("seq") if isinstance(row, dict) else row
            rule = f"must be a table with seq = {place}"
            raise SpecError(f"events[{place}]", short(given), rule, _AGAIN)
        event = event_of_table(cast(Table, row))
        kept.event_content(event)
        if event.id in seen:
            raise SpecError(f"events[{place}].id", event.id, "must stand there once", _AGAIN)
        seen.add(event.id)
        yield event
