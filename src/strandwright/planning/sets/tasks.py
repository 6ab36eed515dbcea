"""Tasks: the steps of one line as time on the bench, time of hands, and rest."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from strandwright.planning.result import Plan, Step
from strandwright.reference import practice

#: Steps that work takes as long as a row of practice says, by the step's key
_WORK = {
    "read": "reading",
    "proof": "reading",
    "loops": "loops",
    "twist": "turning",
    "serve": "serving_time",
}
#: Steps that are counted with the winding, or that take no time of the bench
_COUNTED = frozenset({"posts", "even", "shift", "tag"})
#: Steps that pull the line, after which it rests before it is read
_LOADING = frozenset({"even", "stretch", "settle", "serve"})


@dataclass(frozen=True)
class Task:
    """One piece of work or waiting.

    Attributes
    ----------
    step, title : str
        The step and what is done.
    kind : str
        ``work``: hands and bench; ``stretch``: the bench alone; ``rest``: neither.
    length : float
        How long [s]
    """

    step: str
    title: str
    kind: str
    length: float


def tasks_of(plan: Plan) -> tuple[Task, ...]:
    """Give the steps of a line as tasks.

    Parameters
    ----------
    plan : Plan
        The line.

    Returns
    -------
    tuple of Task
        In their order; setting the posts is left out, for it depends on who stood there before.

    Notes
    -----
    While it stands under a stretch a line needs its bench but no hands; while it rests it needs
    neither, for it is let down and may be taken off. Common practice, no source.
    """
    return tuple(_tasks(plan))


def _tasks(plan: Plan) -> Iterator[Task]:
    is_wound, is_loaded = False, False
    for step in plan.steps:
        if step.key in ("read", "proof") and is_loaded and plan.rest > 0.0:
            yield Task(step.id or step.key, "rest", "rest", plan.rest)
            is_loaded = False
        if step.key == "wind":
            if not is_wound:
                yield Task("wind", "wind, even out, shift", "work", _minutes("winding"))
            is_wound = True
        elif step.key not in _COUNTED:
            yield from _task(step)
        is_loaded = is_loaded or step.key in _LOADING


def _task(step: Step) -> Iterator[Task]:
    name, title = step.id or step.key, step.title[:1].lower() + step.title[1:]
    if step.key in _WORK:
        yield Task(name, title, "work", _minutes(_WORK[step.key]))
    elif step.dwell:
        yield Task(name, title, "stretch", step.dwell)


def _minutes(row: str) -> float:
    return practice(f"work.{row}").value
