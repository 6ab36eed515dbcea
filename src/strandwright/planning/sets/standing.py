"""Standing: how far the build of a line of a set is, and the plan it is built by."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.planning.desk.builds import Build, Desk
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.planning.sets.pairs import proved_length


@dataclass(frozen=True)
class Standing:
    """One line at the jig, or done.

    Attributes
    ----------
    plan : Plan
        As its readings have it.
    done : frozenset of str
        Ids of the steps that are behind.
    is_built : bool
        Whether it is locked.
    proved : Estimate or None
        Length it was proved at; None before it is built and proved [m]
    """

    plan: Plan
    done: frozenset[str]
    is_built: bool
    proved: Estimate | None


def standing_of(desk: Desk, build: Build) -> Standing:
    """Say how far a build is.

    Parameters
    ----------
    desk : Desk
        The desk.
    build : Build
        The build.

    Returns
    -------
    Standing
        The plan in hand, and what is behind.
    """
    advice = desk.advice(build.head.id)
    is_built = build.state.locked is not None
    return Standing(
        plan=advice.plan,
        done=frozenset(step.id for step in advice.steps if step.done),
        is_built=is_built,
        proved=proved_length(advice.plan) if is_built else None,
    )
