"""Deal: starts given their benches and hands, and judged: from a solver's answer to a schedule."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from strandwright.planning.queue.course import course
from strandwright.planning.queue.nouns import Flag, Key, Load, Placed, Schedule, Task


def deal(
    load: Load,
    starts: Mapping[Key, int],
    *,
    lateness_bound: int = 0,
    flow_bound: int = 0,
    flags: tuple[Flag, ...] = (),
) -> Schedule:
    """Make the schedule that follows from when each task begins.

    Parameters
    ----------
    load : Load
        Shop and work.
    starts : mapping
        Beginnings by task [min]
    lateness_bound, flow_bound : int
        No schedule has less [min]
    flags : tuple of Flag
        What was fixed and is left out.

    Returns
    -------
    Schedule
        With a bench and a hand for each task.
    """
    placed = [_placed(load, task, starts[task.key]) for work in load.works for task in work.tasks]
    placed.sort(key=lambda p: (p.start, p.task.job, p.stop))
    placed = _handed(load, _benched(load, placed))
    done = {
        work.job: max(p.free for p in placed if p.task.job == work.job)
        for work in load.works
        if work.tasks
    }
    late = {
        work.job: max(0, done[work.job] - work.due)
        for work in load.works
        if work.due is not None and work.job in done
    }
    weights = {work.job: work.weight for work in load.works}
    return Schedule(
        placed=tuple(placed),
        done=done,
        late=late,
        lateness=sum(weights[job] * minutes for job, minutes in late.items()),
        lateness_bound=lateness_bound,
        flow=sum(done.values()) - load.now * len(done),
        flow_bound=flow_bound,
        flags=flags,
    )


def _placed(load: Load, task: Task, start: int) -> Placed:
    ends = course(load.hours, task, start)
    return Placed(task, start, ends.stop, ends.down, ends.free)


def _benched(load: Load, placed: list[Placed]) -> list[Placed]:
    """Deal benches in the order in which lines come to them; a line that stays keeps its own."""
    names = [bench.name for bench in load.benches]
    lies = {work.job: work.lies_on for work in load.works if work.lies_on in names}
    # A bench is free from the minute its last line has left; held without end while one stays.
    free: dict[str, float] = {
        bench.name: float("-inf") if bench.name not in lies.values() else float("inf")
        for bench in load.benches
    }
    kept: dict[str, str] = dict(lies)
    lasts = {work.job: work.tasks[-1].key for work in load.works if work.tasks}
    out: list[Placed] = []
    for p in placed:
        if not p.task.kinds:
            out.append(p)
            continue
        name = kept.pop(p.task.job, "")
        if not name:
            name = next(
                bench.name
                for bench in load.benches
                if bench.kind in p.task.kinds and free[bench.name] <= p.start
            )
        stays = p.task.stays and p.task.key != lasts[p.task.job]
        free[name] = float("inf") if stays else float(p.down)
        if stays:
            kept[p.task.job] = name
        out.append(replace(p, bench=name))
    return out


def _handed(load: Load, placed: list[Placed]) -> list[Placed]:
    """Deal hands in the order of beginnings, whoever has this job in hand first."""
    free = dict.fromkeys(load.hands, float("-inf"))
    whose: dict[str, str] = {}
    out: list[Placed] = []
    for p in placed:
        if not p.task.hands:
            out.append(p)
            continue
        able = [name for name in load.hands if free[name] <= p.start]
        name = whose[p.task.job] if whose.get(p.task.job) in able else able[0]
        whose[p.task.job], free[name] = name, float(p.stop)
        out.append(replace(p, hand=name))
    return out
