"""Keeping sets: a set over a desk, kept with its revisions, planned from the jobs as they are."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from strandwright.errors import (
    Conflict,
    InputError,
    InputErrors,
    NotFound,
    SolveError,
    SpecError,
)
from strandwright.planning.desk.builds import Build, Desk
from strandwright.planning.entries.unseen import refuse_unseen
from strandwright.planning.ports import Store
from strandwright.planning.result import Plan
from strandwright.planning.sets.plan_set import plan_set
from strandwright.planning.sets.result import PlannedSet, Unplanned
from strandwright.planning.sets.standing import Standing, standing_of
from strandwright.workshop.documents import Document
from strandwright.workshop.line_set import LineSet, set_from_table, set_table

Table = dict[str, Any]


@dataclass(frozen=True)
class KeptSet:
    """A set as it is kept.

    Attributes
    ----------
    document : Document
        Its newest revision.
    line_set : LineSet
        It, read.
    """

    document: Document
    line_set: LineSet


def keep_set(
    desk: Desk, table: Mapping[str, Any], revision: int, *, put_away: bool = False
) -> KeptSet:
    """Keep a further revision of a set.

    Parameters
    ----------
    desk : Desk
        The desk.
    table : mapping
        Its tables.
    revision : int
        The revision it follows, 0 for a new one [-]
    put_away : bool
        True to take it out of use; its jobs stay.

    Returns
    -------
    KeptSet
        As kept.

    Raises
    ------
    InputError
        If it cannot be read, or names a job that is not kept.
    InputErrors
        For several such things.
    Conflict
        If it was changed elsewhere in the meantime, or another set has that id.
    """
    line_set = set_from_table(dict(table))
    refuse_unseen(line_set)
    _refuse_unknown_jobs(_kept(desk.store, line_set.jobs), line_set)
    line_set = _without_files(line_set)
    try:
        document = desk.store.save(
            "set", line_set.id, set_table(line_set), at=desk.now(), expected=revision,
            put_away=put_away,
        )  # fmt: skip
    except Conflict as error:
        if revision:
            raise
        rule, remedy = "is kept here already, with another content", "give this one another id"
        raise Conflict("set", line_set.id, rule, remedy, error.newest) from error
    return KeptSet(document, line_set)


def _kept(store: Store, jobs: Iterable[str]) -> set[str]:
    """Give those of these jobs that are kept."""
    return {row.id for row in store.named("job", list(jobs))}


def _refuse_unknown_jobs(kept: Collection[str], line_set: LineSet) -> None:
    errors = tuple(
        SpecError(
            f"lines[{n}].job", job, "must be a job that is kept here",
            "keep that job first, or take the line out of the set",
        )
        for n, job in enumerate(line_set.jobs, 1)
        if job not in kept
    )  # fmt: skip
    if errors:
        raise errors[0] if len(errors) == 1 else InputErrors(errors)


def refuse_other_sets(store: Store, sets: Iterable[LineSet], coming: Collection[str]) -> None:
    """Refuse sets that cannot be taken in, before anything of what comes with them is kept.

    Parameters
    ----------
    store : Store
        Where they are to be kept.
    sets : iterable of LineSet
        The sets.
    coming : collection of str
        Ids of jobs that are taken in with them.

    Raises
    ------
    Conflict
        If a set is kept already with other content, or two of these have one id.
    InputError
        If one names a job that is neither kept nor taken in with it.
    InputErrors
        For several such jobs.
    """
    sets = tuple(sets)
    named = {job for line_set in sets for job in line_set.jobs}
    jobs = _kept(store, named) | set(coming)
    seen: dict[str, LineSet] = {}
    for line_set in map(_without_files, sets):
        revisions = [set_from_table(d.table) for d in store.revisions("set", line_set.id)]
        known = [*revisions, *([seen[line_set.id]] if line_set.id in seen else [])]
        if known and line_set not in known:
            rule = "is kept already with other content"
            raise Conflict("set", line_set.id, rule, "give this one another id in its file")
        _refuse_unknown_jobs(jobs, line_set)
        refuse_unseen(line_set)
        seen[line_set.id] = line_set


def take_in_sets(store: Store, sets: Iterable[LineSet], *, at: str) -> None:
    """Keep sets from their files; what is kept already is left as it is.

    Parameters
    ----------
    store : Store
        Where to keep them.
    sets : iterable of LineSet
        The sets, looked at by :func:`refuse_other_sets`.
    at : str
        Now, UTC.
    """
    for line_set in map(_without_files, sets):
        if not store.revisions("set", line_set.id):
            store.save("set", line_set.id, set_table(line_set), at=at, expected=0)


def _without_files(line_set: LineSet) -> LineSet:
    """Give a set without paths: they mean nothing to whoever opens the store elsewhere."""
    lines = tuple(line.model_copy(update={"file": ""}) for line in line_set.lines)
    return line_set.model_copy(update={"lines": lines})


def kept_set(desk: Desk, id: str) -> KeptSet:
    """Give a set.

    Parameters
    ----------
    desk : Desk
        The desk.
    id : str
        Its id.

    Returns
    -------
    KeptSet
        Its newest revision.

    Raises
    ------
    NotFound
        If there is none.
    """
    document = desk.store.document("set", id)
    return KeptSet(document, set_from_table(document.table))


def kept_sets(desk: Desk) -> tuple[KeptSet, ...]:
    """Give every set, by id.

    Parameters
    ----------
    desk : Desk
        The desk.

    Returns
    -------
    tuple of KeptSet
        Those put away too.
    """
    return tuple(KeptSet(d, set_from_table(d.table)) for d in desk.store.documents("set"))


def newest_builds(desk: Desk, jobs: Iterable[str]) -> dict[str, Build]:
    """Give the newest build of each job that was not put aside.

    Parameters
    ----------
    desk : Desk
        The desk.
    jobs : iterable of str
        The jobs.

    Returns
    -------
    dict
        By the job's id, for those that have one.
    """
    builds = (build for job in dict.fromkeys(jobs) for build in desk.builds(job))
    return {b.head.job_id: b for b in builds if b.state.put_aside is None}


def plan_kept(desk: Desk, line_set: LineSet) -> PlannedSet:
    """Plan a set from the jobs as they are kept now.

    Parameters
    ----------
    desk : Desk
        The desk.
    line_set : LineSet
        The set.

    Returns
    -------
    PlannedSet
        The answers; a line that cannot be planned is told of, and left out of them.
    """
    plans: list[Plan] = []
    unplanned: list[Unplanned] = []
    standing: dict[str, Standing] = {}
    builds = newest_builds(desk, line_set.jobs)
    for job in line_set.jobs:
        try:
            kept = desk.job(job).job
            if job in builds:
                # What lies on the jig is built by its own plan, whatever was learned since.
                standing[job] = standing_of(desk, builds[job])
                plans.append(standing[job].plan)
            else:
                plans.append(desk.plan(kept))
        except (InputError, InputErrors, SolveError, NotFound) as error:
            unplanned.append(Unplanned(job, str(error)))
    return plan_set(
        line_set,
        plans,
        desk.plan,
        unplanned=unplanned,
        proved={job: at.proved for job, at in standing.items() if at.proved is not None},
        built=[job for job, at in standing.items() if at.is_built],
        done={job: at.done for job, at in standing.items()},
    )
