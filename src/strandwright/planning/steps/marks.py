"""What is laid off with the servings: a trial wrap before, places of nock and peep."""

from __future__ import annotations

from collections.abc import Sequence

from strandwright.planning.brace_wish import is_bent
from strandwright.planning.details.marks import kind_of_mark, nock_of
from strandwright.planning.result import Plan, ServingPlan
from strandwright.planning.steps.phrases import place_said
from strandwright.planning.steps.words import Words
from strandwright.planning.written import Written

#: Wraps of a trial: enough to close a calliper's jaws on [-]
_TRIAL = 10


def trial_lines(words: Words, served: Sequence[ServingPlan]) -> list[str]:
    """Say how thick each thread should come out, before anything is served with it.

    Parameters
    ----------
    words : Words
        The plan in words.
    served : sequence of ServingPlan
        What is served at this step.

    Returns
    -------
    list of str
        Lines of the step; none where nothing is served.
    """
    first = {s.thread: s for s in reversed(served)}
    if not first:
        return []
    sizes = ", ".join(
        f"{words.written.small_estimate(s.outside)} over {thread}"
        for thread, s in sorted(first.items())
    )
    return [
        f"a trial first, {_TRIAL} wraps on the bare line at this load: {sizes}",
        "outside of that: mend the tool's drag first, then take another thread (see Fit)",
    ]


def mark_lines(words: Words) -> list[str]:
    """Say where the places of what is tied in later are marked.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    list of str
        Lines of the step; the middle of a crossbow's string has its own.
    """
    plan = words.plan
    kinds = {mark.name: kind_of_mark(mark) for mark in plan.job.line.marks}
    return [
        f"mark {mark.name} at {place_said(words, mark.now)}"
        for mark in plan.marks
        if plan.job.bow.kind != "crossbow" or kinds[mark.name] != "centre"
    ]


def by_nock_said(plan: Plan, serving: ServingPlan) -> str:
    """Say how far a recurve's or longbow's centre serving reaches over and under its nock.

    Parameters
    ----------
    plan : Plan
        The plan.
    serving : ServingPlan
        The serving.

    Returns
    -------
    str
        Empty for any other serving, or where no nock is marked.
    """
    nock = nock_of(plan)
    if serving.use != "centre" or nock is None or not is_bent(plan.job):
        return ""
    to, at = Written.on(plan.job.paper), nock.position.value
    before, after = at - serving.start.value, serving.stop.value - at
    if min(before, after) <= 0.0:
        return ""
    line = plan.job.line
    return (
        f" ({to.length(before)} from {nock.name} towards {line.zero_end.name}, {to.length(after)} "
        f"towards {line.far_end.name})"
    )
