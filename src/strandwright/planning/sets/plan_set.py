"""Planning a set: from the plans of its lines to what they say together."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence

from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.planning.sets.agreement import checks_of
from strandwright.planning.sets.bench_fits import bench_fits
from strandwright.planning.sets.certainty import set_chance
from strandwright.planning.sets.cutting import cut_list
from strandwright.planning.sets.heeding import heeds_of
from strandwright.planning.sets.pairs import pair_answers, proved_length
from strandwright.planning.sets.result import PlannedSet, Unplanned
from strandwright.planning.sets.schedule import make_schedule
from strandwright.planning.sets.tasks import is_begun
from strandwright.planning.sets.winding_order import winding_orders
from strandwright.workshop.job import Job
from strandwright.workshop.line_set import LineSet


def in_order(plans: Iterable[Plan]) -> tuple[Plan, ...]:
    """Put the lines of a set in one order, whatever order they were named in.

    Parameters
    ----------
    plans : iterable of Plan
        The lines.

    Returns
    -------
    tuple of Plan
        Strings before cables, the longest first, then by the id of the job.
    """
    return tuple(
        sorted(
            plans,
            key=lambda p: (p.job.line.kind != "string", -p.target.length.value, p.job.id),
        )
    )


def plan_set(
    line_set: LineSet,
    plans: Iterable[Plan],
    planned: Callable[[Job], Plan],
    *,
    unplanned: Sequence[Unplanned] = (),
    proved: Mapping[str, Estimate] | None = None,
    built: Collection[str] = (),
    done: Mapping[str, Collection[str]] | None = None,
) -> PlannedSet:
    """Say what the lines of a set say together.

    Parameters
    ----------
    line_set : LineSet
        The set.
    plans : iterable of Plan
        The plan of each line that has one.
    planned : callable
        Plans a job, to see whether a line fits a bench that is not its own.
    unplanned : sequence of Unplanned
        Lines that have no plan.
    proved : mapping or None
        Lengths that lines were proved at, by job, where they are known from their builds [m]
    built : collection of str
        Ids of lines that are built already: they are wound no more.
    done : mapping or None
        Ids of the steps that are behind, by job, of lines that are on the jig.

    Returns
    -------
    PlannedSet
        The answers, the same in whatever order the lines were named.
    """
    lines = in_order(plans)
    read = {plan.job.id: length for plan in lines if (length := proved_length(plan)) is not None}
    left = [plan for plan in lines if plan.job.id not in built]
    behind = done or {}
    to_wind = [plan for plan in left if not is_begun(plan, behind.get(plan.job.id, ()))]
    orders = winding_orders(to_wind)
    wound = {job: n for n, job in enumerate(job for order in orders for job in order.jobs)}
    return PlannedSet(
        line_set=line_set,
        plans=lines,
        unplanned=tuple(sorted(unplanned, key=lambda u: u.job)),
        cut=cut_list(lines, line_set.spool),
        orders=orders,
        fits=bench_fits(lines, planned),
        schedule=make_schedule(
            sorted(left, key=lambda p: (p in to_wind, wound.get(p.job.id, len(wound)))), behind
        ),
        checks=checks_of(line_set, lines),
        pairs=pair_answers(line_set, lines, {**read, **(proved or {})}),
        chance=set_chance(left),
        built=tuple(plan.job.id for plan in lines if plan.job.id in built),
        heeds=heeds_of(left, behind),
    )
