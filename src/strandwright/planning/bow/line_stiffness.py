"""Stiffness of the line that a bow is asked about, thicker ends and legs and all."""

from __future__ import annotations

from strandwright.planning.prepare import at_mean, prepare
from strandwright.planning.result import Plan


def line_stiffness_of(plan: Plan) -> float:
    """Give the stiffness of a plan's line as a whole.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    float
        EA at the means of what is known, secant to break [N]
    """
    prepared = prepare(plan.job, plan.target.length.value, plan.parameters)
    return float(prepared.model.line_stiffness(at_mean(plan.parameters))[0])
