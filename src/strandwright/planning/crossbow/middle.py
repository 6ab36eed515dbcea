"""The middle of a crossbow's string: where it lies on the jig, finished, braced, and cocked.

The string lies across the rail and its mark must lie over the rail's middle: as far from the one
peg as from the other, at the load of the brace. A mark either side, half a rail's width off, shows
at a glance whether it does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import build_finished, map_position
from strandwright.planning.details.braced import at_load, pegs_of
from strandwright.planning.details.held import prepared_line
from strandwright.planning.details.peep import DrawLoads, plan_loads
from strandwright.planning.estimate import Estimate
from strandwright.planning.makings.reinforced import is_crossbow_string
from strandwright.planning.prepare import at_mean
from strandwright.planning.result import Plan
from strandwright.planning.servings.plan import marking_places
from strandwright.reference import practice
from strandwright.units import INCH

#: A mark is laid off to this: 1/64 in, standard uncertainty [m]
MARKED = INCH / 64.0


@dataclass(frozen=True)
class RailMark:
    """A mark about the middle, in three states of the line.

    Attributes
    ----------
    now : Estimate
        In the marking state, from the outside of the zero pin [m]
    finished : float
        At the measuring condition [m]
    braced : float
        From the outside of the zero end's peg, at brace [m]
    """

    now: Estimate
    finished: float
    braced: float


@dataclass(frozen=True)
class Middle:
    """The middle of a string and the marks to both sides of the rail.

    Attributes
    ----------
    loads : DrawLoads
        Tension at brace and cocked.
    middle, zero_side, far_side : RailMark
        The middle, and where the rail's edges meet the braced string.
    off_half : float
        Of the middle from half the length in the marking state, towards the far end [m]
    half_rail : Estimate
        Half the rail's width [m]
    drift : float
        How far the middle of the cocked string lies from the mark, towards the far end: halves
        unlike in loops, servings or reinforcement stretch unlike [m]
    """

    loads: DrawLoads
    middle: RailMark
    zero_side: RailMark
    far_side: RailMark
    off_half: float
    half_rail: Estimate
    drift: float


def middle_of(plan: Plan, loads: DrawLoads | None = None) -> Middle | None:
    """Find the middle of a crossbow's string, and its rail marks.

    Parameters
    ----------
    plan : Plan
        The plan.
    loads : DrawLoads or None
        Tension from a model of the bow; None takes what the job or practice says.

    Returns
    -------
    Middle or None
        None for another line, or where no load at brace is known.

    Notes
    -----
    At the means of what is unknown. The +- of a mark is that of laying it off and of the length
    read there, for the middle is half of what the tape reads, not of what was foretold.
    """
    found = plan_loads(plan) if loads is None else loads
    if not is_crossbow_string(plan.job) or found is None:
        return None
    model, q = prepared_line(plan).model, at_mean(plan.parameters)
    finished, _ = build_finished(model, q, plan.chosen.settings)
    pegs, edges = pegs_of(plan, model), finished.edges[0]
    braced = at_load(model, q, finished, found.braced.value, pegs)
    cocked = at_load(model, q, finished, found.drawn.value, pegs)
    marking = marking_places(model, plan.spread, plan.chosen.settings)
    width = _rail(plan)
    places = 0.5 * float(braced.length[0]) + np.array([0.0, -0.5, 0.5]) * width.value
    on_line = map_position(places, braced.edges[0], edges)
    now = map_position(on_line, edges, marking)
    when_cocked = map_position(on_line[:1], edges, cocked.edges[0])[0]
    half_marking = 0.5 * plan.stage("marking").length.value
    u = math.hypot(MARKED, 0.5 * plan.landing.proof_u)
    marks = [
        RailMark(Estimate(float(n), u, "m"), float(f), float(b))
        for n, f, b in zip(now, on_line, places, strict=True)
    ]
    return Middle(
        found,
        *marks,
        off_half=float(now[0]) - half_marking,
        half_rail=Estimate(0.5 * width.value, 0.5 * width.u, "m"),
        drift=0.5 * float(cocked.length[0]) - float(when_cocked),
    )


def _rail(plan: Plan) -> Estimate:
    """Give the rail's width: the job's, or as practice has it."""
    row, given = practice("crossbow.rail"), plan.job.bow.rail
    if given is None:
        return Estimate(row.value, row.standard_uncertainty, "m")
    return Estimate(given.si, given.standard_uncertainty or 0.0, "m")


def cocked_marks(plan: Plan, half_natural: FloatArray, loads: DrawLoads) -> Estimate | None:
    """Give how far from the middle the rail's edges meet the cocked string, on the finished line.

    Parameters
    ----------
    plan : Plan
        The plan.
    half_natural : ndarray
        Length of a half over the rail at the latch, without load, for each bow that agrees [m]
    loads : DrawLoads
        Tension of the string by those bows.

    Returns
    -------
    Estimate or None
        At the measuring condition; None for another line [m]
    """
    if middle_of(plan, loads) is None:
        return None
    stiffness = plan.parameters.value("stiffness") * plan.job.makeup.strands
    stretched = 1.0 + plan.target.measuring_load / stiffness
    value = float(half_natural.mean()) * stretched
    return Estimate(value, math.hypot(float(half_natural.std(ddof=1)), MARKED), "m")
