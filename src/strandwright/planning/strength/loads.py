"""Bow loads: what the bow asks of the line, stated or by the kind of bow and of line."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strandwright.errors import SpecError
from strandwright.planning.estimate import Estimate
from strandwright.reference import Datum, practice
from strandwright.units import Entered
from strandwright.workshop.job import Job


@dataclass(frozen=True)
class BowLoads:
    """Loads on the line when it is on the bow.

    Attributes
    ----------
    resting, highest : Estimate
        At brace, and highest at a slow draw [N]
    release : Estimate or None
        Bound at release; None for a cable, which is not snapped straight [N]
    source : str
        Where they come from.
    """

    resting: Estimate
    highest: Estimate
    release: Estimate | None
    source: str


def release_bound(
    brace_tension: float, stored_energy: float, efficiency: float, stiffness: float, length: float
) -> float:
    """Bound on the tension when the string snaps straight.

    .. math:: T = \\sqrt{T_b^2 + 2(1 - \\eta)\\,E\\,EA/L}

    Parameters
    ----------
    brace_tension : float
        Tension at brace [N]
    stored_energy : float
        Energy of the draw [J]
    efficiency : float
        Share that goes into the arrow, in (0, 1) [-]
    stiffness : float
        EA of the line [N]
    length : float
        Its length [m]

    Returns
    -------
    float
        Tension [N]

    Notes
    -----
    All of the energy that misses the arrow taken up by stretching the line: an upper bound.
    """
    extra = 2.0 * (1.0 - efficiency) * stored_energy * stiffness / length
    return float(np.sqrt(brace_tension**2 + extra))


def draw_stroke(job: Job) -> Estimate:
    """Stroke of the draw, from brace to full draw, by the job or by practice.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    Estimate
        Stroke, not below zero [m]
    """
    bow, default = job.bow, "bow.default"
    if bow.kind == "crossbow" and (bow.draw_length is None or bow.brace_height is None):
        row = practice("bow.crossbow.power_stroke")
        return Estimate(row.value, row.standard_uncertainty, "m")
    drawn = _entered(bow.draw_length, practice(f"{default}.draw_length"))
    braced = _entered(bow.brace_height, practice(f"{default}.brace_height"))
    # A crossbow's string is measured from one place; a hand bow's draw from beyond the pivot.
    pivot = 0.0 if bow.kind == "crossbow" else practice("draw.pivot_offset").value
    stroke = max(drawn.value - pivot - braced.value, 0.0)
    return Estimate(stroke, math.hypot(drawn.u, braced.u), "m")


def _entered(entered: Entered | None, row: Datum) -> Estimate:
    """Give what the job says, or practice where it says nothing."""
    if entered is None:
        return Estimate(row.value, row.standard_uncertainty, row.unit)
    return Estimate(entered.si, entered.standard_uncertainty or 0.0, row.unit)


def stored_energy(job: Job) -> Estimate | None:
    """Energy of the draw: stated, or from weight and stroke and the fill of that kind of bow.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    Estimate or None
        Energy; None where the draw weight is not known either [J]
    """
    bow = job.bow
    if bow.stored_energy is not None:
        return Estimate(bow.stored_energy.si, bow.stored_energy.standard_uncertainty or 0.0, "J")
    if bow.draw_weight is None:
        return None
    stroke, fill = draw_stroke(job), practice(f"bow.{_filled(job)}.fill")
    energy = fill.value * bow.draw_weight.si * stroke.value
    u = bow.draw_weight.si * math.hypot(
        fill.value * stroke.u, fill.standard_uncertainty * stroke.value
    )
    return Estimate(energy, u, "J")


def _filled(job: Job) -> str:
    """Row of the fill: a crossbow with wheels holds more than one of limbs alone."""
    bow = job.bow
    wheeled = bow.kind == "crossbow" and bow.crossbow == "compound"
    return f"{bow.kind}.compound" if wheeled else bow.kind


def bow_loads(job: Job, stiffness: float, length: float) -> BowLoads | None:
    """Loads of the line on the bow, stated or by the kind of bow and of line.

    Parameters
    ----------
    job : Job
        The job.
    stiffness : float
        EA of the line [N]
    length : float
        Its length [m]

    Returns
    -------
    BowLoads or None
        None where neither loads nor a draw weight are given.

    Raises
    ------
    SpecError
        If the line is a cable of a bow that has none, and its loads are not stated.
    """
    given, weight = job.bow.loads, job.bow.draw_weight
    stated = given.resting is not None and given.highest is not None
    if weight is None and not stated:
        return None
    tensions: list[Estimate] = []
    for entered, name in ((given.resting, "rest_tension"), (given.highest, "highest_tension")):
        if entered is not None:
            tensions.append(Estimate(entered.si, entered.standard_uncertainty or 0.0, "N"))
            continue
        assert weight is not None
        ratio = _tension_ratio(job, name)
        spread = math.hypot(
            ratio.standard_uncertainty * weight.si,
            ratio.value * (weight.standard_uncertainty or 0.0),
        )
        tensions.append(Estimate(ratio.value * weight.si, spread, "N"))
    resting, highest = tensions
    return BowLoads(
        resting,
        highest,
        _release(job, resting, highest, stiffness, length),
        "stated in the job" if stated else _practice_source(job),
    )


def _tension_ratio(job: Job, name: str) -> Datum:
    kind = job.bow.kind
    if job.line.kind != "cable":
        return practice(f"bow.{kind}.{name}")
    if kind in ("recurve", "longbow"):
        raise SpecError(
            "line.kind",
            "cable",
            f"a {kind} has no cables, so nothing is known of their loads",
            "call the line a string, or give bow.loads.resting and bow.loads.highest",
        )
    return practice(f"bow.{kind}.cable.{name}")


def _practice_source(job: Job) -> str:
    kind, end = job.bow.kind, "model or measure the bow to do better"
    bow = kind if kind.endswith("bow") else f"{kind} bow"
    if job.line.kind == "cable":
        return f"practice for a cable of a {bow} (memory, low trust); {end}"
    return f"practice for a {bow} (memory); {end}"


def _release(
    job: Job, resting: Estimate, highest: Estimate, stiffness: float, length: float
) -> Estimate | None:
    """Bound at release: stated, or by energy; a cable's only where it is stated."""
    given = job.bow.loads.release
    if given is not None:
        return Estimate(given.si, given.standard_uncertainty or 0.0, "N")
    if job.line.kind == "cable":
        return None
    energy = stored_energy(job)
    if energy is None:
        return highest
    eta = _entered(job.bow.efficiency, practice(f"bow.{job.bow.kind}.efficiency"))
    at, better = (
        release_bound(resting.value, energy.value, e, stiffness, length)
        for e in (eta.value, min(eta.value + eta.u, 0.99))
    )
    by_energy = (at**2 - resting.value**2) / (2.0 * at * max(energy.value, 1e-9)) * energy.u
    u = math.hypot(at - better, by_energy, resting.value / at * resting.u)
    return Estimate(at, u, "N")
