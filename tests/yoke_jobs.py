"""Jobs of split-yoke cables for tests: invented, in inches and pounds."""

from __future__ import annotations

from functools import cache

from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import example
from strandwright.planning.plan_line import plan_line
from strandwright.planning.result import Plan
from strandwright.workshop.job import Job, job_from_table


def yoke_job(*legs: dict[str, object], **yoke: object) -> Job:
    """The upper cable of the crag bow, with both legs read so, its yoke changed."""
    table = tables_of(example("CRAG-2"))
    table["line"]["yoke"] |= yoke
    table["line"]["yoke"] = {k: v for k, v in table["line"]["yoke"].items() if v is not None}
    if legs:
        table["build"] = {"legs": list(legs)}
    return job_from_table(table)


def strap_cable(**strap: object) -> Job:
    """The same with a strap in its eye, on a bench whose posts come near."""
    table = tables_of(example("CRAG-2"))
    line = table["line"]
    line["yoke"] |= {"made": "strap"} | ({"strap": strap} if strap else {})
    line["servings"] = [s for s in line["servings"] if s.get("use") != "throat"]
    line["shorthand"] = "35 1/2: 0-9 1/4, 14 3/4-20 1/2, 3 3/4-0"
    table["bench"].pop("shortest")
    return job_from_table(table)


@cache
def yoke_plan() -> Plan:
    """Its plan as it stands."""
    return plan_line(yoke_job())


@cache
def strap_plan() -> Plan:
    """The plan of the cable with a strap."""
    return plan_line(strap_cable())


def plan_read(*legs: dict[str, object], **yoke: object) -> Plan:
    """Its plan with both legs read so."""
    return plan_line(yoke_job(*legs, **yoke))
