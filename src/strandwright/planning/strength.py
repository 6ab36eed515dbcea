"""Strength: what the line holds, and what the jig and the bow ask of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from strandwright.errors import LimitError
from strandwright.fibre.bundle_strength import coleman_efficiency, modulus_from_variation
from strandwright.fibre.strand_law import FloatArray
from strandwright.fibre.twist import breaking_load
from strandwright.line.model import LineModel, StageState, Unknowns
from strandwright.planning.estimate import Estimate
from strandwright.planning.prepare import Prepared, si
from strandwright.planning.result import LoadCheck, Strength
from strandwright.reference import practice
from strandwright.units import INCH, Dimension, format_quantity
from strandwright.workshop.job import Job

#: Draw length and brace height taken where the job gives none (memory) [m]
DEFAULT_DRAW = 28.0 * INCH
DEFAULT_BRACE = 7.0 * INCH


@dataclass(frozen=True)
class BowLoads:
    """Loads on the line when it is on the bow.

    Attributes
    ----------
    resting, highest, release : Estimate
        At brace, highest at a slow draw, and the bound at release [N]
    source : str
        Where they come from.
    """

    resting: Estimate
    highest: Estimate
    release: Estimate
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


def stored_energy(job: Job) -> float | None:
    """Energy of the draw: stated, or from weight and stroke and the fill of that kind of bow.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    float or None
        Energy; None where the draw weight is not known either [J]
    """
    bow = job.bow
    if bow.stored_energy is not None:
        return bow.stored_energy.si
    if bow.draw_weight is None:
        return None
    pivot = practice("draw.pivot_offset").value
    stroke = si(bow.draw_length, DEFAULT_DRAW) - pivot - si(bow.brace_height, DEFAULT_BRACE)
    return practice(f"bow.{bow.kind}.fill").value * bow.draw_weight.si * max(stroke, 0.0)


def bow_loads(job: Job, stiffness: float, length: float) -> BowLoads | None:
    """Loads of the line on the bow, stated or by the kind of bow.

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
    """
    bow, given = job.bow, job.bow.loads
    weight = bow.draw_weight
    if weight is None and (given.resting is None or given.highest is None):
        return None
    source = f"practice for a {bow.kind} bow (memory); model or measure the bow to do better"
    tensions: list[Estimate] = []
    for entered, row in ((given.resting, "rest_tension"), (given.highest, "highest_tension")):
        if entered is not None:
            tensions.append(Estimate(entered.si, entered.standard_uncertainty or 0.0, "N"))
        else:
            assert weight is not None
            ratio = practice(f"bow.{bow.kind}.{row}")
            tensions.append(
                Estimate(ratio.value * weight.si, ratio.standard_uncertainty * weight.si, "N")
            )
    resting, highest = tensions
    if given.release is not None:
        release = Estimate(given.release.si, given.release.standard_uncertainty or 0.0, "N")
    else:
        release = _release(job, resting, highest, stiffness, length)
    if given.resting is not None and given.highest is not None:
        source = "stated in the job"
    return BowLoads(resting, highest, release, source)


def _release(
    job: Job, resting: Estimate, highest: Estimate, stiffness: float, length: float
) -> Estimate:
    energy = stored_energy(job)
    if energy is None:
        return highest
    eta = practice(f"bow.{job.bow.kind}.efficiency")
    efficiency = si(job.bow.efficiency, eta.value)
    at = [
        release_bound(resting.value, energy, e, stiffness, length)
        for e in (efficiency, min(efficiency + eta.standard_uncertainty, 0.99))
    ]
    slope = resting.value / at[0]
    return Estimate(at[0], float(np.hypot(at[0] - at[1], slope * resting.u)), "N")


def twist_efficiency(model: LineModel, q: Unknowns, finished: StageState) -> FloatArray:
    """Break load of the twisted bare bundle over the sum of its strands.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (B,).
    finished : StageState
        The finished line.

    Returns
    -------
    ndarray
        Shape (B,) [-]
    """
    assert finished.spans is not None
    rate = finished.turn_rates[:, 0] / finished.spans.length[:, 0]
    radius = 0.5 * model.core_diameter(q, served=False)
    strands = model.strand_set(q)
    one = replace(
        strands,
        stiffness=strands.stiffness[:, 0],
        softening=strands.softening[:, 0],
        share=strands.share[:, 0],
    )
    whole = breaking_load(np.zeros_like(rate), radius, one)
    return breaking_load(rate, radius, one) / whole


def check_strength(prepared: Prepared, twist: Estimate) -> Strength:
    """Hold the derated break load against every load of the jig and the bow.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    twist : Estimate
        Factor for twist [-]

    Returns
    -------
    Strength
        Factors, derated break load and checks.
    """
    model = prepared.model
    count = model.line.strand_count
    strands = count * model.stock.break_load
    bundle = bundle_factor(prepared.strand.datum("strength_variation").value)
    ends_row = practice("safety.end_efficiency")
    ends = Estimate(ends_row.value, ends_row.standard_uncertainty, "1")
    factor = twist.value * bundle.value * ends.value
    load_row = prepared.strand.datum("break_load")
    relative = np.sqrt(
        (twist.u / twist.value) ** 2
        + (bundle.u / bundle.value) ** 2
        + (ends.u / ends.value) ** 2
        + load_row.relative_uncertainty**2
    )
    derated = Estimate(strands * factor, float(strands * factor * relative), "N")
    checks = _checks(prepared, derated)
    return Strength(strands, twist, bundle, ends, derated, checks)


@lru_cache(maxsize=32)
def bundle_factor(variation: float) -> Estimate:
    """Factor for strands of unequal strength: Coleman's efficiency at their scatter.

    Parameters
    ----------
    variation : float
        Coefficient of variation of the strands' break load [-]

    Returns
    -------
    Estimate
        Factor, with half of what it takes off as its spread [-]
    """
    value = float(coleman_efficiency(modulus_from_variation(variation)))
    return Estimate(value, 0.5 * (1.0 - value), "1")


def _checks(prepared: Prepared, derated: Estimate) -> tuple[LoadCheck, ...]:
    model, job = prepared.model, prepared.job
    warn, refuse = practice("safety.warn").value, practice("safety.refuse").value
    gauge = prepared.parameters.standard_uncertainty("gauge")
    top = max(s.highest_load for s in model.route.stages)
    load = Estimate(top, gauge * top, "N")
    checks = [_check("stretch on the jig", load, derated, warn, refuse, "the route")]
    q = prepared.parameters.natural(prepared.parameters.mean[None, :])
    stiffness = model.line.strand_count * float(q["stiffness"][0])
    loads = bow_loads(job, stiffness, model.line.length)
    if loads is not None:
        checks += [
            _check("resting on the bow", loads.resting, derated, warn, refuse, loads.source),
            # The slow-draw peak lasts a moment and the release is a bound that no line sees
            # in full: they get wider limits than a load the line lives under.
            _check("highest, slow draw", loads.highest, derated, refuse, 0.5, loads.source),
            _check("bound at release", loads.release, derated, 0.75, 1.0, "energy not in the arrow"),
        ]
    return tuple(checks)


def _check(
    name: str, load: Estimate, derated: Estimate, warn: float, refuse: float, source: str
) -> LoadCheck:
    share = load.value / derated.value
    spread = share * float(np.hypot(load.u / max(load.value, 1e-9), derated.u / derated.value))
    verdict = "fine" if share <= warn else ("warn" if share <= refuse else "refuse")
    return LoadCheck(name, load, Estimate(share, spread, "1"), verdict, source)


def refuse_overload(prepared: Prepared, strength: Strength) -> None:
    """Refuse a route whose pull is over the line's or the bench's limit.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    strength : Strength
        The line's strength.

    Raises
    ------
    LimitError
        If the highest pull is over a third of the derated break, or over the bench's rating.
    """
    top = max(s.highest_load for s in prepared.model.route.stages)
    shown = format_quantity(Dimension.FORCE, top, "lbf", 0)
    rating = prepared.model.bench.rated_load
    if rating is not None and top > rating:
        rated = format_quantity(Dimension.FORCE, rating, "lbf", 0)
        raise LimitError(
            "route.stretch",
            shown,
            f"stays within the rating of strap, posts and beam, {rated}",
            "stretch at less, or use rated parts",
        )
    limit = practice("safety.refuse").value * strength.derated.value
    if top > limit:
        allowed = format_quantity(Dimension.FORCE, limit, "lbf", 0)
        raise LimitError(
            "route.stretch",
            shown,
            f"stays within a third of the derated break load, {allowed}",
            "stretch at less, or use more strands",
        )
