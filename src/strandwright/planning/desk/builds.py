"""The desk: the workshop's use cases over a store, the same for the app, HTTP and Python.

A job is kept as a document with revisions; starting a build keeps its plan whole; what happens
at the jig is recorded as events, and every answer is the advice that follows from them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from strandwright.errors import Conflict, NotFound, SpecError
from strandwright.planning.desk.acts import refuse_impossible_events
from strandwright.planning.desk.advice import Advice, advise
from strandwright.planning.desk.bench_checks import keep_checks
from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.entries.default_units import with_unit
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.entries.event_ranges import refuse_unmeant
from strandwright.planning.plan_data import plan_data
from strandwright.planning.plan_line import MODEL_VERSION
from strandwright.planning.planner import Planner
from strandwright.planning.ports import Store
from strandwright.planning.result import Plan
from strandwright.workshop.build_state import BuildState, fold
from strandwright.workshop.documents import BuildHead, PlanRecord
from strandwright.workshop.events import EVENT_ID, Event, StoredEvent, event_of_table, make_event
from strandwright.workshop.job import job_from_table
from strandwright.workshop.parts import BuildRecord
from strandwright.workshop.writes import Append, Begin, KeepPlan

Table = dict[str, Any]


@dataclass(frozen=True)
class Build:
    """A build with its state.

    Attributes
    ----------
    head : BuildHead
        Which job and plan it has.
    state : BuildState
        What stands.
    """

    head: BuildHead
    state: BuildState


def no_sheet(plan: Plan) -> Table:
    """Give the sheet data of a desk that prints nothing.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    dict
        Empty.
    """
    del plan
    return {}


class Desk(JobDesk):
    """The workshop's use cases. Safe to use from several threads.

    Parameters
    ----------
    store : Store
        Where records are kept.
    clock : callable
        Gives the moment, with its offset from UTC.
    sheet : callable
        Gives what the sheet of a plan prints, to be kept with it.
    planner : Planner or None
        Plans jobs and remembers; None makes one.
    learns : bool
        Whether finished builds teach the next plan.
    """

    def __init__(
        self,
        store: Store,
        clock: Callable[[], datetime] = lambda: datetime.now(UTC),
        sheet: Callable[[Plan], Table] = no_sheet,
        planner: Planner | None = None,
        *,
        learns: bool = True,
    ) -> None:
        super().__init__(store, clock, planner)
        self._learns = learns
        self._sheet = sheet
        self._firsts: dict[str, Plan] = {}

    def start(self, job_id: str, build_id: str, event_id: str, *, at: str, by: str = "") -> Advice:
        """Begin the build of a job: its plan is kept whole.

        Parameters
        ----------
        job_id : str
            The job.
        build_id, event_id : str
            Identities of the build and of its first event, each 32 hexadecimal digits made by
            who begins it; begun twice it is one.
        at : str
            When, in ISO 8601 with its offset from UTC.
        by : str
            Which bench or browser began it.

        Returns
        -------
        Advice
            The first act.

        Raises
        ------
        InputError
            If an identity cannot be used or the job cannot be planned.
        NotFound
            If there is no such job.
        """
        if not EVENT_ID.fullmatch(build_id):
            rule = "must be 32 hexadecimal digits in lower case"
            raise SpecError("build", build_id, rule, "make 128 random bits")
        with suppress(NotFound):
            if self.store.build(build_id).job_id != job_id:
                raise Conflict("build", build_id, "belongs to another job", "make a new identity")
            return self.advice(build_id)
        job = self.job(job_id).job.model_copy(update={"build": BuildRecord()})
        plan = self.plan(job)
        event = make_event(event_id, "started", {"plan": plan.id}, at=at, by=by)
        head = BuildHead(build_id, job_id, plan.id, event.at)
        record = KeepPlan(self._record_of(plan))
        self.store.write([record, Begin(head), Append(build_id, [event])])
        return self.advice(build_id)

    def _record_of(self, plan: Plan) -> PlanRecord:
        return PlanRecord(
            id=plan.id,
            job_id=plan.job.id,
            job=tables_of(plan.job),
            # At the jig nobody waits for what a further stretch or another jig would do.
            plan=plan_data(plan, anew=False),
            sheet=self._sheet(plan),
            model_version=MODEL_VERSION,
            made_at=self.now(),
        )

    def event(self, build_id: str, table: Mapping[str, Any]) -> Event:
        """Read an event for a build, lengths without a unit being in its job's.

        Parameters
        ----------
        build_id : str
            The build.
        table : mapping
            ``id``, ``type``, ``at``, ``by``, ``body``, as it was sent.

        Returns
        -------
        Event
            The event; not recorded yet.

        Raises
        ------
        InputError
            For one thing that cannot be used.
        InputErrors
            For several of them.
        NotFound
            If there is no such build.
        """
        body = table.get("body")
        if isinstance(body, dict):
            units = self._first_plan(build_id).job.paper.units
            table = {**table, "body": {k: with_unit(k, v, units) for k, v in body.items()}}
        return event_of_table(table)

    def record(
        self, build_id: str, events: Sequence[Event]
    ) -> tuple[tuple[StoredEvent, ...], Advice]:
        """Record what happened at the jig, and give the advice that follows.

        Parameters
        ----------
        build_id : str
            The build.
        events : sequence of Event
            In their order; one that is recorded already is harmless.

        Returns
        -------
        stored : tuple of StoredEvent
            Each with its place: durable.
        advice : Advice
            What to do next.

        Raises
        ------
        InputError
            If one cannot be: a reading that is not of this line, a colour it has not. None is
            recorded then.
        NotFound
            If there is no such build.
        """
        log = self._log(build_id)
        known = {stored.event.id for stored in log}
        new = [event for event in events if event.id not in known]
        place = log[-1].seq if log else 0
        ahead = [StoredEvent(place + i, event) for i, event in enumerate(new, start=1)]
        refuse_unmeant(new)
        first, state = self._first_plan(build_id), fold([*log, *ahead])
        refuse_impossible_events(first, state, new)
        # Advice is made before anything is kept, so that what cannot be planned is not kept.
        advice = advise(first, state, self.planner)
        stored = self.store.append(build_id, events)
        before = fold(log)
        keep_checks(self, first.job, before, state)
        self._learn(build_id, before, advice)
        places = {s.event.id: s.seq for s in stored}
        is_alone = all(places[s.event.id] == s.seq for s in ahead)
        return stored, advice if is_alone else self.advice(build_id)

    def _learn(self, build_id: str, before: BuildState, advice: Advice) -> None:
        """Keep what a build says when it is locked, and drop it when that is withdrawn."""
        if not self._learns:
            return
        if advice.state.locked is not None and before.locked is None:
            self.memory.keep(build_id, advice)
        elif advice.state.locked is None and before.locked is not None:
            self.memory.forget(build_id)

    def advice(self, build_id: str) -> Advice:
        """Give the advice for a build.

        Parameters
        ----------
        build_id : str
            The build.

        Returns
        -------
        Advice
            What to do next, and why.

        Raises
        ------
        NotFound
            If there is no such build.
        """
        return advise(self._first_plan(build_id), self.state(build_id), self.planner)

    def state(self, build_id: str) -> BuildState:
        """Give what stands at the jig.

        Parameters
        ----------
        build_id : str
            The build.

        Returns
        -------
        BuildState
            Folded from its events.

        Raises
        ------
        NotFound
            If there is no such build.
        """
        return fold(self._log(build_id))

    def builds(self, job_id: str | None = None) -> tuple[Build, ...]:
        """Give every build, or every one of a job, with its state, oldest first.

        Parameters
        ----------
        job_id : str or None
            The job; left out, all, which takes long where there are many.

        Returns
        -------
        tuple of Build
            The builds.
        """
        return tuple(Build(head, self.state(head.id)) for head in self.store.builds(job_id))

    def _log(self, build_id: str) -> tuple[StoredEvent, ...]:
        """Give the events of what must be a build."""
        self.store.build(build_id)
        return self.store.events(build_id)

    def _first_plan(self, build_id: str) -> Plan:
        """Give the plan a build began with, made once."""
        plan_id = self.store.build(build_id).plan_id
        found = self._firsts.get(plan_id)
        if found is None:
            found = self.planner.plan(job_from_table(self.store.plan(plan_id).job))
            self._firsts[plan_id] = found
        return found
