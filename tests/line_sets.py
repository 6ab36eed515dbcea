"""Sets of example lines, planned, for the tests of sets."""

from __future__ import annotations

from functools import cache
from typing import Any

from sample_job import example_plan, job_of
from strandwright.planning.plan_line import plan_line
from strandwright.planning.planner import Planner
from strandwright.planning.result import Plan
from strandwright.planning.sets.plan_set import plan_set
from strandwright.planning.sets.result import PlannedSet
from strandwright.workshop.line_set import LineSet, set_from_table

RIDGE_LINES = ("ridge-string", "ridge-upper-cable", "ridge-lower-cable")
#: Shared: the same jobs are planned by many tests.
PLANNER = Planner(500)


def line_set(*jobs: str, **changes: Any) -> LineSet:
    """Give a set of jobs."""
    lines = [{"job": job} for job in jobs]
    return set_from_table({"id": "S", "name": "lines of a bow", "lines": lines} | changes)


@cache
def ridge_plans() -> tuple[Plan, ...]:
    """Plan the three lines of the ridge bow."""
    return tuple(example_plan(name) for name in RIDGE_LINES)


def changed_plan(name: str = "ridge-upper-cable", **changes: Any) -> Plan:
    """Plan an example with entries changed; a double underscore stands for the point."""
    return PLANNER.plan(job_of(name, {k.replace("__", "."): v for k, v in changes.items()}))


def planned(plans: tuple[Plan, ...], **changes: Any) -> PlannedSet:
    """Plan a set of planned lines."""
    return plan_set(line_set(*(p.job.id for p in plans), **changes), plans, PLANNER.plan)


def twin_of(plan: Plan, id: str, **changes: Any) -> Plan:
    """Plan the same job under another id."""
    job = plan.job.model_copy(update={"id": id, **changes})
    return plan_line(job)
