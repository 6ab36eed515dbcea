"""Strength: what the line holds, and what the jig and the bow ask of it."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

from strandwright.errors import LimitError
from strandwright.fibre.bundle_strength import coleman_efficiency, modulus_from_variation
from strandwright.line.route import Order
from strandwright.planning.estimate import Estimate
from strandwright.planning.prepare import Prepared, at_mean
from strandwright.planning.result import LoadCheck, Strength
from strandwright.planning.strand_stock import KnownStrand
from strandwright.planning.strength.loads import bow_loads
from strandwright.planning.strength.places import at_weakest
from strandwright.planning.written import Written
from strandwright.reference import practice
from strandwright.workshop.job import Job

#: What each pull on the jig is called, by the field of the job that sets it
JIG_PULLS = {
    "route.stretch": "stretch on the jig",
    "route.equalise": "evening out on the jig",
    "route.settle": "settling on the jig",
    "route.serve": "serving on the jig",
    "route.measure": "measuring on the jig",
}
#: A gauge known less well than this is named where a pull is over a limit [-]
ROUGH_GAUGE = 0.1


def arrow_mass(job: Job, mass: Estimate) -> Estimate | None:
    """Arrow mass that costs as much speed as a line does: a third of a string's mass.

    Parameters
    ----------
    job : Job
        The job: string or cable.
    mass : Estimate
        Mass of the line [kg]

    Returns
    -------
    Estimate or None
        Mass; None for a cable, most of which moves little and by the wheels' way [kg]

    Notes
    -----
    A straight string whose middle moves with the arrow and whose ends stand still holds the
    kinetic energy of a third of its mass at the arrow's speed.

    References
    ----------
    .. [1] C. N. Hickman, The dynamics of a bow and arrow, J. Appl. Phys. 8 (1937) 404-409
       (from memory).
    """
    if job.line.kind == "cable":
        return None
    return Estimate(mass.value / 3.0, mass.u / 3.0, mass.unit)


def derate(strand: KnownStrand, count: int, twist: Estimate) -> Strength:
    """Derated break load of so many strands: their sum, times twist, bundle and ends.

    Parameters
    ----------
    strand : KnownStrand
        The strand with its sources.
    count : int
        Strands, > 0 [-]
    twist : Estimate
        Factor for twist [-]

    Returns
    -------
    Strength
        Factors and derated break load, nothing yet held against it.
    """
    strands = count * strand.stock.break_load
    bundle = bundle_factor(strand.datum("strength_variation").value)
    row = practice("safety.end_efficiency")
    ends = Estimate(row.value, row.standard_uncertainty, "1")
    value = strands * twist.value * bundle.value * ends.value
    relative = math.hypot(
        twist.u / twist.value,
        bundle.u / bundle.value,
        ends.u / ends.value,
        strand.datum("break_load").relative_uncertainty,
    )
    return Strength(strands, twist, bundle, ends, Estimate(value, value * relative, "N"), ())


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
    strength = derate(prepared.strand, prepared.model.line.strand_count, twist)
    strength = at_weakest(prepared, strength)
    return replace(strength, checks=_checks(prepared, strength))


def break_on_the_jig(job: Job, strength: Strength) -> Estimate:
    """Give the break load of what is pulled on the jig.

    Parameters
    ----------
    job : Job
        The job.
    strength : Strength
        Its line's strength.

    Returns
    -------
    Estimate
        That of the line; of a cable that a strap completes, of the cable alone [N]
    """
    yoke = job.line.yoke
    if yoke is None or yoke.made == "halves":
        return strength.derated
    loops = [place.load for place in strength.places if place.name != "legs"]
    return min(loops, key=lambda load: load.value, default=strength.derated)


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


def jig_pulls(prepared: Prepared) -> dict[str, float]:
    """Give every pull of the route on the jig.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.

    Returns
    -------
    dict of str to float
        Load on the gauge, by the field of the job that sets it [N]
    """
    loads = prepared.loads
    pulls = {
        "route.stretch": loads.stretch,
        "route.equalise": loads.equalise,
        "route.serve": loads.serve,
        "route.measure": loads.measure,
    }
    if prepared.model.route.order is Order.SERVE_THEN_TWIST:
        pulls["route.settle"] = loads.settle
    return pulls


def highest_pull(prepared: Prepared) -> tuple[str, float]:
    """Find the highest pull of the route on the jig.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.

    Returns
    -------
    tuple
        The field that sets it, the stretch where several are alike, and the load on the gauge [N]
    """
    pulls = jig_pulls(prepared)
    field = max(pulls, key=lambda name: pulls[name])
    return field, pulls[field]


def _checks(prepared: Prepared, strength: Strength) -> tuple[LoadCheck, ...]:
    model, derated = prepared.model, strength.derated
    limits = _limits("safety.warn", "safety.refuse")
    field, top = highest_pull(prepared)
    load = Estimate(top, prepared.parameters.standard_uncertainty("gauge") * top, "N")
    on_jig = break_on_the_jig(prepared.job, strength)
    checks = [check_load(JIG_PULLS[field], load, on_jig, limits, "the route")]
    stiffness = float(model.line_stiffness(at_mean(prepared.parameters))[0])
    loads = bow_loads(prepared.job, stiffness, model.line.length)
    if loads is None:
        return tuple(checks)
    # The slow-draw peak lasts a moment and the release is a bound that no line sees in full: they
    # get wider limits than a load the line lives under.
    checks.append(check_load("resting on the bow", loads.resting, derated, limits, loads.source))
    limits = _limits("safety.highest_warn", "safety.highest_refuse")
    checks.append(check_load("highest, slow draw", loads.highest, derated, limits, loads.source))
    if loads.release is not None:
        limits = _limits("safety.release_warn", "safety.release_refuse")
        stated = prepared.job.bow.loads.release is not None
        source = "stated in the job" if stated else "energy not in the arrow"
        checks.append(check_load("bound at release", loads.release, derated, limits, source))
    return tuple(checks)


def _limits(warn: str, refuse: str) -> tuple[float, float]:
    return practice(warn).value, practice(refuse).value


def check_load(
    name: str, load: Estimate, derated: Estimate, limits: tuple[float, float], source: str
) -> LoadCheck:
    """Hold one load against the derated break load.

    Parameters
    ----------
    name : str
        What the load is.
    load : Estimate
        The load [N]
    derated : Estimate
        Derated break load, > 0 [N]
    limits : tuple of float
        Shares over which to warn and to refuse [-]
    source : str
        Where the load comes from.

    Returns
    -------
    LoadCheck
        Its share and verdict; the verdict goes by the value, the +- stands beside it.
    """
    warn, refuse = limits
    share = share_of(load, derated)
    verdict = "fine" if share.value <= warn else ("warn" if share.value <= refuse else "refuse")
    return LoadCheck(name, load, share, verdict, source)


def share_of(load: Estimate, derated: Estimate) -> Estimate:
    """Give a load over the derated break load.

    Parameters
    ----------
    load : Estimate
        The load [N]
    derated : Estimate
        Derated break load, > 0 [N]

    Returns
    -------
    Estimate
        Share [-]
    """
    share = load.value / derated.value
    u = math.hypot(load.u / derated.value, share * derated.u / derated.value)
    return Estimate(share, u, "1")


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
        If the highest pull is over a third of the derated break, or over the bench's rating; it
        names the field that sets that pull.
    """
    to = Written.on(prepared.job.paper)
    field, top = highest_pull(prepared)
    less = f"{'stretch at' if field == 'route.stretch' else 'pull'} less"
    rating = prepared.model.bench.rated_load
    rough = _rough_gauge(prepared)
    if rating is not None and top > rating:
        raise LimitError(
            field,
            to.force(top),
            f"must stay within the rating of strap, posts and beam, {to.force(rating)}{rough}",
            f"{less}, or use rated parts",
        )
    limit = practice("safety.refuse").value * break_on_the_jig(prepared.job, strength).value
    if top > limit:
        raise LimitError(
            field,
            to.force(top),
            f"must stay within a third of the derated break load, {to.force(limit)}{rough}",
            f"{less}, or use more strands",
        )


def _rough_gauge(prepared: Prepared) -> str:
    """Say how far a pull can be off, where the gauge is poor."""
    u = prepared.parameters.standard_uncertainty("gauge")
    if u <= ROUGH_GAUGE:
        return ""
    means = "by feel" if prepared.job.bench.gauge == "none" else "on this gauge"
    return f" (a load judged {means} is only good to {200.0 * u:.0f} %)"


def rating_warning(prepared: Prepared) -> str:
    """Say where the pull keeps within the bench's rating only if the gauge is right.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.

    Returns
    -------
    str
        A sentence; empty where the rating holds at the far end of the gauge's +-, or is not
        known.
    """
    field, top = highest_pull(prepared)
    rating = prepared.model.bench.rated_load
    u = prepared.parameters.standard_uncertainty("gauge")
    worst = top * (1.0 + 2.0 * u)
    if rating is None or worst <= rating:
        return ""
    to = Written.on(prepared.job.paper)
    return (
        f"{JIG_PULLS[field]}: {to.force(top)} may be {to.force(worst)} in truth, as the load is "
        f"only good to {200.0 * u:.0f} %; strap, posts and beam are rated {to.force(rating)}: "
        "use a better gauge, pull less, or use parts rated higher"
    )
