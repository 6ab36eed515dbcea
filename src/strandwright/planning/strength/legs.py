"""Legs: what those of a yoke hold beside its body, and the legs of a loop of unlike strands."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from strandwright.planning.estimate import Estimate
from strandwright.planning.line_of_job import si
from strandwright.planning.makings.yoke import is_halved, leg_turns
from strandwright.planning.prepare import Prepared, at_mean
from strandwright.planning.strength.twist import twist_factor
from strandwright.workshop.job import Job

#: Sine of the angle of legs that a span would pull flat; no closer look is taken there [-]
_FLAT = 0.99


def yoke_strands(prepared: Prepared, twist: float) -> Estimate | None:
    """Give what both legs of a yoke hold, in strands of the cable's body.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    twist : float
        What twist leaves of the body [-]

    Returns
    -------
    Estimate or None
        Over those of the body, by their own twist and spread; None without a yoke [-]

    Notes
    -----
    Each leg carries :math:`F / (2\\cos\\alpha)`, whether it is half the body or one side of a strap
    that has come to equal pulls in its eye.
    """
    job, model = prepared.job, prepared.model
    yoke = job.line.yoke
    if yoke is None:
        return None
    count = 0.5 * job.makeup.strands
    if not is_halved(job):
        told = None if yoke.strap is None else yoke.strap.strands
        count = float(told or max(job.makeup.strands // 2, 2))
    legs = next((part for part in model.line.parts if part.members > 1), None)
    turns, length = (leg_turns(yoke), yoke.leg.si) if legs is None else (legs.turns, legs.length)
    many, q = count / job.makeup.strands, at_mean(prepared.parameters)
    strands = model.strand_set(q)
    one = replace(
        strands,
        stiffness=strands.stiffness[:, 0],
        softening=strands.softening[:, 0],
        share=strands.share[:, 0],
    )
    radius = model.twist_radius(q) * math.sqrt(many)
    kept = float(twist_factor(np.full_like(radius, turns / length), radius, one)[0])
    lean = min(0.5 * si(yoke.span, 0.0) / length, _FLAT)
    return Estimate(2.0 * many * kept / twist * math.sqrt(1.0 - lean * lean), 0.0, "1")


def loop_strands(job: Job) -> Estimate:
    """Give the strands that both legs of a skein's loop bear with, where their number is odd.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    Estimate
        Over those of the line: all where it is even; else between all and one fewer [-]

    Notes
    -----
    A winding of an odd number ends at the other post, so one leg of each loop has a strand more
    than the other, whose end only its tail holds. Legs that cannot slide on the pin share the load
    by stiffness, strand for strand; legs that can, halve it, and the thinner one breaks first.
    Which holds is not known: every share between is as likely.
    """
    count = job.makeup.strands
    if count % 2 == 0 or job.line.laid is not None:
        return Estimate(1.0, 0.0, "1")
    return Estimate(1.0 - 0.5 / count, 0.5 / (count * math.sqrt(3.0)), "1")
