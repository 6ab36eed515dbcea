"""Tasks: the steps of one line as time on the bench, time of hands, and rest."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import takewhile

from strandwright.planning.result import Plan, Step
from strandwright.reference import practice

#: Rows of practice that tell how long a step takes, by the step's key
_WORK = {
    "wind": "winding",
    "read": "reading",
    "proof": "reading",
    "stretch": "pull_up",
    "loops": "loops",
    "twist": "turning",
    "serve": "serving_time",
    "halve": "halve",
    "twist-legs": "leg_turns",
    "tie": "tie",
    "match": "match_legs",
    "strap": "strap",
    "swing": "swing",
    "loop": "loop",
    "level": "level",
    "legs": "legs",
    "wax": "wax",
    "lay": "lay",
    "marry": "marry",
    "untwist": "untwist",
    "reinforce": "reinforce",
    "rail": "edge_marks",
}
#: The same where a line is laid in by hand: each bundle is cut, then pulled straight
_LAID = {"wind": "cut_bundle", "even": "pull_up"}
#: Steps that are counted with the first winding of a skein
_WITH_WINDING = frozenset({"even", "shift"})
#: Small acts that are counted with the loops or the strap that they make, and what is done twice
_WITH_LOOPS = frozenset(
    {"serve-loops", "pull", "mark", "posts-out", "hang", "turn-strap", "cut-pieces"}
)
_AGAIN = frozenset({"swing-back", "loop-zero-2", "loop-far-2"})
#: Set by the schedule, for how long it takes hangs on who stood there before
_POSTS = "posts"
#: What comes after the proof is done at the bow: tagging, fitting, tying in, the first cocking
_PROOF, _AT_THE_BOW = "proof", frozenset({"tag", "brace", "tie-in", "cock"})
#: Steps that pull the line, after which it rests before it is read
_LOADING = frozenset({"even", "stretch", "settle", "serve", "match"})
#: Nobody goes to another line for a dwell as short as this [s]
_HANDS_STAY = 300.0
#: Loops that one ``loops`` row closes [-]
_USUAL_LOOPS = 2
#: Every kind of step that is counted, or known to take no time of the bench
COUNTED = frozenset({*_WORK, *_LAID, *_WITH_WINDING, *_WITH_LOOPS, _POSTS, *_AT_THE_BOW})


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
    row : str
        The row of practice that it is reckoned by, without ``work.``; empty for a wait.
    closes : bool
        Whether the last loop of a skein is closed by it: it may leave its posts then.
    """

    step: str
    title: str
    kind: str
    length: float
    row: str = ""
    closes: bool = False


def tasks_of(plan: Plan, done: Collection[str] = ()) -> tuple[Task, ...]:
    """Give the steps of a line as tasks, up to its proof.

    Parameters
    ----------
    plan : Plan
        The line.
    done : collection of str
        Ids of the steps that are behind: they take no more time.

    Returns
    -------
    tuple of Task
        In their order; setting the posts is left out, for it depends on who stood there before.

    Notes
    -----
    While it stands under a stretch a line needs its bench but no hands, once it is pulled up; while
    it rests it needs neither, for it is let down and may be taken off. Common practice, no source.
    """
    return tuple(_tasks(plan, done))


def is_begun(plan: Plan, done: Collection[str]) -> bool:
    """Say whether a line's winding is begun, so that its posts are its own.

    Parameters
    ----------
    plan : Plan
        The line.
    done : collection of str
        Ids of the steps that are behind.

    Returns
    -------
    bool
        True when some of its strands lie there.
    """
    return any(step.id in done for step in plan.steps if step.key == "wind")


def uncounted(plan: Plan) -> tuple[str, ...]:
    """Name the steps up to the proof of which nothing says how long they take.

    Parameters
    ----------
    plan : Plan
        The line.

    Returns
    -------
    tuple of str
        Their titles.
    """
    return tuple(step.title for step in _to_the_proof(plan) if step.key not in COUNTED)


def _to_the_proof(plan: Plan) -> tuple[Step, ...]:
    before = tuple(takewhile(lambda step: step.key != _PROOF, plan.steps))
    return plan.steps[: len(before) + 1]


def _tasks(plan: Plan, done: Collection[str]) -> Iterator[Task]:
    steps = _to_the_proof(plan)
    has_wound, is_loaded = False, False
    last = max((i for i, step in enumerate(steps) if step.key in ("loops", "legs")), default=-1)
    for i, step in enumerate(steps):
        if step.id in done:
            is_loaded = step.key in _LOADING or (is_loaded and step.key != "read")
            continue
        if step.key in ("read", _PROOF) and is_loaded and plan.rest > 0.0:
            yield Task(step.id or step.key, "rest", "rest", plan.rest)
            is_loaded = False
        if step.key == "wind" and plan.laid is None:
            if not has_wound:
                row = _WORK["wind"]
                yield Task("wind", "wind, even out, shift", "work", time_of(row), row)
            has_wound = True
        else:
            yield from _task(step, plan, closes=i == last)
        is_loaded = is_loaded or step.key in _LOADING


def _task(step: Step, plan: Plan, *, closes: bool) -> Iterator[Task]:
    rows = _WORK if plan.laid is None else _WORK | _LAID
    name, title = step.id or step.key, step.title[:1].lower() + step.title[1:]
    if step.key in rows and step.id not in _AGAIN:
        row = rows[step.key]
        length = time_of(row) * (_loops(plan) / _USUAL_LOOPS if step.key == "loops" else 1.0)
        yield Task(name, title, "work", length, row, closes)
    if step.dwell:
        kind = "stretch" if step.dwell > _HANDS_STAY else "work"
        yield Task(name, title, kind, step.dwell)


def _loops(plan: Plan) -> int:
    """Loops of a line: each leg of a split end has one of its own."""
    return _USUAL_LOOPS if plan.yoke is None or not plan.yoke.legs else 1 + len(plan.yoke.legs)


def time_of(row: str) -> float:
    """Give how long a piece of work takes.

    Parameters
    ----------
    row : str
        A row of practice, without ``work.``.

    Returns
    -------
    float
        Time [s]
    """
    return practice(f"work.{row}").value
