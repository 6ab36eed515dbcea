"""The solver: exact on small shops, bounded on large ones, the same every time."""

from __future__ import annotations

import random
import sys
from dataclasses import replace
from datetime import datetime
from itertools import permutations

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from queue_loads import ALWAYS, judged, line, task, week_of_lines
from strandwright.errors import SpecError
from strandwright.planning.queue.bounds import least_assignment, least_flow, least_lateness
from strandwright.planning.queue.course import NEVER, begin, course
from strandwright.planning.queue.deal import deal
from strandwright.planning.queue.first import first_starts
from strandwright.planning.queue.hours import DAY, Hours
from strandwright.planning.queue.nouns import Load, QueueBench, Schedule, Work
from strandwright.planning.queue.solve import solve

#: How far above its bound the flow time of a large queue may lie: the bound knows no waits [-]
FLOW_GAP = 0.40


def best_of_all(load: Load) -> tuple[int, int]:
    """Lateness and flow of the best schedule, by trying every order in which tasks can be placed.

    Each task goes where it can first go behind all that are placed before it on its bench, its
    hand and its line. For one hand and benches of one kind some order gives the best schedule.
    """
    best = (NEVER, NEVER)
    slots = [n for n, work in enumerate(load.works) for _ in work.tasks]
    for order in set(permutations(slots)):
        found = _placed_in(load, order)
        if found is not None:
            best = min(best, found)
    return best


def _placed_in(load: Load, order) -> tuple[int, int] | None:
    at, free = [0] * len(load.works), [max(load.now, w.ready) for w in load.works]
    hands, benches = load.now, [load.now] * len(load.benches)
    on: list[int | None] = [None] * len(load.works)
    for n in order:
        work = load.works[n]
        one = work.tasks[at[n]]
        earliest = max(free[n], hands if one.hands else 0)
        bench = on[n]
        if one.kinds and bench is None:
            bench = min(range(len(benches)), key=lambda b: benches[b])
            # The fullest bench that is free by then leaves the emptier ones to others.
            able = [b for b in range(len(benches)) if benches[b] <= earliest]
            bench = max(able, key=lambda b: benches[b]) if able else bench
            if benches[bench] >= NEVER:
                return None
            earliest = max(earliest, benches[bench])
        start = begin(load.hours, one, earliest)
        ends = course(load.hours, one, start)
        hands = ends.stop if one.hands else hands
        at[n] += 1
        free[n] = ends.free
        stays = one.stays and at[n] < len(work.tasks)
        on[n] = bench if one.kinds and stays else None
        if one.kinds:
            benches[bench] = NEVER if stays else ends.down
    late = sum(
        w.weight * max(0, f - w.due)
        for w, f in zip(load.works, free, strict=True)
        if w.due is not None
    )
    return late, sum(free) - load.now * len(free)


def small_shop(seed: int) -> Load:
    """Three jobs of up to three tasks in days of two short openings."""
    rng = random.Random(seed)
    windows = tuple((d * DAY + a, d * DAY + b) for d in range(40) for a, b in ((0, 47), (60, 101)))
    works = []
    for name in "ABC"[: rng.randint(2, 3)]:
        tasks = []
        many = rng.randint(1, 3)
        for n in range(many):
            hands = rng.randint(1, 20)
            tasks.append(
                task(
                    name, f"t{n}", hands, stands=rng.choice((0, 0, rng.randint(1, 20))),
                    rests=rng.choice((0, rng.randint(1, 60))),
                    kinds=("posts",), stays=rng.random() < 0.4, splits=rng.random() < 0.4,
                )
            )  # fmt: skip
        works.append(Work(name, name, tuple(tasks), rng.randint(5, 120), rng.randint(1, 4)))
    benches = tuple(QueueBench(f"b{n}", "posts") for n in range(rng.randint(1, 2)))
    return Load(Hours(datetime(2026, 3, 2), windows), benches, ("Ann",), tuple(works))


