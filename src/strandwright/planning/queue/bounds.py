"""Bounds: what no schedule can be better than, reasoned without the solver.

A job alone in the shop is not done sooner than its tasks and the closed hours let it. And the hands
are what all jobs share: when a job is done as the k-th, they have done its own work and that of
k - 1 others, the shortest at least. Either gives a least time for a job in a place; jobs are then
dealt to places at the least cost, which is an assignment, and no schedule costs less.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

import numpy as np
import numpy.typing as npt

from strandwright.planning.queue.first import begin, course
from strandwright.planning.queue.nouns import Load, Work


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


def in_places(load: Load, works: Sequence[Work]) -> npt.NDArray[np.int64]:
    """Give when, at the earliest, each of some jobs is done as the first, the second, ...

    Parameters
    ----------
    load : Load
        The shop.
    works : sequence of Work
        Jobs, of those in the load.

    Returns
    -------
    ndarray, shape (n, n)
        Open minutes, a row for each job [min]
    """
    many = max(len(load.hands), 1)
    rows: list[list[int]] = []
    for work in works:
        others = sorted(other.hands for other in works if other is not work)
        sums = accumulate(others, initial=work.hands)
        soonest = alone(load, work)
        rows.append([max(soonest, load.now + -(-total // many)) for total in sums])
    return np.array(rows, dtype=np.int64).reshape(len(works), len(works))


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
    return least_assignment(in_places(load, works) - load.now)


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
    due = np.array([work.due for work in works], dtype=np.int64)
    weight = np.array([work.weight for work in works], dtype=np.int64)
    over = np.maximum(0, in_places(load, works) - due[:, np.newaxis])
    return least_assignment(weight[:, np.newaxis] * over)


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
