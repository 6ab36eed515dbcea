"""What a job's cable guard bears and takes up, and what of a line is touched and not served."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.guard import HeldLine
from strandwright.planning.bow.model import BowModel
from strandwright.planning.bow.riser import guard_name, held_by_guard
from strandwright.planning.bow.touched import TouchedPart
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.reference import practice
from strandwright.workshop.job import Job

Floats = NDArray[np.float64]
#: Share of all bows' states that does not make a rule of its own [-].
_HARDLY = 0.03
#: At brace, where the draw force is greatest, and at full draw.
Along = tuple[Estimate, Estimate, Estimate]


@dataclass(frozen=True)
class GuardedLine:
    """One line at the guard.

    Attributes
    ----------
    line : str
        The line.
    force : (Estimate, Estimate, Estimate)
        Side force on the guard at brace, peak and full draw [N]
    taken_up : Estimate
        Length it is longer at brace than without the guard [m]
    grows : Estimate
        By how much more is taken up at full draw [m]
    """

    line: str
    force: Along
    taken_up: Estimate
    grows: Estimate


@dataclass(frozen=True)
class Guarding:
    """What a guard does.

    Attributes
    ----------
    on : str
        ``slide`` or ``roller``.
    lines : tuple of GuardedLine
        The lines it holds.
    force : (Estimate, Estimate, Estimate)
        Side force of them all at brace, peak and full draw; below zero to the left [N]
    torque : (Estimate, Estimate, Estimate)
        Of that about the upright through the pivot of the grip, between riser and limbs [N m]
    peak_change, full_change : Estimate
        What the offset would add to the force at peak and at full draw [N]
    measured : bool
        Whether the job gives the guard's height.
    pushes : str
        ``always``, ``partly`` or ``never``: whether rollers touch the lines in the bow's plane;
        empty for a guard without a place in it.
    """

    on: str
    lines: tuple[GuardedLine, ...]
    force: Along
    torque: Along
    peak_change: Estimate
    full_change: Estimate
    measured: bool
    pushes: str


def guarding(job: Job, model: BowModel) -> Guarding | None:
    """Work out what a job's cable guard does.

    Parameters
    ----------
    job : Job
        The job.
    model : BowModel
        Its bow.

    Returns
    -------
    Guarding or None
        None where the job names no guard, or one that holds nothing aside.

    Raises
    ------
    SpecError
        If the guard lies past the cables' free part or holds them too far aside.
    """
    own = job.bow.guard
    held = held_by_guard(job, model)
    if own is None or not held:
        return None
    cycle, peak = model.family.cycle, model.family.figures.peak_draw
    doubt = practice("guard.doubt").standard_uncertainty
    if own.aside.si and own.aside.standard_uncertainty:
        doubt = float(np.hypot(doubt, own.aside.standard_uncertainty / abs(own.aside.si)))

    def along(values: Floats, unit: str) -> Along:
        ends = (values[:, 0], _at(cycle, values, peak), values[:, -1])
        first, middle, last = (_estimate(v, unit, doubt) for v in ends)
        return first, middle, last

    lines = tuple(
        GuardedLine(
            one.line,
            along(one.side_force, "N"),
            _estimate(one.extra[:, 0], "m", 2.0 * doubt),
            _estimate(one.extra[:, -1] - one.extra[:, 0], "m", 2.0 * doubt),
        )
        for one in held
    )
    added = _added(cycle, held)
    force = np.sum([one.side_force for one in held], axis=0)
    torque = np.sum([one.side_force * one.x for one in held], axis=0)
    return Guarding(
        guard_name(job),
        lines,
        along(force, "N"),
        along(torque, "N m"),
        _estimate(_at(cycle, added, peak), "N", 2.0 * doubt),
        _estimate(added[:, -1], "N", 2.0 * doubt),
        own.height is not None,
        _pushes(cycle) if own.behind is not None else "",
    )


def bare_parts(plan: Plan, parts: tuple[TouchedPart, ...]) -> tuple[TouchedPart, ...]:
    """Find what is touched and has no serving at all.

    Parameters
    ----------
    plan : Plan
        The line.
    parts : tuple of TouchedPart
        What the bow touches of it.

    Returns
    -------
    tuple of TouchedPart
        Those that no serving lies on any of.
    """
    return tuple(
        part
        for part in parts
        if not any(
            serving.start.value < part.stop.value and serving.stop.value > part.start.value
            for serving in plan.servings
        )
    )


def _added(cycle: DrawCycle, held: tuple[HeldLine, ...]) -> Floats:
    """What the offset adds to the draw force: the slope of its work along the draw."""
    work = np.sum([one.work for one in held], axis=0)
    step = (cycle.draw[:, -1] - cycle.draw[:, 0]) / (cycle.points - 1)
    return np.asarray(np.gradient(work, axis=1, edge_order=2), np.float64) / step[:, None]


def _at(cycle: DrawCycle, values: Floats, draw: Floats) -> Floats:
    """Values at a draw of each bow's own, straight between the points."""
    return np.array(
        [np.interp(at, own, row) for at, own, row in zip(draw, cycle.draw, values, strict=True)]
    )


def _pushes(cycle: DrawCycle) -> str:
    spans = [span for span, body in enumerate(cycle.rig.paths.bodies[:, 0]) if body == 0]
    touched = float(np.mean(cycle.touching[:, :, spans]))
    if touched > 1.0 - _HARDLY:
        return "always"
    return "partly" if touched > _HARDLY else "never"


def _estimate(values: Floats, unit: str, doubt: float) -> Estimate:
    mean = float(values.mean())
    return Estimate(mean, float(np.hypot(values.std(ddof=1), doubt * mean)), unit)
