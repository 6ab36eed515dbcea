"""Operations: the steps of a plan as acts of hands, and as time that a line stands or rests."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from strandwright.planning.result import Plan
from strandwright.planning.sets.tasks import Task, tasks_of, time_of

#: Row of practice for setting the posts, without ``work.``
SETTING = "set_posts"
#: What an act is called, by its row of practice, where several steps come under one row
_TITLES = {
    "winding": "wind, even out, shift",
    "reading": "read lengths",
    "pull_up": "pull up to load",
    "turning": "twist",
    "loops": "close the loops",
    "serving_time": "mark and serve",
    "cut_bundle": "cut the bundles",
    "lay": "lay the loops",
    "marry": "marry the tails in",
    "loop": "serve the loops on the arms",
    "legs": "serve the legs of the loops",
    "swing": "swing the arms",
    "level": "swing the arms back",
    SETTING: "set the posts",
}


@dataclass(frozen=True)
class Operation:
    """One act of hands in the making of a line.

    Attributes
    ----------
    step, title : str
        The step it belongs to, and what is done.
    row : str
        Row of practice that it is reckoned by, without ``work.``.
    amount : float
        How many times what the row means [-]
    """

    step: str
    title: str
    row: str
    amount: float


@dataclass(frozen=True)
class Operations:
    """What is done to make a line, up to its proof.

    Attributes
    ----------
    acts : tuple of Operation
        Work of hands, in order.
    fixed : dict of str to float
        Short dwells that hands stay for, by step [s]
    stands : float
        Stands under its stretch: the bench, no hands [s]
    rests : float
        Rests: neither bench nor hands [s]
    waits : frozenset of str
        Steps with a stretch or a rest in them.
    """

    acts: tuple[Operation, ...]
    fixed: dict[str, float]
    stands: float
    rests: float
    waits: frozenset[str]


def operations_of(plan: Plan) -> Operations:
    """Give the operations of a line.

    Parameters
    ----------
    plan : Plan
        The line.

    Returns
    -------
    Operations
        The posts' setting first, once for the line.
    """
    tasks = tasks_of(plan)
    acts = [Operation(first_step(plan, "posts"), "set the posts", SETTING, 1.0)]
    fixed: dict[str, float] = {}
    for task in tasks:
        step = _step(plan, task)
        if task.kind == "work" and task.row:
            acts.append(Operation(step, task.title, task.row, task.length / time_of(task.row)))
        elif task.kind == "work":
            fixed[step] = fixed.get(step, 0.0) + task.length
    return Operations(
        acts=tuple(acts),
        fixed=fixed,
        stands=math.fsum(t.length for t in tasks if t.kind == "stretch"),
        rests=math.fsum(t.length for t in tasks if t.kind == "rest"),
        waits=frozenset(_step(plan, t) for t in tasks if t.kind != "work"),
    )


def first_step(plan: Plan, key: str) -> str:
    """Give the identity of the first step of a kind.

    Parameters
    ----------
    plan : Plan
        The line.
    key : str
        The step's key.

    Returns
    -------
    str
        The key itself where there is no such step.
    """
    return next((step.id or step.key for step in plan.steps if step.key == key), key)


def title_of(row: str, acts: Iterable[Operation]) -> str:
    """Give what the acts of a row are called together.

    Parameters
    ----------
    row : str
        The row, without ``work.``.
    acts : iterable of Operation
        Acts, of this row and others.

    Returns
    -------
    str
        In words.
    """
    if row in _TITLES:
        return _TITLES[row]
    return next(act.title for act in acts if act.row == row)


def _step(plan: Plan, task: Task) -> str:
    """Winding is one task for all its colours; it stands under the first."""
    return first_step(plan, "wind") if task.step == "wind" else task.step
