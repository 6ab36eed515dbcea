"""The desk's jobs and benches: kept with revisions, changed, planned.

The desk is the workshop's use cases over a store, the same for the app, HTTP and Python; this
is its half for what is planned, :mod:`strandwright.planning.desk.builds` adds what is built.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from strandwright.errors import Conflict, InputError, InputErrors, SolveError, SpecError
from strandwright.planning.entries.editing import Change, at_change, edited, tables_of
from strandwright.planning.entries.refusals import refuse_impossible_part
from strandwright.planning.entries.unseen import refuse_unseen
from strandwright.planning.planner import Planner
from strandwright.planning.ports import Store
from strandwright.planning.replan import quick_plan
from strandwright.planning.result import Plan
from strandwright.planning.shop.memory import ShopMemory
from strandwright.workshop.documents import Document
from strandwright.workshop.events import as_moment
from strandwright.workshop.job import Job, job_from_table, noun_from_table
from strandwright.workshop.parts import BenchSpec, BuildRecord

Table = dict[str, Any]
#: Jobs looked through for what is at hand; no bench has more before it [-]
MOST_AT_HAND = 500


@dataclass(frozen=True)
class KeptJob:
    """A job as it is kept, and what can be made of it.

    Attributes
    ----------
    document : Document
        The newest revision, or the one asked for.
    job : Job
        It, read.
    """

    document: Document
    job: Job


class JobDesk:
    """Jobs and benches over a store. Safe to use from several threads.

    Parameters
    ----------
    store : Store
        Where records are kept.
    clock : callable
        Gives the moment, with its offset from UTC.
    planner : Planner or None
        Plans jobs and remembers; None makes one.
    """

    def __init__(
        self,
        store: Store,
        clock: Callable[[], datetime] = lambda: datetime.now(UTC),
        planner: Planner | None = None,
    ) -> None:
        self.store = store
        self.planner = planner or Planner()
        self._clock = clock
        self._read: dict[str, KeptJob] = {}
        self.memory = ShopMemory(store, self.now)

    def now(self) -> str:
        """Give the moment as records hold it.

        Returns
        -------
        str
            UTC.
        """
        return as_moment(self._clock())

    # ------------------------------------------------------------------------------- jobs

    def add_job(self, table: Mapping[str, Any]) -> KeptJob:
        """Keep a new job.

        Parameters
        ----------
        table : mapping
            The tables of its file.

        Returns
        -------
        KeptJob
            As kept.

        Raises
        ------
        InputError
            If it cannot be read, or holds a text that could not be planned.
        Conflict
            If another job has that id.
        """
        job = job_from_table(dict(table))
        refuse_unseen(job)
        try:
            document = self.store.save("job", job.id, tables_of(job), at=self.now(), expected=0)
        except Conflict as error:
            rule, remedy = "is kept here already, with another content", "give this one another id"
            raise Conflict("job", job.id, rule, remedy, error.newest) from error
        return KeptJob(document, job)

    def job(self, id: str, revision: int | None = None) -> KeptJob:
        """Give a job.

        Parameters
        ----------
        id : str
            Its id.
        revision : int or None
            Which revision, the newest unless told [-]

        Returns
        -------
        KeptJob
            The job.

        Raises
        ------
        NotFound
            If there is none.
        """
        document = self.store.document("job", id, revision)
        # A job is asked for again and again while it is edited; it is read when it is another.
        found = self._read.get(id)
        if found is None or found.document != document:
            found = KeptJob(document, job_from_table(document.table))
            self._read[id] = found
        return found

    def jobs(self) -> tuple[KeptJob, ...]:
        """Give the newest revision of every job, by id.

        Returns
        -------
        tuple of KeptJob
            Those put away too.
        """
        return tuple(KeptJob(d, job_from_table(d.table)) for d in self.store.documents("job"))

    def at_hand(self) -> tuple[Document, ...]:
        """Give the jobs that are to be started or on the jig.

        Returns
        -------
        tuple of Document
            The newest revision of each, by id.
        """
        ids = [
            row.id
            for state in ("building", "to start")
            for row in self.store.listings("job", status=state, limit=MOST_AT_HAND)
        ]
        return self.store.documents("job", ids)

    def keep_job(self, job: Job, revision: int, *, put_away: bool = False) -> KeptJob:
        """Keep a further revision of a job.

        Parameters
        ----------
        job : Job
            The job.
        revision : int
            The revision it follows [-]
        put_away : bool
            True to take it out of use.

        Returns
        -------
        KeptJob
            As kept.

        Raises
        ------
        Conflict
            If it was changed elsewhere in the meantime.
        """
        document = self.store.save(
            "job", job.id, tables_of(job), at=self.now(), expected=revision, put_away=put_away
        )
        return KeptJob(document, job)

    def change_job(self, id: str, revision: int, changes: Sequence[Change]) -> KeptJob:
        """Change a job and keep it.

        Parameters
        ----------
        id : str
            Its id.
        revision : int
            The revision the changes were made on [-]
        changes : sequence of Change
            The changes.

        Returns
        -------
        KeptJob
            As kept.

        Raises
        ------
        InputError
            If a change cannot be used, or no plan is possible with it where one was; nothing
            is kept then.
        Conflict
            If it was changed elsewhere in the meantime.
        """
        kept = self.job(id)
        if kept.document.revision != revision:
            raise _elsewhere(kept.document)
        job = edited(kept.job, changes)
        if job.id != id:
            raise SpecError("id", job.id, "must stay as it is", "make another job of it")
        refuse_unseen(job, passed=kept.job)
        self._refuse_breaking(kept.job, job, changes)
        return self.keep_job(job, revision, put_away=kept.document.put_away)

    def _refuse_breaking(self, before: Job, after: Job, changes: Sequence[Change]) -> None:
        """Refuse a change that makes a plan impossible; where there was none, any change goes."""
        try:
            self.plan(after)
        except (InputError, InputErrors, SolveError) as error:
            try:
                self.plan(before)
            except (InputError, InputErrors, SolveError):
                return
            raise at_change(error, changes) from error

    def revert_job(self, id: str, revision: int, to: int) -> KeptJob:
        """Let an older revision's content be the newest.

        Parameters
        ----------
        id : str
            Its id.
        revision : int
            The newest revision as the caller knows it [-]
        to : int
            The older one [-]

        Returns
        -------
        KeptJob
            As kept.

        Raises
        ------
        Conflict
            If it was changed elsewhere in the meantime.
        NotFound
            If there is no such revision.
        """
        return self.keep_job(self.job(id, to).job, revision)

    def spare_of(self, id: str, new_id: str, name: str) -> KeptJob:
        """Make a job for a matched spare: the same line, not built yet.

        Parameters
        ----------
        id : str
            The job it matches.
        new_id, name : str
            Id and name of the new one.

        Returns
        -------
        KeptJob
            As kept.

        Raises
        ------
        Conflict
            If another job has that id.
        """
        job = self.job(id).job.model_copy(update={"build": BuildRecord()})
        return self.add_job(tables_of(job) | {"id": new_id, "name": name})

    def plan(self, job: Job) -> Plan:
        """Plan a job, with what the shop's finished builds say beforehand.

        Parameters
        ----------
        job : Job
            The job.

        Returns
        -------
        Plan
            The plan, perhaps the one made before.

        Raises
        ------
        InputError
            If it contradicts itself or goes over a limit.
        """
        return self.planner.plan(self.memory.knows(job))

    def tried(
        self, id: str, table: Mapping[str, Any] | None, changes: Sequence[Change]
    ) -> tuple[Job, Plan]:
        """Plan a job with changes that are not kept, its +- carried over from the job as kept.

        Parameters
        ----------
        id : str
            The job's id.
        table : mapping or None
            The tables the changes are made on; None for those kept.
        changes : sequence of Change
            The changes.

        Returns
        -------
        job : Job
            With the changes.
        plan : Plan
            As :func:`strandwright.planning.replan.quick_plan` makes it.

        Raises
        ------
        InputError
            If a change cannot be used, or the job then contradicts itself or goes over a limit.
        NotFound
            If there is no such job.
        """
        kept = self.job(id)
        is_kept = table is None or table == kept.document.table
        base = kept.job if table is None or is_kept else job_from_table(dict(table))
        try:
            near = self.plan(kept.job)
        except (InputError, InputErrors, SolveError):
            job = edited(base, changes)
            return job, self.plan(job)
        length = near.target.length.value if is_kept else None
        job = edited(base, changes, length)
        return job, near if job == kept.job else quick_plan(self.memory.knows(job), near)

    # ---------------------------------------------------------------------------- benches

    def keep_bench(self, id: str, table: Mapping[str, Any], revision: int) -> tuple[str, ...]:
        """Keep a bench, and give it to the jobs on it whose build has not begun.

        Parameters
        ----------
        id : str
            Its id.
        table : mapping
            Its tables, as in a job file.
        revision : int
            The revision it follows, 0 for a new one [-]

        Returns
        -------
        tuple of str
            Ids of the jobs that have it now.

        Raises
        ------
        InputError
            If it cannot be read, or an entry cannot be meant.
        Conflict
            If it was changed elsewhere in the meantime.
        """
        bench = read_bench(table)
        before = self.store.document("bench", id).table if revision else None
        passed = None if before is None else read_bench(before)
        refuse_impossible_part(bench, "bench", passed)
        kept = bench.model_dump(mode="json", exclude_defaults=True)
        self.store.save("bench", id, kept, at=self.now(), expected=revision)
        if before is None or before == kept:
            return ()
        changed: list[str] = []
        for document in self.at_hand():
            if document.table.get("bench") == before and not self.store.builds(document.id):
                job = job_from_table(document.table)
                self.keep_job(job.model_copy(update={"bench": bench}), document.revision)
                changed.append(job.id)
        return tuple(changed)


def read_bench(table: Mapping[str, Any]) -> BenchSpec:
    """Read the tables of a bench.

    Parameters
    ----------
    table : mapping
        As in the ``[bench]`` of a job file.

    Returns
    -------
    BenchSpec
        The bench.

    Raises
    ------
    InputError
        For one thing that cannot be used, its field beginning with ``bench``.
    InputErrors
        For several of them.
    """
    return noun_from_table(BenchSpec, dict(table), "bench")


def _elsewhere(document: Document) -> Conflict:
    rule = f"was changed elsewhere; its newest revision is {document.revision}"
    remedy = "look at it again, then change it"
    return Conflict(document.kind, document.id, rule, remedy, document.revision)
