"""Before: what is known of a line's settling on its bow before its first reading there."""

from __future__ import annotations

import math

from strandwright.errors import InputError
from strandwright.planning.result import Plan
from strandwright.planning.strand_stock import known_strand
from strandwright.planning.strength.loads import bow_loads
from strandwright.reference import Datum, practice
from strandwright.statistics.settling import Prior


def prior_of(plan: Plan) -> Prior:
    """Give what the plan of a finished line says of its settling.

    Parameters
    ----------
    plan : Plan
        As the readings of the build left it: its bedding-in, creep and length are those learned.

    Returns
    -------
    Prior
        The length at fitting is the proof's, where there was one.

    Notes
    -----
    Creep goes with the load at brace over what the strands break at. That a shot loads the line
    more for a moment is part of the bedding-in.
    """
    bedding, bedding_u = _learned(plan, "bedding")
    creep, creep_u = _learned(plan, "creep")
    stretched = plan.loads.stretch > 0.0 and plan.loads.stretch_dwell > 0.0
    left = practice("settling.bedding_left" if stretched else "settling.bedding_unstretched")
    share, share_u = load_share(plan)
    scale, shape = practice("settling.shots_scale"), practice("settling.shape")
    steady = practice(f"settling.steady.{known_strand(plan.job).row.fibre}")
    offset, offset_u = _at_fitting(plan)
    length = plan.target.length.value
    return Prior(
        offset=offset / length,
        offset_u=offset_u / length,
        amplitude=bedding * left.value,
        amplitude_u=math.hypot(bedding_u, _relative(left)),
        shots_scale=scale.value,
        shots_scale_u=_relative(scale),
        shape=shape.value,
        shape_u=_relative(shape),
        creep=creep * share,
        creep_u=math.hypot(creep_u, share_u),
        steady=steady.value,
        steady_u=_relative(steady),
        start=practice("settling.creep_start").value,
        law=practice("settling.law_doubt").value,
    )


def load_share(plan: Plan) -> tuple[float, float]:
    """Load at brace over the strands' break load.

    Parameters
    ----------
    plan : Plan
        The line.

    Returns
    -------
    tuple of float
        The share and its relative standard uncertainty [-]
    """
    strands = plan.strength.strands
    try:
        length = plan.target.length.value
        loads = bow_loads(plan.job, plan.parameters.value("stiffness"), length)
    except InputError:
        loads = None
    if loads is None or loads.resting.value <= 0.0:
        row = practice("settling.load_share")
        return row.value, _relative(row)
    resting = loads.resting
    return resting.value / strands, math.hypot(resting.u / resting.value, 0.1)


def _learned(plan: Plan, name: str) -> tuple[float, float]:
    """A positive unknown of the plan and its relative standard uncertainty."""
    known = plan.parameters
    return known.value(name), float(known.deviations[known.index(name)])


def _at_fitting(plan: Plan) -> tuple[float, float]:
    """Length at fitting over the one asked for, and its standard uncertainty [m]."""
    hang, landing = practice("settling.hang").value, plan.landing
    if landing.proved:
        return landing.proof.error, math.hypot(landing.proof_u, hang)
    return 0.0, math.hypot(landing.guided_u, plan.target.tolerance)


def _relative(row: Datum) -> float:
    return row.relative_uncertainty
