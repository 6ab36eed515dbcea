"""Bounds: what no schedule can be better than, reasoned without the solver.

A job alone in the shop is not done sooner than its tasks and the closed hours let it. And the hands
are what all jobs share: when a job is done as the k-th, they have done its own work and that of
k - 1 others, the shortest at least. The same holds of the benches of a kind and the jobs that lie
on them. Each gives a least time for a job in a place; jobs are then dealt to places at the least
cost, which is an assignment, and no schedule costs less. Over the kinds of bench the least costs
add up.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import accumulate

import numpy as np
import numpy.typing as npt

from strandwright.planning.queue.course import begin, course
from strandwright.planning.queue.nouns import Load, Work

_Cost = Callable[[Sequence[Work], npt.NDArray[np.int64]], npt.NDArray[np.int64]]


def alone(load: Load, work: Work) -> int:
    """Give when a job would be done if nothing else were in the shop.

    Parameters
    ----------
    load : Load
        The shop.
    work : Work
        The job.

    Returns
    -------
    int
        Open minute [min]
    """
    clock = max(load.now, work.ready)
    for task in work.tasks:
        clock = course(load.hours, task, begin(load.hours, task, clock)).free
    return clock


def in_places(load: Load, works: Sequence[Work], kind: str = "") -> npt.NDArray[np.int64]:
    """Give when, at the earliest, each of some jobs is done as the first, the second, ...

    Parameters
    ----------
    load : Load
        The shop.
    works : sequence of Work
        Jobs, of those in the load.
    kind : str
        Kind of bench that all of them lie on; empty where hands alone are looked at.

    Returns
    -------
    ndarray, shape (n, n)
        Open minutes, a row for each job [min]
    """
    by_hand = _by_shared(load, [work.hands for work in works], len(load.hands))
    soonest = np.array([alone(load, work) for work in works], dtype=np.int64)
    found = np.maximum(by_hand, soonest[:, np.newaxis])
    if not kind:
        return found
    many = sum(bench.kind == kind for bench in load.benches)
    held = [_held(load, work, kind) for work in works]
    return np.maximum(found, _by_shared(load, held, many))


def _by_shared(load: Load, minutes: Sequence[int], many: int) -> npt.NDArray[np.int64]:
    """When what is shared has done a job's own part and the shortest of others."""
    rows: list[list[int]] = []
    for n, own in enumerate(minutes):
        others = sorted([*minutes[:n], *minutes[n + 1 :]])
        sums = accumulate(others, initial=own)
        rows.append([load.now + -(-total // max(many, 1)) for total in sums])
    return np.array(rows, dtype=np.int64).reshape(len(minutes), len(minutes))


def _held(load: Load, work: Work, kind: str) -> int:
    """Open minutes for which a job's tasks hold a bench of a kind at least."""
    found = 0
    for task in work.tasks:
        if task.kinds == (kind,):
            takes = (w.takes for w in load.hours.waits(task.stands) if w.takes is not None)
            found += task.hands + (min(takes, default=0) if task.stands else 0)
    return found


def _least(load: Load, works: Sequence[Work], cost: _Cost) -> int:
    """By hands over all jobs, or by hands and benches over the jobs of each kind of bench."""
    groups: dict[str, list[Work]] = {}
    for work in works:
        kinds = {task.kinds for task in work.tasks if task.kinds}
        lone = next(iter(kinds)) if len(kinds) == 1 else ()
        groups.setdefault(lone[0] if len(lone) == 1 else "", []).append(work)
    apart = sum(
        least_assignment(cost(here, in_places(load, here, kind))) for kind, here in groups.items()
    )
    return max(apart, least_assignment(cost(works, in_places(load, works))))


def least_flow(load: Load) -> int:
    """Give what flow time no schedule is below.

    Parameters
    ----------
    load : Load
        Shop and work.

    Returns
    -------
    int
        From now to done, over all jobs [min]
    """
    works = [work for work in load.works if work.tasks]
    return _least(load, works, lambda here, ends: ends - load.now)


def least_lateness(load: Load) -> int:
    """Give what lateness no schedule is below.

    Parameters
    ----------
    load : Load
        Shop and work.

    Returns
    -------
    int
        Minutes late, each counted by its job's weight [min]
    """
    works = [work for work in load.works if work.tasks and work.due is not None]
    return _least(load, works, _late)


def _late(works: Sequence[Work], ends: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    due = np.array([work.due for work in works], dtype=np.int64)
    weight = np.array([work.weight for work in works], dtype=np.int64)
    return weight[:, np.newaxis] * np.maximum(0, ends - due[:, np.newaxis])


def least_assignment(costs: npt.NDArray[np.int64]) -> int:
    """Deal each row a column of its own at the least cost (shortest augmenting paths).

    Parameters
    ----------
    costs : ndarray, shape (n, n)
        What each row costs at each column, whole numbers [-]

    Returns
    -------
    int
        The least sum [-]

    References
    ----------
    .. [1] R. Jonker, A. Volgenant, A shortest augmenting path algorithm for dense and sparse
       linear assignment problems, Computing 38, 1987, 325-340.
    """
    size, far = len(costs), np.iinfo(np.int64).max // 4
    row_price = np.zeros(size, np.int64)
    column_price = np.zeros(size + 1, np.int64)
    owner = np.full(size + 1, -1)
    for row in range(size):
        owner[size], column = row, size
        least, came = np.full(size, far), np.full(size, size)
        seen = np.zeros(size + 1, bool)
        while owner[column] >= 0:
            seen[column] = True
            at = owner[column]
            over = costs[at] - row_price[at] - column_price[:size]
            nearer = ~seen[:size] & (over < least)
            least[nearer], came[nearer] = over[nearer], column
            ahead = int(np.argmin(np.where(seen[:size], far, least)))
            step = least[ahead]
            row_price[owner[seen]] += step
            column_price[seen] -= step
            least[~seen[:size]] -= step
            column = ahead
        while column != size:
            owner[column], column = owner[came[column]], came[column]
    return int(costs[owner[:size], np.arange(size)].sum())
