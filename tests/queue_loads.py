"""Loads for the queue's tests: a small shop, random work, and the rules any schedule keeps."""

from __future__ import annotations

import random
from collections.abc import Sequence
from datetime import date
from itertools import pairwise

from strandwright.planning.queue.hours import Hours
from strandwright.planning.queue.nouns import Act, Load, QueueBench, Schedule, Task, Work
from strandwright.planning.queue.week import USUAL

MONDAY = date(2026, 3, 2)
ALWAYS = Hours(USUAL.hours(MONDAY, 1).origin, ((0, 10**6),))


def task(job: str, step: str, hands: int, **given) -> Task:
    """One task with one act."""
    acts = (Act(step, step, hands),) if hands else ()
    return Task(job, step, acts, hands, **given)


def line(job: str, scale: float = 1.0, kind: str = "posts", due=None, weight: int = 1) -> Work:
    """A line made as usual: wound and stretched, closed and twisted, stretched, served, proved."""

    def m(minutes: float) -> int:
        return max(1, round(minutes * scale))

    kinds = (kind,)
    tasks = (
        task(job, "wind", m(22), stands=m(30), rests=15, kinds=kinds, stays=True),
        task(job, "loops", m(39), kinds=kinds, splits=True),
        task(job, "stretch", 3, stands=m(15), rests=15, kinds=kinds),
        task(job, "serve", m(32), rests=15, kinds=kinds, splits=True),
        task(job, "proof", 2, kinds=kinds, splits=True),
    )
    return Work(job, job, tasks, due, weight)


def week_of_lines(count: int, seed: int, *, tight: float = 1.0, benches: int = 2) -> Load:
    """Random lines with due days spread over about as long as their handwork takes."""
    rng = random.Random(seed)
    hours = USUAL.hours(MONDAY, 200)
    works: list[Work] = []
    for n in range(count):
        day = int(rng.uniform(0.2, 1.0) * count * 98 / 480 * tight)
        due = hours.bounds[day + 1]
        works.append(
            line(f"J{n:02}", rng.uniform(0.7, 1.5), due=due, weight=rng.choice((1, 1, 1, 2, 3)))
        )
    shop = tuple(QueueBench(f"bench {n + 1}", "posts") for n in range(benches))
    return Load(hours, shop, ("Ann",), tuple(works))


def judged(load: Load, schedule: Schedule) -> None:
    """Hold a schedule to every rule of the shop, apart from the solver's model."""
    hours, placed = load.hours, {p.task.key: p for p in schedule.placed}
    assert set(placed) == {t.key for w in load.works for t in w.tasks}
    for work in load.works:
        free = max(load.now, work.ready)
        for one in work.tasks:
            p = placed[one.key]
            assert p.start >= free and p.stop == p.start + one.hands
            free = p.free
            _by_the_clock(hours, p)
            assert all(p.start >= placed[key].free for key in one.after)
        if work.tasks:
            assert schedule.done[work.job] == free
            if work.due is not None:
                assert schedule.late[work.job] == max(0, free - work.due)
    for name in load.hands:
        _apart([(p.start, p.stop) for p in schedule.placed if p.hand == name])
    for bench in load.benches:
        _apart(_held(load, schedule, bench.name))
        for p in schedule.placed:
            assert p.bench != bench.name or bench.kind in p.task.kinds
    assert all(bool(p.hand) == bool(p.task.hands) for p in schedule.placed)
    assert all(bool(p.bench) == bool(p.task.kinds) for p in schedule.placed)
    weights = {work.job: work.weight for work in load.works}
    assert schedule.lateness == sum(weights[j] * late for j, late in schedule.late.items())
    assert schedule.lateness_bound <= schedule.lateness
    assert schedule.flow_bound <= schedule.flow


def _by_the_clock(hours: Hours, p) -> None:
    """Handwork in open hours, a load let down while somebody is there, rests as long as told."""
    start, stop = hours.begins(p.start), hours.ends(p.stop) if p.task.hands else None
    stop = hours.begins(p.start) if stop is None else stop
    if not p.task.splits:
        assert stop - start == p.task.hands
    down = stop + p.task.stands
    if p.task.stands:
        assert any(a <= down <= b for a, b in hours.windows)
        assert hours.ends(p.down) == down or hours.begins(p.down) == down
    if p.task.rests:
        assert hours.begins(p.free) >= down + p.task.rests


def _held(load: Load, schedule: Schedule, bench: str) -> list[tuple[int, int]]:
    spans: list[tuple[int, int]] = []
    for work in load.works:
        here = [p for one in work.tasks for p in schedule.placed if p.task.key == one.key]
        here = [p for p in here if p.bench]
        begun: int | None = load.now if work.lies_on else None
        for n, p in enumerate(here):
            begun = p.start if begun is None else begun
            if p.task.stays and n + 1 < len(here):
                assert here[n + 1].bench == p.bench
                continue
            if p.bench == bench:
                spans.append((begun, p.down))
            begun = None
    return spans


def _apart(spans: Sequence[tuple[int, int]]) -> None:
    ordered = sorted(spans)
    for (_, stop), (start, _) in pairwise(ordered):
        assert stop <= start
