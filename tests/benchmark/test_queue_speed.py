"""The queue beside a peer: ordering variables in HiGHS, the same shops, both timed in one run.

The peer is the usual mixed-integer model: a start for each task, and for every two tasks that share
hands or a bench a binary that says which goes first. It is told the same shops without closed
hours, for which it needs no further variables at all.
"""

from __future__ import annotations

import random
import sys
import time
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from queue_loads import ALWAYS, judged, line
from strandwright.planning.queue.nouns import Load, QueueBench
from strandwright.planning.queue.solve import solve

#: The peer stops then, with what it has [s]
PATIENCE = 30.0


@dataclass(frozen=True)
class Peer:
    """What the peer found: weighted lateness, its bound, and how long it took."""

    lateness: float
    bound: float
    seconds: float


def shop(count: int, seed: int) -> Load:
    """Lines on two benches of different kinds, one pair of hands, open day and night."""
    rng = random.Random(seed)
    works = tuple(
        line(
            f"J{n}", rng.uniform(0.7, 1.4), kind=rng.choice(("long", "short")),
            due=rng.randint(60, 100 * count), weight=rng.choice((1, 1, 2, 3)),
        )
        for n in range(count)
    )  # fmt: skip
    return Load(ALWAYS, (QueueBench("1", "long"), QueueBench("2", "short")), ("Ann",), works)


def by_ordering(load: Load, patience: float = PATIENCE) -> Peer:
    """Solve the same by ordering variables and HiGHS."""
    tasks = [task for work in load.works for task in work.tasks]
    at = {task.key: n for n, task in enumerate(tasks)}
    late_at = {work.job: len(tasks) + n for n, work in enumerate(load.works)}
    pairs = _pairs(load, at)
    size = len(tasks) + len(load.works) + len(pairs)
    far = float(sum(t.hands + t.stands + t.rests for t in tasks))
    rows: list[tuple[dict[int, float], float]] = []
    for work in load.works:
        for one, other in zip(work.tasks, work.tasks[1:], strict=False):
            took = one.hands + one.stands + one.rests
            rows.append(({at[other.key]: 1.0, at[one.key]: -1.0}, took))
        last = work.tasks[-1]
        took = last.hands + last.stands + last.rests
        rows.append(({late_at[work.job]: 1.0, at[last.key]: -1.0}, took - (work.due or 0)))
    for n, (first, ends, other, other_ends) in enumerate(pairs):
        order = len(tasks) + len(load.works) + n
        # The binary is 1 where the first goes before the other.
        rows.append(({other: 1.0, ends[0]: -1.0, order: -far}, ends[1] - far))
        rows.append(({first: 1.0, other_ends[0]: -1.0, order: far}, other_ends[1]))
    data = [(n, column, value) for n, (row, _) in enumerate(rows) for column, value in row.items()]
    n, column, value = zip(*data, strict=True)
    matrix = coo_array((value, (n, column)), shape=(len(rows), size)).tocsr()
    costs = np.zeros(size)
    for work in load.works:
        costs[late_at[work.job]] = work.weight
    whole = np.zeros(size)
    whole[len(tasks) + len(load.works) :] = 1
    upper = np.full(size, far)
    upper[len(tasks) + len(load.works) :] = 1.0
    lowest: Any = [low for _, low in rows]
    free: Any = (np.zeros(size), upper)
    begun = time.perf_counter()
    found = milp(
        costs,
        constraints=LinearConstraint(matrix, lowest, np.inf),
        bounds=Bounds(*free),
        integrality=whole,
        options={"time_limit": patience},
    )
    seconds = time.perf_counter() - begun
    value = np.inf if found.fun is None else found.fun
    bound = 0.0 if found.mip_dual_bound is None else found.mip_dual_bound
    return Peer(float(value), float(bound), seconds)


def _pairs(load: Load, at: dict) -> list:
    """Whatever cannot be at the same time: first task and end of the one and of the other."""
    hands = [(w, t, t) for w in load.works for t in w.tasks]
    held: dict[str, list] = {}
    for work in load.works:
        first = None
        for task in work.tasks:
            first = first or task
            if not task.stays:
                held.setdefault(task.kinds[0], []).append((work, first, task))
                first = None
    found = []
    for a, b in combinations(hands, 2):
        if a[0] is not b[0]:
            ends = [(at[x[2].key], float(x[2].hands)) for x in (a, b)]
            found.append((at[a[1].key], ends[0], at[b[1].key], ends[1]))
    for spans in held.values():
        for a, b in combinations(spans, 2):
            if a[0] is not b[0]:
                ends = [(at[x[2].key], float(x[2].hands + x[2].stands)) for x in (a, b)]
                found.append((at[a[1].key], ends[0], at[b[1].key], ends[1]))
    return found


@pytest.mark.parametrize("count", [3, 4, 5, 6, 12])
def test_constraint_programming_beside_ordering_variables(count):
    """No later than the peer; where both prove, the same; and the ratio of their times is told."""
    load = shop(count, 7)
    begun = time.perf_counter()
    ours = solve(load, soonest=False)
    took = time.perf_counter() - begun
    judged(load, solve(load, 0.05))
    peer = by_ordering(load)
    sys.stdout.write(
        f"\n{count} lines: ours {ours.lateness} (bound {ours.lateness_bound}) in {took:.2f} s; "
        f"ordering in HiGHS {peer.lateness:.0f} (bound {peer.bound:.0f}) in {peer.seconds:.2f} s; "
        f"ratio {peer.seconds / took:.1f}\n"
    )
    assert ours.lateness <= peer.lateness + 0.5
    assert ours.lateness_bound <= peer.lateness + 0.5
    if ours.is_least_late and peer.bound > peer.lateness - 0.5:
        assert ours.lateness == round(peer.lateness)