@pytest.mark.parametrize("seed", range(24))
def test_no_order_of_work_beats_the_solver_on_a_small_shop(seed):
    """Every order tried: none is less late, or as late and sooner done; and that is proved."""
    load = small_shop(seed)
    found = solve(load)
    judged(load, found)
    assert found.is_best
    assert (found.lateness, found.flow) == best_of_all(load)


@pytest.mark.parametrize(("count", "benches", "tight"), [(30, 2, 1.3), (45, 2, 0.9), (60, 3, 1.2)])
def test_a_large_queue_keeps_the_rules_and_lies_near_its_bound(count, benches, tight):
    """Thirty to sixty lines: every rule held, the flow within two fifths of its bound."""
    load = week_of_lines(count, 5, tight=tight, benches=benches)
    found = solve(load, 0.15)
    judged(load, found)
    by_rule = [deal(load, starts) for starts in first_starts(load)]
    assert found.lateness <= min(s.lateness for s in by_rule)
    assert found.flow <= (1.0 + FLOW_GAP) * found.flow_bound
    if tight >= 1.2:
        assert found.lateness == found.lateness_bound == 0


def test_the_same_load_gives_the_same_schedule():
    """Solved twice, every minute is the same."""
    load = week_of_lines(9, 3, tight=0.8)
    assert solve(load, 0.1) == solve(load, 0.1)


def test_a_skein_on_its_bench_keeps_others_off_until_it_is_closed():
    """The line that lies there is closed before another is wound on the same bench."""
    load = Load(
        ALWAYS, (QueueBench("long", "posts"),), ("Ann",),
        (replace(line("LIES"), lies_on="long"), line("NEXT", due=100, weight=9)),
    )  # fmt: skip
    found = solve(load)
    judged(load, found)
    at = {p.task.key: p for p in found.placed}
    assert at["NEXT", "wind"].start >= at["LIES", "loops"].down


def test_what_needs_no_hands_runs_side_by_side():
    """Two lines on two benches stand under load together; on one bench they do not."""
    works = tuple(
        Work(name, name, (task(name, "s", 1, stands=100, kinds=("posts",)),)) for name in "AB"
    )
    two = Load(ALWAYS, (QueueBench("1", "posts"), QueueBench("2", "posts")), ("Ann",), works)
    assert max(solve(two).done.values()) == 102
    one = replace(two, benches=two.benches[:1])
    assert max(solve(one).done.values()) == 202


@pytest.mark.parametrize("seed", range(8))
def test_the_bounds_hold_for_every_schedule(seed):
    """No schedule by rule, and no optimum, lies below a bound."""
    load = small_shop(100 + seed)
    lateness, _ = best_of_all(load)
    assert least_lateness(load) <= lateness
    assert least_flow(load) <= min(total for _, total in _by_rule(load))
    large = week_of_lines(12, seed, tight=0.7)
    assert least_lateness(large) <= min(late for late, _ in _by_rule(large))
    assert least_flow(large) <= min(total for _, total in _by_rule(large))


def _by_rule(load: Load) -> list[tuple[int, int]]:
    found: list[Schedule] = [deal(load, starts) for starts in first_starts(load)]
    return [(s.lateness, s.flow) for s in found]


@pytest.mark.parametrize("size", [1, 2, 7, 40])
def test_the_least_assignment_is_scipys(size):
    """Against scipy.optimize.linear_sum_assignment on random whole costs."""
    costs = np.random.default_rng(size).integers(0, 60, (size, size))
    rows, columns = linear_sum_assignment(costs)
    assert least_assignment(costs) == costs[rows, columns].sum()


def test_an_empty_queue_is_an_empty_schedule():
    """Nothing to do is done at once."""
    assert solve(Load(ALWAYS, (), ("Ann",), ())) == Schedule(())


def test_without_the_solver_it_says_which_extra_to_install(monkeypatch):
    """Everything else works without it, so the error names the extra."""
    monkeypatch.setitem(sys.modules, "ortools.sat.python", None)
    with pytest.raises(SpecError, match=r"install strandwright\[shop\]"):
        solve(small_shop(1))
