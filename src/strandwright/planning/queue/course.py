"""Course: when a task may begin, and how it goes once it is begun, in open minutes."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

from strandwright.planning.queue.hours import Hours, Wait, Window
from strandwright.planning.queue.nouns import Task

#: Begins beyond every minute that is known [min]
NEVER = 1 << 40


def begin(hours: Hours, task: Task, earliest: int) -> int:
    """Give the first minute at which a task may begin.

    Parameters
    ----------
    hours : Hours
        The hours.
    task : Task
        The task.
    earliest : int
        Not before this open minute [min]

    Returns
    -------
    int
        Open minute; :data:`NEVER` where there is none [min]
    """
    if task.splits:
        return earliest if earliest + task.hands <= hours.bounds[-1] else NEVER
    spans = hours.whole(task.hands)
    for first, last in spans[bisect_left(spans, earliest, key=_last) :]:
        start = max(first, earliest)
        if not task.stands:
            return start
        begun = next_wait(hours, start + task.hands, last + task.hands, task.stands)
        if begun is not None:
            return begun - task.hands
    return NEVER


def next_wait(hours: Hours, first: int, last: int, minutes: int) -> int | None:
    """Give the first minute from which a wait ends while somebody is there.

    Parameters
    ----------
    hours : Hours
        The hours.
    first, last : int
        It begins between these open minutes [min]
    minutes : int
        How long it is by the clock [min]

    Returns
    -------
    int or None
        Open minute; None where there is none [min]
    """
    waits = hours.waits(minutes)
    for wait in waits[bisect_left(waits, first, key=_last) :]:
        start = max(wait.first, first)
        if start > last:
            return None
        if wait.takes is not None:
            return start
    return None


def after_wait(hours: Hours, begun: int, minutes: int) -> int:
    """Give when a wait is over.

    Parameters
    ----------
    hours : Hours
        The hours.
    begun : int
        Open minute at which it begins [min]
    minutes : int
        How long it is by the clock [min]

    Returns
    -------
    int
        Open minute; the closing, where it ends while the shop is closed [min]
    """
    if not minutes:
        return begun
    waits = hours.waits(minutes)
    at = bisect_left(waits, begun, key=_last)
    if at == len(waits):
        return NEVER
    wait = waits[at]
    return wait.until if wait.takes is None else begun + wait.takes


def _last(span: Wait | Window) -> int:
    return span[1]


@dataclass(frozen=True)
class Course:
    """How a task goes once it is begun, in open minutes.

    Attributes
    ----------
    stop, down, free : int
        When the hands are done, when it has stood, when it has rested [min]
    """

    stop: int
    down: int
    free: int


def course(hours: Hours, task: Task, start: int) -> Course:
    """Say how a task goes.

    Parameters
    ----------
    hours : Hours
        The hours.
    task : Task
        The task.
    start : int
        Open minute at which it begins [min]

    Returns
    -------
    Course
        Its ends.
    """
    stop = start + task.hands
    down = after_wait(hours, stop, task.stands)
    return Course(stop, down, after_wait(hours, down, task.rests))
