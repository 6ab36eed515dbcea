"""Bench fits: whether each line of a set could be built on each bench that the set uses."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from strandwright.errors import InputError, InputErrors, LimitError, SolveError
from strandwright.planning.result import Plan
from strandwright.planning.sets.result import BenchFit
from strandwright.workshop.job import Job
from strandwright.workshop.parts import BenchSpec, BuildRecord


def bench_fits(plans: Sequence[Plan], planned: Callable[[Job], Plan]) -> tuple[BenchFit, ...]:
    """Say of each line and each bench whether they go together.

    Parameters
    ----------
    plans : sequence of Plan
        The lines; each fits the bench it was planned on.
    planned : callable
        Plans a job, for the other benches.

    Returns
    -------
    tuple of BenchFit
        By bench, then by line in the order given.
    """
    benches: dict[str, BenchSpec] = {}
    for plan in sorted(plans, key=lambda p: (p.job.bench.name, p.job.id)):
        benches.setdefault(plan.job.bench.name, plan.job.bench)
    return tuple(
        _fit(name, bench, plan, planned) for name, bench in benches.items() for plan in plans
    )


def _fit(name: str, bench: BenchSpec, plan: Plan, planned: Callable[[Job], Plan]) -> BenchFit:
    if plan.job.bench == bench:
        return BenchFit(name, plan.job.id, True, "")
    # A setting chosen for one bench's posts says nothing of another's.
    route = plan.job.route.model_copy(update={"wound_at": None})
    job = plan.job.model_copy(update={"bench": bench, "route": route, "build": BuildRecord()})
    try:
        planned(job)
    except LimitError as error:
        return BenchFit(name, plan.job.id, False, f"{error.field} {error.given}: {error.rule}")
    except (InputError, InputErrors, SolveError) as error:
        return BenchFit(name, plan.job.id, False, str(error))
    return BenchFit(name, plan.job.id, True, "")
