"""Bench checks: what a build told of its jig's ear is kept with the bench, for the next build."""

from __future__ import annotations

from collections.abc import Sequence

from strandwright.errors import Conflict
from strandwright.planning.desk.jobs import JobDesk, read_bench
from strandwright.planning.hearing.checks import check_of
from strandwright.workshop.build_state import BuildState
from strandwright.workshop.documents import Document
from strandwright.workshop.job import Job
from strandwright.workshop.parts import EarCheck

#: Checks that a bench keeps; older ones go [-]
MOST = 40
#: A bench that is changed elsewhere in the same moment is read again so often [-]
_TRIES = 3


def keep_checks(desk: JobDesk, job: Job, before: BuildState, after: BuildState) -> None:
    """Keep a build's new checks with its bench, and take out those that were withdrawn.

    Parameters
    ----------
    desk : JobDesk
        Where benches are kept.
    job : Job
        The job that is built, on a bench of that name.
    before, after : BuildState
        What stood before and after the events that were recorded.
    """
    added = [c for c in after.ear_checks if c not in before.ear_checks]
    gone = [c for c in before.ear_checks if c not in after.ear_checks]
    if not added and not gone:
        return
    new, old = ([check_of(job, seen) for seen in seen_] for seen_ in (added, gone))
    for _ in range(_TRIES):
        document = _bench_of(desk, job)
        if document is None or _kept(desk, document, new, old):
            return


def _bench_of(desk: JobDesk, job: Job) -> Document | None:
    """Find the bench of a job by its name; None where it is kept with the job alone."""
    named = [
        d
        for d in desk.store.documents("bench")
        if not d.put_away and read_bench(d.table).name == job.bench.name
    ]
    return named[0] if len(named) == 1 else None


def _kept(
    desk: JobDesk, document: Document, new: Sequence[EarCheck], old: Sequence[EarCheck]
) -> bool:
    bench = read_bench(document.table)
    checks = [c for c in bench.ear_checks if c not in old]
    checks += [c for c in new if c not in checks]
    changed = bench.model_copy(update={"ear_checks": tuple(checks[-MOST:])})
    table = changed.model_dump(mode="json", exclude_defaults=True)
    try:
        desk.keep_bench(document.id, table, document.revision)
    except Conflict:
        return False
    return True
