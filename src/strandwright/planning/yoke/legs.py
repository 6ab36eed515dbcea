"""Legs: how the skein is halved, and what turns each half gets."""

from __future__ import annotations

from strandwright.fibre.bundle import bundle_diameter
from strandwright.planning.makings.yoke import leg_turns
from strandwright.planning.result.plan import Plan
from strandwright.planning.result.yoke import LegPlan
from strandwright.planning.strand_stock import known_strand
from strandwright.workshop.job import Job

#: Leg 1 and leg 2 of the model, by the names the technician has for them
NAMES = ("left", "right")


def halved(plan: Plan) -> tuple[LegPlan, LegPlan]:
    """Halve the skein in the order it was wound: the first half goes to the left.

    Parameters
    ----------
    plan : Plan
        The plan, of a line whose far end parts in two legs.

    Returns
    -------
    tuple of LegPlan
        Left and right.
    """
    turns = turns_in_leg(plan.job)
    each = plan.winding.strands // 2
    left: list[tuple[str, str, int]] = []
    right: list[tuple[str, str, int]] = []
    room = each
    for run in plan.winding.runs:
        first = min(run.strands, room)
        room -= first
        if first:
            left.append((run.name, run.colour, first))
        if run.strands > first:
            right.append((run.name, run.colour, run.strands - first))
    return (
        LegPlan(NAMES[0], each, tuple(left), turns),
        LegPlan(NAMES[1], each, tuple(right), turns),
    )


def turns_in_leg(job: Job) -> float:
    """Give the turns that each leg is made with, as the model of its line has them.

    Parameters
    ----------
    job : Job
        The job, of a line whose far end parts in two legs.

    Returns
    -------
    float
        Turns [turn]
    """
    told = job.line.yoke
    assert told is not None
    strand = known_strand(job)
    stock, packing = strand.stock, strand.datum("packing").value
    bundle = bundle_diameter(job.makeup.strands, stock.linear_density, stock.density, packing)
    # Half the strands, of half the area.
    return leg_turns(told, float(bundle) * 0.5**0.5)
