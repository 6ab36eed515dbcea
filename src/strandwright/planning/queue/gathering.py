"""Gathering: everything that waits in a shop, from its orders, jobs and builds to the board."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import cast

from strandwright.errors import InputError, InputErrors, NotFound, SolveError
from strandwright.planning.desk.builds import Build, Desk
from strandwright.planning.queue.board import Board, Pin, Waiting, rounded_up
from strandwright.planning.queue.hours import Spans
from strandwright.planning.queue.nouns import QueueBench, Task
from strandwright.planning.queue.paces import shop_paces
from strandwright.planning.queue.tasks import queue_tasks
from strandwright.planning.queue.week import USUAL, Week
from strandwright.planning.quote.keeping import kept_terms
from strandwright.planning.result import Plan
from strandwright.planning.sets.standing import standing_of
from strandwright.planning.sets.tasks import is_begun
from strandwright.workshop.documents import Listing
from strandwright.workshop.queue import (
    DueDay,
    QueueSettings,
    minutes_of,
)
from strandwright.workshop.terms import OpenHours

_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
#: Jobs and orders that are looked through, the newest first [-]
_MOST = 5000
#: Orders whose lines are built; a line of another order is in no queue.
_ACCEPTED = "accepted"
#: What one pair of hands is called that nobody named.
HANDS = ("hands",)


def board_of(desk: Desk, settings: QueueSettings) -> Board:
    """Gather everything that waits.

    Parameters
    ----------
    desk : Desk
        The desk.
    settings : QueueSettings
        Its settings.

    Returns
    -------
    Board
        Jobs of accepted orders, and jobs of no order, that are in use and not built.
    """
    orders = {
        job: listing
        for listing in reversed(desk.store.listings("order", limit=_MOST))
        for job in cast(list[str], listing.summary.get("jobs", []))
    }
    jobs = [
        listing.id
        for status in ("to start", "building")
        for listing in desk.store.listings("job", status=status, limit=_MOST)
        if listing.id not in orders or orders[listing.id].status == _ACCEPTED
    ]
    at_the_jig = (
        desk.store.listings("build", owner=jobs, status="at the jig", limit=_MOST) if jobs else ()
    )
    begun = {listing.owner: listing.id for listing in reversed(at_the_jig)}
    kinds = {bench.name: bench.kind or bench.name for bench in settings.benches}
    due = {one.job: one for one in settings.due}
    planned: dict[str, tuple[Plan, frozenset[str]]] = {}
    unplanned: dict[str, str] = {}
    for job in sorted(jobs):
        try:
            planned[job] = plan, _ = _plan(desk, job, begun)
            kinds.setdefault(plan.job.bench.name, plan.job.bench.name)
        except (InputError, InputErrors, SolveError, NotFound) as error:
            unplanned[job] = str(error)
    paces = shop_paces(desk, [plan for plan, _ in planned.values()])
    waiting = [
        _waiting(queue_tasks(plan, (kinds[plan.job.bench.name],), done, paces[job]),
                 plan, done, due.get(job), orders.get(job))
        for job, (plan, done) in planned.items()
    ]  # fmt: skip
    return Board(
        week=week_of(settings, kept_terms(desk.store)[0].open),
        now=rounded_up(local_now(desk)),
        benches=tuple(QueueBench(name, kind) for name, kind in kinds.items()),
        hands=settings.hands or HANDS,
        waiting=_one_to_a_bench(waiting),
        pins=tuple(
            Pin(p.job, p.step, datetime.fromisoformat(p.start) if p.start else None, p.before)
            for p in settings.pins
        ),
        unplanned=unplanned,
    )


def local_now(desk: Desk) -> datetime:
    """Give the moment by the shop's clock, which is that of the computer it runs on.

    Parameters
    ----------
    desk : Desk
        The desk.

    Returns
    -------
    datetime
        Without an offset.
    """
    return datetime.fromisoformat(desk.now()).astimezone().replace(tzinfo=None)


def _plan(desk: Desk, job: str, begun: Mapping[str, str]) -> tuple[Plan, frozenset[str]]:
    if job not in begun:
        return desk.plan(desk.job(job).job), frozenset()
    id = begun[job]
    standing = standing_of(desk, Build(desk.store.build(id), desk.state(id)))
    return standing.plan, standing.done


def _waiting(
    tasks: tuple[Task, ...],
    plan: Plan,
    done: frozenset[str],
    due: DueDay | None,
    order: Listing | None,
) -> Waiting:
    bench = plan.job.bench.name
    wished = order.summary.get("wished_by") if order is not None else None
    day = (due.day if due is not None else None) or wished or None
    return Waiting(
        job=plan.job.id,
        name=plan.job.name,
        tasks=tasks,
        due=date.fromisoformat(day) if day else None,
        weight=due.weight if due is not None else 1,
        ready=date.fromisoformat(due.not_before) if due is not None and due.not_before else None,
        lies_on=bench if is_begun(plan, done) and any(task.stays for task in tasks) else "",
    )


def _one_to_a_bench(waiting: Sequence[Waiting]) -> tuple[Waiting, ...]:
    """Two skeins never lie on one bench; of records that say so the first is believed."""
    taken: set[str] = set()
    found: list[Waiting] = []
    for one in waiting:
        if one.lies_on in taken:
            one = replace(one, lies_on="")
        taken.update([one.lies_on] if one.lies_on else [])
        found.append(one)
    return tuple(found)


def week_of(settings: QueueSettings, usual: Sequence[OpenHours] = ()) -> Week:
    """Give the hours of the shop.

    Parameters
    ----------
    settings : QueueSettings
        The queue's settings.
    usual : sequence of OpenHours
        Those of the shop's terms, where the settings have none.

    Returns
    -------
    Week
        Monday to Friday, nine to five, where nobody said anything.
    """
    hours = settings.hours or usual
    by_day: list[list[tuple[int, int]]] = [[] for _ in _DAYS]
    for one in hours:
        by_day[_DAYS.index(one.day)].append((minutes_of(one.opens), minutes_of(one.closes)))
    extra: dict[date, Spans] = {}
    for one in settings.overtime:
        day = date.fromisoformat(one.day)
        span = minutes_of(one.opens), minutes_of(one.closes)
        extra[day] = (*extra.get(day, ()), span)
    days = tuple(tuple(sorted(spans)) for spans in by_day) if hours else USUAL.days
    return Week(days, frozenset(map(date.fromisoformat, settings.closed)), extra)
