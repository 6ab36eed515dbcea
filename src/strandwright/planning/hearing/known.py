"""What is known of a line before it is heard: its mass, its ends, its stiffness, the jig."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from strandwright.fibre.bundle import bundle_diameter
from strandwright.numerics.parameters import Parameter, Scale
from strandwright.planning.hearing.checks import own_checks
from strandwright.planning.strand_stock import DEFAULT_SCALE, WAX_SPREAD, KnownStrand
from strandwright.reference import Datum, practice, thread
from strandwright.workshop.job import Job
from strandwright.workshop.parts import EarCheck


def mass_known(job: Job, strand: KnownStrand) -> Parameter:
    """Mass of the line's strands over what their table says.

    Parameters
    ----------
    job : Job
        The job; its build may hold what the spools lost.
    strand : KnownStrand
        The strand with its sources.

    Returns
    -------
    Parameter
        Mass, wax counted, over that of the table; log [-]
    """
    density, wax = strand.datum("linear_density"), strand.stock.wax
    spread = math.hypot(density.relative_uncertainty, WAX_SPREAD / (1.0 + wax))
    source = f"{density.kind}: {density.source}; wax allowed for"
    weighed = {reading.run: reading for reading in job.build.masses}
    if not weighed:
        return _log("mass", 1.0, spread, "mass of the strands, not weighed", source)
    planned = math.fsum(m.planned.si for m in weighed.values())
    lost = math.fsum(m.lost.si for m in weighed.values())
    colours = job.makeup.colours
    counts = [c.strands for c in colours] or [job.makeup.strands]
    share = sum(counts[run] for run in weighed if run < len(counts)) / sum(counts)
    step = DEFAULT_SCALE if job.bench.scale_reads is None else job.bench.scale_reads.si
    scale = math.sqrt(len(weighed) / 6.0) * step / planned
    weighing = math.hypot(scale, practice("ear.tails").standard_uncertainty)
    left = math.hypot(share * weighing, (1.0 - share) * spread)
    label = f"mass of the strands, weighed{'' if share > 0.99 else ' in part'}"
    return _log("mass", lost / planned, left, label, "what the spools lost")


def ear_parameters(
    job: Job, strand: KnownStrand, length_u: float, served: bool | None = None
) -> list[Parameter]:
    """Everything that turns the pitch of a line into a load, as it is known beforehand.

    Parameters
    ----------
    job : Job
        The job.
    strand : KnownStrand
        The strand with its sources.
    length_u : float
        Standard uncertainty of the line's length as it stands [m]
    served : bool or None
        Whether its servings are on; None where that does not matter.

    Returns
    -------
    list of Parameter
        ``mass``, ``thread``, ``length``, ``bending``, ``lean``, ``nodes``, ``jig``.
    """
    bending, lean, nodes = (practice(f"ear.{n}") for n in ("bending_share", "lean", "nodes"))
    return [
        mass_known(job, strand),
        thread_known(job),
        Parameter("length", 0.0, length_u, unit="m", label="length of the line",
                  source="the reading, or what is expected of it"),
        _of("bending", bending, "log", "how the bundle resists bending"),
        _of("lean", lean, "linear", "how the pins hold the loops"),
        _of("nodes", nodes, "linear", "where the swing ends at the pins"),
        jig_known(job, served),
    ]  # fmt: skip


def thread_known(job: Job) -> Parameter:
    """Mass of the servings over what the table of threads says.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    Parameter
        Mass over that of the table, one factor for all of them; log [-]

    Notes
    -----
    A thread that flattens less packs more wraps into an inch: its mass goes with both.
    """
    used = [thread(s.thread) for s in job.line.servings]
    used += [thread(e.thread) for e in (job.line.zero_end, job.line.far_end) if e.thread]
    spreads = [
        math.hypot(t.linear_density.relative_uncertainty, t.flattening.relative_uncertainty)
        for t in used
    ]
    source = "reference table of threads; weigh a length"
    return _log("thread", 1.0, max(spreads, default=0.0), "mass of the servings", source)


def jig_known(job: Job, served: bool | None = None) -> Parameter:
    """What a jig makes of a heard load: the true one over it, from its checks.

    Parameters
    ----------
    job : Job
        The job; its bench may hold checks against known loads.
    served : bool or None
        Whether the line has its servings on; None where that does not matter.

    Returns
    -------
    Parameter
        Factor of the load; log [-]

    Notes
    -----
    A check tells the factor of the jig and of the mass that its line was taken to have. With
    another line's mass unknown it speaks of the jig the less; made on this very line it speaks of
    both together, which is all that its next load needs.
    """
    prior = practice("ear.jig").standard_uncertainty
    checks = job.bench.ear_checks
    if not checks:
        return _log("jig", 1.0, prior, "what else the jig does to it", practice("ear.jig").source)
    own, _ = own_checks(job, served)
    mean, u = _from_checks(own or list(checks), prior, scatter=bool(own))
    count = len(own or checks)
    said = f"{count} {'check' if count == 1 else 'checks'} against a known load"
    return _log("jig", math.exp(mean), u, "this jig, checked", said)


def checked_on_this_line(job: Job, served: bool | None = None) -> float | None:
    """Known load at which the job's own line was heard on this jig.

    Parameters
    ----------
    job : Job
        The job.
    served : bool or None
        Whether the line has its servings on; None where that does not matter.

    Returns
    -------
    float or None
        Geometric mean of such loads; None where there is none [N]
    """
    loads = [math.log(check.true.si) for check in own_checks(job, served)[0]]
    return math.exp(math.fsum(loads) / len(loads)) if loads else None


def _from_checks(checks: Sequence[EarCheck], prior: float, *, scatter: bool) -> tuple[float, float]:
    """Mean and standard uncertainty of the factor's logarithm, its prior counted.

    On the line itself what was heard is off by no more than one pluck from the next, and the
    factor stands for its mass too, so that the jig's prior alone says nothing. Known loads may
    all be of one weight or gauge: together they are no better known than the best of them.
    """
    alike = practice("pull_scatter.by_ear").value
    prior = 0.1 if scatter else prior
    weights, total = 1.0 / prior**2, 0.0
    # Checks with one other line all hold what is not known of its mass: together they are one.
    lines = Counter(check.line for check in checks if check.line and not scatter)
    for check in checks:
        heard = alike if scatter else _relative(check, "heard")
        spread = math.hypot(_relative(check, "true"), heard)
        weight = 1.0 / max(spread, 1e-4) ** 2 / max(lines[check.line], 1)
        total += weight * math.log(check.true.si / check.heard.si)
        weights += weight
    best = min(_relative(check, "true") for check in checks)
    return total / weights, min(max(math.sqrt(1.0 / weights), best), prior)


def _relative(check: EarCheck, which: str) -> float:
    """Relative standard uncertainty of a load of a check; a plain one is taken good to 1 %."""
    entered = getattr(check, which)
    u = entered.standard_uncertainty
    return 0.01 if u is None else u / entered.si


def heard_uncertainty(job: Job, strand: KnownStrand, load: float, length: float) -> float:
    r"""Relative standard uncertainty that every load heard on a line has in common.

    Parameters
    ----------
    job : Job
        The job.
    strand : KnownStrand
        The strand with its sources.
    load : float
        Load that is heard, > 0 [N]
    length : float
        Length of the line, > 0 [m]

    Returns
    -------
    float
        Of the load, pitch itself left out [-]

    Notes
    -----
    To first order :math:`T = 4 \mu f^2 (L - 2 c \delta)^2` with
    :math:`\delta = \sqrt{EI/T}`, the length over which an end that cannot lean bends.
    """
    known = {p.name: p for p in ear_parameters(job, strand, 0.0)}
    end = end_bend(strand, job.makeup.strands, known["bending"].mean, load)
    lean = known["lean"]
    jig = known["jig"].standard_uncertainty
    if checked_on_this_line(job) is not None:
        return jig
    parts = (
        known["mass"].standard_uncertainty,
        jig,
        4.0 * end * lean.standard_uncertainty / length,
        2.0 * end * lean.mean * known["bending"].standard_uncertainty / length,
        2.0 * known["nodes"].standard_uncertainty / length,
    )
    return math.hypot(*parts)


def solid_bending(strand: KnownStrand, strands: int, stiffness: float | None = None) -> float:
    """Bending stiffness of a bundle's body as if its strands were glued together.

    Parameters
    ----------
    strand : KnownStrand
        The strand with its sources.
    strands : int
        How many [-]
    stiffness : float or None
        EA of one strand; None takes that of the table [N]

    Returns
    -------
    float
        EI = EA D^2 / 16 of a round section [N m^2]
    """
    stock = strand.stock
    packing = strand.datum("packing").value
    diameter = float(bundle_diameter(strands, stock.linear_density, stock.density, packing))
    each = strand.datum("stiffness").value if stiffness is None else stiffness
    return strands * each * diameter**2 / 16.0


def end_bend(strand: KnownStrand, strands: int, share: float, load: float) -> float:
    """Length over which a loop's two legs bend at a pin that keeps them from leaning.

    Parameters
    ----------
    strand : KnownStrand
        The strand with its sources.
    strands : int
        In both legs together [-]
    share : float
        Of the solid bending stiffness [-]
    load : float
        On both legs together, > 0 [N]

    Returns
    -------
    float
        Square root of EI over the load; two legs are half as stiff as the body [m]
    """
    return math.sqrt(0.5 * share * solid_bending(strand, strands) / load)


def _log(name: str, mean: float, u: float, label: str, source: str) -> Parameter:
    return Parameter(name, mean, u, "log", unit="-", label=label, source=source)


def _of(name: str, datum: Datum, scale: Scale, label: str) -> Parameter:
    spread = datum.relative_uncertainty if scale == "log" else datum.standard_uncertainty
    return Parameter(name, datum.value, spread, scale, unit=datum.unit, label=label,
                     source=f"{datum.kind}: {datum.source}")  # fmt: skip
