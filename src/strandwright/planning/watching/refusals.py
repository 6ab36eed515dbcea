"""Watch refusals: a look at a standing line that this line, or this step of it, cannot have had."""

from __future__ import annotations

from strandwright.errors import SpecError
from strandwright.planning.result import Plan, Step
from strandwright.planning.written import Written
from strandwright.units import Entered
from strandwright.workshop.happenings.bench import Watched

#: A load outside these shares of the step's is not what the line stands under [-]
LOAD_NEAR = (0.25, 1.5)
#: Posts further from where the line should lie than this share of it are not its own [-]
POSTS_NEAR = 0.05


def standing_steps(plan: Plan) -> tuple[Step, ...]:
    """Give the steps in which the line stands under a load for a time.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    tuple of Step
        In the route's order.
    """
    return tuple(s for s in plan.steps if s.load is not None and s.dwell is not None)


def stage_of_stretch(step: str) -> str:
    """Give the recorded state in which the line stands while it is stretched.

    Parameters
    ----------
    step : str
        Identity of the step.

    Returns
    -------
    str
        Short name of the stage.
    """
    stages = {"stretch-bare": "bare", "stretch-twisted": "twisted", "settle-part": "half"}
    return stages.get(step, "proof")


def refuse_unmeant_watch(plan: Plan, seen: Watched) -> None:
    """Refuse a look at a line that stands under no load there, or at posts that are not its own.

    Parameters
    ----------
    plan : Plan
        The plan the build began with.
    seen : Watched
        What was read.

    Raises
    ------
    SpecError
        If the step is none that stands under a load, the load is not of this step, or the posts
        stand where this line cannot.
    """
    standing = {step.id: step.load for step in standing_steps(plan)}
    load = standing.get(seen.step)
    if load is None:
        rule = f"must be a step in which the line stands under a load: {', '.join(standing)}"
        raise SpecError("watched.step", seen.step, rule, "choose one of these")
    if not LOAD_NEAR[0] <= seen.load.si / load <= LOAD_NEAR[1]:
        asked = Written.on(plan.job.paper).force(load)
        rule = f"must be what is left of the load of this step, {asked}"
        raise SpecError("watched.load", seen.load.text, rule, "read it again, and its unit")
    if seen.posts is not None:
        _refuse_other_posts(plan, seen.step, seen.posts)


def _refuse_other_posts(plan: Plan, step: str, posts: Entered) -> None:
    """Refuse posts that stand where this line cannot reach, such as how far they travelled."""
    expected = plan.stage(stage_of_stretch(step)).length.value
    if abs(posts.si - expected) > POSTS_NEAR * expected:
        to = Written.on(plan.job.paper)
        rule = f"must be the distance of the posts, outside to outside, about {to.fine(expected)}"
        remedy = "read the whole distance, not how far they came"
        raise SpecError("watched.posts", posts.text, rule, remedy)
