"""Tasks: what is left of a plan as stretches of handwork, each with the wait it leaves behind."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from itertools import pairwise

from strandwright.planning.queue.nouns import Act, Task
from strandwright.planning.result import Plan
from strandwright.planning.sets.tasks import Task as Operation
from strandwright.planning.sets.tasks import is_begun, tasks_of, time_of

#: Row of practice for setting the posts, without ``work.``
SETTING = "set_posts"
#: Work that is not left half done over night: a count may be lost, a load would stand unwatched.
_WHOLE = frozenset({"winding", "pull_up", "cut_bundle", ""})


def queue_tasks(
    plan: Plan,
    kinds: tuple[str, ...],
    done: Collection[str] = (),
    pace: Mapping[str, float] | None = None,
) -> tuple[Task, ...]:
    """Give what is left of a line up to its proof.

    Parameters
    ----------
    plan : Plan
        The line.
    kinds : tuple of str
        Kinds of bench that can hold it.
    done : collection of str
        Ids of the steps that are behind.
    pace : mapping or None
        How much longer than practice this shop takes, by row of practice [-]

    Returns
    -------
    tuple of Task
        In their order. Acts that follow each other are one task as long as both may be broken off
        at closing, or neither; a stretch or a rest ends a task.

    Notes
    -----
    The posts are set once for each line, with its first act; that two lines in a row may stand on
    the same setting is not counted upon. Whole minutes, rounded up. What may be broken off is
    common practice, no source.
    """
    operations = list(tasks_of(plan, done))
    pace = pace or {}
    closed_by = next((n for n, one in enumerate(operations) if one.closes), -1)
    found: list[Task] = []
    for first, last in _groups(operations):
        here = operations[first:last]
        hands = [one for one in here if one.kind == "work"]
        acts = _joined([_act(one, pace) for one in hands])
        if first == 0 and hands and plan.laid is None and not is_begun(plan, done):
            acts.insert(0, Act("posts", "set the posts", _minutes(SETTING, 1.0, pace)))
        found.append(
            Task(
                job=plan.job.id,
                step=here[0].step,
                acts=tuple(acts),
                hands=sum(act.minutes for act in acts),
                stands=_waits(here, "stretch"),
                rests=_waits(here, "rest"),
                # A rest that is all that is left of a step needs no bench.
                kinds=kinds if hands or last - 1 <= closed_by else (),
                stays=last - 1 < closed_by,
                splits=bool(hands) and all(one.row not in _WHOLE for one in hands),
            )
        )
    return tuple(_named_apart(found))


def _groups(operations: list[Operation]) -> Iterator[tuple[int, int]]:
    """From where to where operations make one task."""
    begins = [0] * bool(operations)
    for n, (one, other) in enumerate(pairwise(operations), 1):
        waits = one.kind != "work" and other.kind == "work"
        apart = one.kind == other.kind == "work" and (one.row in _WHOLE) != (other.row in _WHOLE)
        # A stretch belongs to the pull-up before it; a second stretch or a stretch after a rest
        # would be another pull-up.
        again = one.kind != "work" and other.kind == "stretch"
        if waits or apart or again:
            begins.append(n)
    yield from pairwise([*begins, len(operations)])


def _joined(acts: list[Act]) -> list[Act]:
    """Tell an act and the short dwell that hands stay for as one."""
    found: list[Act] = []
    for act in acts:
        if found and (found[-1].step, found[-1].title) == (act.step, act.title):
            act = Act(act.step, act.title, found.pop().minutes + act.minutes)
        found.append(act)
    return found


def _act(one: Operation, pace: Mapping[str, float]) -> Act:
    if not one.row:
        return Act(one.step, one.title, math.ceil(one.length / 60.0))
    return Act(one.step, one.title, _minutes(one.row, one.length / time_of(one.row), pace))


def _minutes(row: str, amount: float, pace: Mapping[str, float]) -> int:
    return max(1, math.ceil(amount * time_of(row) * pace.get(row, 1.0) / 60.0 - 1e-6))


def _waits(here: list[Operation], kind: str) -> int:
    return math.ceil(math.fsum(one.length for one in here if one.kind == kind) / 60.0)


def _named_apart(tasks: list[Task]) -> Iterator[Task]:
    """Let no two tasks of a line begin with the same step: the later takes its next act's."""
    seen: set[str] = set()
    for n, task in enumerate(tasks):
        names = [task.step, *(act.step for act in task.acts), f"{task.step}-{n}"]
        step = next(name for name in names if name not in seen)
        seen.add(step)
        yield replace(task, step=step)
