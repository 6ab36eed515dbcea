"""The start of a brace: where a bow stands with the planned line on it, measured or expected."""

from __future__ import annotations

import math
from dataclasses import dataclass

from strandwright.bow.bent_family import BentKnown
from strandwright.planning.bow.model import BowModel, reach_shares
from strandwright.planning.brace_wish import asks_for_brace
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.reference import practice
from strandwright.units import Entered
from strandwright.workshop.job import Job


@dataclass(frozen=True)
class Start:
    """Where a bow stands with the line on it.

    Attributes
    ----------
    brace : Estimate
        Its brace height [m]
    turns : float
        Turns in the line then [turn]
    measured : bool
        Whether it was read with this line on.
    source : str
        Where it comes from.
    """

    brace: Estimate
    turns: float
    measured: bool
    source: str


def start_of_brace(job: Job, plan: Plan, model: BowModel) -> Start:
    """Say where a recurve or longbow stands with the planned line on it.

    Parameters
    ----------
    job : Job
        The job.
    plan : Plan
        Its line.
    model : BowModel
        Its bow.

    Returns
    -------
    Start
        As measured with the line on; else what is expected of a line that proves at its length:
        the height wanted where the length was worked out for it, else that of the known string
        moved to this length, else the job's brace height.
    """
    now = job.bow.now.brace_height
    turns = plan.twist.turns if job.build.turns is None else job.build.turns
    if now is not None:
        return Start(Estimate(now.si, _u(now), "m"), turns, True, "measured with the line on")
    known = model.question.known
    assert isinstance(known, BentKnown)
    slope = _slope(model)
    wanted, brace = job.bow.wanted.brace_height, job.bow.brace_height
    target, old = plan.target.length, plan.target.original
    if asks_for_brace(job) and wanted is not None:
        u = abs(slope) * target.u
        return Start(Estimate(wanted.si, u, "m"), turns, False, "the length was worked out for it")
    at = known.brace_height
    read = 0.0 if brace is None else _u(brace)
    if old is not None and job.line.finished is not None:
        change = target.value - old.length.value
        u = math.hypot(read, slope * math.hypot(target.u, old.length.u))
        doubt = practice("wheels.coefficient_doubt").standard_uncertainty * slope * change
        found = Estimate(at + slope * change, math.hypot(u, doubt), "m")
        return Start(found, turns, False, "the original's brace height, moved to this length")
    source = "the bow's brace height before, on a string of this length"
    return Start(Estimate(at, math.hypot(read, slope * target.u), "m"), turns, False, source)


def _slope(model: BowModel) -> float:
    """Change of the brace height by the string's length, over the bows."""
    share = reach_shares(model, {"string": 1e-3})[0] / 1e-3
    return float((model.response.brace_height @ share).mean())


def _u(entered: Entered) -> float:
    step = min(float(entered.step), practice("tuning.brace_height").value)
    return entered.standard_uncertainty or step / math.sqrt(12.0)
