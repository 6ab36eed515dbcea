"""First: a schedule by rule, at once: what the solver begins with, and how far it need look.

Of the tasks that could begin next, the one that can begin first is taken; of those, the job that
presses most. Several ways to press are tried, and the least late kept.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from strandwright.planning.queue.course import NEVER, begin, course
from strandwright.planning.queue.hours import Hours
from strandwright.planning.queue.nouns import Key, Load, Task, Work

#: Openings that are looked at for how long a task may have to wait to begin [-]
_LOOKED_AT = 60
Press = Callable[[Work, int], float]


@dataclass
class _Way:
    """A job on its way through its tasks."""

    work: Work
    free: int
    at: int = 0
    bench: int | None = None


_Found = tuple[int, int | None, int | None]


@dataclass
class _Floor:
    """When benches and hands are free."""

    load: Load
    benches: list[int]
    hands: list[int]
    over: dict[Key, int] = field(default_factory=dict[Key, int])
    begun: dict[Key, int] = field(default_factory=dict[Key, int])

    def next(self, way: _Way) -> _Found:
        """Start, bench and hand of a job's next task as soon as it can begin."""
        task = way.work.tasks[way.at]
        earliest = max([way.free, *(self.over.get(key, NEVER) for key in task.after)])
        earliest = max(earliest, self._fixed(way, task))
        bench, hand = way.bench, None
        if task.kinds and bench is None:
            pairs = enumerate(self.load.benches)
            free = [(self.benches[n], n) for n, b in pairs if b.kind in task.kinds]
            earliest, bench = _freed(earliest, free)
        if task.hands:
            earliest, hand = _freed(earliest, [(at, n) for n, at in enumerate(self.hands)])
        return begin(self.load.hours, task, earliest), bench, hand

    def _fixed(self, way: _Way, task: Task) -> int:
        """Not before this, by what was fixed: its own start, or a job that it goes behind."""
        earliest = 0
        for fixed in self.load.fixed:
            if (fixed.job, fixed.step) == task.key and fixed.start is not None:
                earliest = max(earliest, fixed.start)
            if fixed.before == task.job and way.at == 0:
                first = next(w.tasks[0] for w in self.load.works if w.job == fixed.job)
                earliest = max(earliest, self.begun.get(first.key, NEVER) + first.hands)
        return earliest

    def take(self, way: _Way, found: _Found) -> None:
        """Let a job's next task be done."""
        start, bench, hand = found
        task = way.work.tasks[way.at]
        ends = course(self.load.hours, task, start)
        if hand is not None:
            self.hands[hand] = ends.stop
        self.begun[task.key] = start
        self.over[task.key] = way.free = ends.free
        way.at += 1
        stays = task.stays and way.at < len(way.work.tasks)
        way.bench = bench if task.kinds and stays else None
        if task.kinds and bench is not None:
            self.benches[bench] = NEVER if stays else ends.down


def _freed(earliest: int, free: list[tuple[int, int]]) -> tuple[int, int | None]:
    """When the first of some is free, and which; of those that are by then, the last to be."""
    if not free:
        return NEVER, None
    first = max(earliest, min(free)[0])
    return first, max((at, -n) for at, n in free if at <= first)[1] * -1


def dispatch(load: Load, press: Press) -> dict[Key, int]:
    """Lay everything out by rule.

    Parameters
    ----------
    load : Load
        Shop and work.
    press : callable
        How much a job presses at an open minute; the lowest goes first [-]

    Returns
    -------
    dict
        Open minute at which each task begins; empty where there is no way through, or where what
        was fixed is missed, for nothing is kept free for it [min]
    """
    names = [bench.name for bench in load.benches]
    floor = _Floor(load, [load.now] * len(load.benches), [load.now] * len(load.hands))
    ways = [_Way(work, max(load.now, work.ready)) for work in load.works]
    for way in ways:
        if way.work.lies_on in names:
            way.bench = names.index(way.work.lies_on)
            floor.benches[way.bench] = NEVER
    while left := [way for way in ways if way.at < len(way.work.tasks)]:
        ahead = [(floor.next(way), way) for way in left]
        soonest = min(found[0] for found, _ in ahead)
        if soonest >= NEVER:
            return {}
        found, way = min(
            ((f, w) for f, w in ahead if f[0] == soonest),
            key=lambda pair: (press(pair[1].work, soonest), pair[1].work.job),
        )
        floor.take(way, found)
    is_kept = all(
        fixed.start is None or floor.begun[fixed.job, fixed.step] == fixed.start
        for fixed in load.fixed
    )
    return floor.begun if is_kept else {}


def _due(work: Work, minute: int) -> float:
    """By due date."""
    del minute
    return float("inf") if work.due is None else float(work.due)


def _short(work: Work, minute: int) -> float:
    """The least handwork first, a weighty job sooner."""
    del minute
    return work.hands / max(work.weight, 1)


def _slack(work: Work, minute: int) -> float:
    """What is late already or about to be goes first, the least handwork for its weight."""
    if work.due is None:
        return float("inf")
    spare = max(0, work.due - minute - 2 * work.hands)
    return (work.hands + 1) * (1.0 + spare / 120.0) / max(work.weight, 1)


RULES: tuple[Press, ...] = (_due, _slack, _short)


def first_starts(load: Load) -> tuple[dict[Key, int], ...]:
    """Lay everything out by each rule.

    Parameters
    ----------
    load : Load
        Shop and work.

    Returns
    -------
    tuple of dict
        Beginnings by task, for each rule that found its way through [min]
    """
    return tuple(starts for rule in RULES if (starts := dispatch(load, rule)))


def far_end(load: Load) -> int:
    """Give a minute that no schedule worth having goes beyond.

    Parameters
    ----------
    load : Load
        Shop and work.

    Returns
    -------
    int
        Open minute by which all is done if every task waits for the one before it, its own wait is
        as long as it can be by the open clock, and it just misses its last chance to begin before
        closing; :data:`NEVER` where the hours that are known do not reach so far [min]
    """
    clock = max([load.now, *(w.ready for w in load.works), *(f.start or 0 for f in load.fixed)])
    shapes: dict[tuple[int, bool, int], int] = {}
    for work in load.works:
        for task in work.tasks:
            shape = task.hands, task.splits, task.stands
            if shape not in shapes:
                shapes[shape] = _longest_miss(load.hours, task)
            clock += shapes[shape] + task.hands + task.stands + task.rests
    return clock if clock < load.hours.bounds[-1] else NEVER


def _longest_miss(hours: Hours, task: Task) -> int:
    """How long a task at most waits until it may begin, looked at over the first weeks."""
    if task.splits:
        return 0
    spans = hours.whole(task.hands)[:_LOOKED_AT]
    misses = [last + 1 for _, last in spans]
    if task.stands:
        waits = hours.waits(task.stands)[: 2 * _LOOKED_AT]
        misses += [wait.last + 1 - task.hands for wait in waits]
    found = [begin(hours, task, miss) - miss for miss in (0, *misses) if miss >= 0]
    # Behind the last opening that is known there is none; the whole is held to that opening anyway.
    return found[0] if found[0] >= NEVER else max(miss for miss in found if miss < NEVER // 2)
