"""The choice of a make-up: what each strand, count and thread trades for what."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from strandwright.errors import SpecError
from strandwright.fibre.bundle import bundle_diameter
from strandwright.fibre.settling import creep_strain, steady_creep_rate
from strandwright.line.serving_geometry import served_span
from strandwright.planning.estimate import Estimate
from strandwright.planning.fits import NOCK_ALLOWANCE, thread_for, verdict_of
from strandwright.planning.prepare import KELVIN_20, Prepared, prepare
from strandwright.planning.settings import wanted_turns
from strandwright.planning.strand_stock import KnownStrand, find_strand
from strandwright.planning.strength import BowLoads, bow_loads, bundle_factor
from strandwright.planning.take_off import find_target
from strandwright.reference import practice, strands, thread
from strandwright.workshop.job import Job
from strandwright.workshop.parts import ColourStrands, MakeUp

MONTH = 30.0 * 86400.0
#: A hot car, by Celsius scale 40 [K]
WARM = KELVIN_20 + 20.0
#: Resting load over derated break that a row may have to be shown [-]
SHOWN_SHARES = (0.06, 0.36)
#: Bare diameter that a row may have to be shown, about 0.07 to 0.13 in [m]
SHOWN_DIAMETERS = (0.0018, 0.0033)


@dataclass(frozen=True)
class ChoiceRow:
    """One make-up and what it comes to.

    Attributes
    ----------
    strand : str
        Strand by its name in the reference table.
    strand_count : int
        Strands [-]
    bare : Estimate
        Diameter of the bare bundle at the measuring load [m]
    centre_thread : str
        Thread of the table that comes nearest to the nock's seat, or the job's own.
    centre : Estimate
        Diameter over it [m]
    nock : str
        ``fits``, ``tight``, ``loose``, ``cannot tell``, or empty without a nock.
    end_thread : str
        Thread of the end servings.
    end : Estimate
        Diameter over it [m]
    track : str
        The same against the narrowest track, or empty without one.
    derated : Estimate
        Derated break load [N]
    resting, highest, release : Estimate
        Loads over it [-]
    stress : float
        Resting stress, load over mass per length [N m/kg]
    creep_month, creep_warm_month : float
        Lengthening in the first month at rest, at 20 and at 40 degC [m]
    mass : Estimate
        Mass of strands and servings [kg]
    remarks : tuple of str
        What speaks against it; empty where nothing does.
    """

    strand: str
    strand_count: int
    bare: Estimate
    centre_thread: str
    centre: Estimate
    nock: str
    end_thread: str
    end: Estimate
    track: str
    derated: Estimate
    resting: Estimate
    highest: Estimate
    release: Estimate
    stress: float
    creep_month: float
    creep_warm_month: float
    mass: Estimate
    remarks: tuple[str, ...]


@dataclass(frozen=True)
class Choice:
    """The make-ups worth comparing for one job.

    Attributes
    ----------
    rows : tuple of ChoiceRow
        By strand, then by count.
    present : int or None
        Index of the row the job has now [-]
    loads : BowLoads
        The loads it was judged by.
    rule_of_four : int
        Strands that "four times the draw weight" would ask for [-]
    rule_of_four_share : float
        What the line would then rest at, over its derated break [-]
    note : str
        Why that rule misleads, with this bow's numbers.
    """

    rows: tuple[ChoiceRow, ...]
    present: int | None
    loads: BowLoads
    rule_of_four: int
    rule_of_four_share: float
    note: str


def choose(job: Job, counts: Iterable[int] | None = None) -> Choice:
    """Show the trade-off over strands, counts and threads.

    Parameters
    ----------
    job : Job
        The job: bow, length, servings, present make-up.
    counts : iterable of int or None
        Strand counts to try; None tries the even ones from 8 to 60 [-]

    Returns
    -------
    Choice
        Rows worth comparing.

    Raises
    ------
    SpecError
        If neither the bow's draw weight nor the line's loads are known.
    """
    length = find_target(job).length.value
    present = prepare(job, length)
    own = job.makeup.own_strand
    names = [*strands(), *([own.name] if own is not None else [])]
    tried = tuple(counts) if counts is not None else tuple(range(8, 61, 2))
    rows = [
        row
        for name in names
        for count in tried
        if (row := _row(present, find_strand(name, own), name, count)) is not None
    ]
    now = [
        i
        for i, r in enumerate(rows)
        if (r.strand, r.strand_count) == (job.makeup.strand, job.makeup.strands)
    ]
    loads = _loads(present, present.strand, job.makeup.strands)
    count, share = _rule_of_four(job, present, loads)
    return Choice(
        rows=tuple(rows),
        present=now[0] if now else None,
        loads=loads,
        rule_of_four=count,
        rule_of_four_share=share,
        note=_note(present, count, share),
    )


def with_strands(job: Job, strand: str, count: int) -> Job:
    """Give the job with another strand and count, its colours scaled to it.

    Parameters
    ----------
    job : Job
        The job.
    strand : str
        Strand.
    count : int
        Strands [-]

    Returns
    -------
    Job
        The changed job.
    """
    colours = _scaled_colours(job.makeup.colours, count)
    changed: dict[str, object] = {"strand": strand, "strands": count, "colours": colours}
    makeup: MakeUp = job.makeup.model_copy(update=changed)
    return job.model_copy(update={"makeup": makeup})


def _scaled_colours(
    colours: tuple[ColourStrands, ...], count: int
) -> tuple[ColourStrands, ...]:
    if not colours:
        return ()
    total = sum(c.strands for c in colours)
    parts = [c.strands * count // total for c in colours]
    for i in range(count - sum(parts)):
        parts[i % len(parts)] += 1
    return tuple(
        c.model_copy(update={"strands": p}) for c, p in zip(colours, parts, strict=True) if p > 0
    )


def _loads(present: Prepared, strand: KnownStrand, count: int) -> BowLoads:
    stiffness = count * strand.datum("stiffness").value
    loads = bow_loads(present.job, stiffness, present.model.line.length)
    if loads is None:
        raise SpecError(
            "bow.draw_weight",
            "nothing",
            "a choice needs to know what the line must hold",
            "give the draw weight, or bow.loads.resting and bow.loads.highest",
        )
    return loads


def _derated(present: Prepared, strand: KnownStrand, count: int) -> Estimate:
    ends = practice("safety.end_efficiency")
    bundle = bundle_factor(strand.datum("strength_variation").value)
    load = strand.datum("break_load")
    rate = wanted_turns(present) / float(np.ptp(present.model.layout.edges))
    diameter = _diameter(strand, count, "packing").value
    # Surface angle of the usual twist; cos^2 is the lower bound for helical bundles.
    cosine = math.cos(math.atan(math.pi * diameter * rate)) ** 2
    value = count * load.value * cosine * bundle.value * ends.value
    relative = math.sqrt(
        load.relative_uncertainty**2
        + (bundle.u / bundle.value) ** 2
        + (ends.standard_uncertainty / ends.value) ** 2
    )
    return Estimate(value, relative * value, "N")


def _diameter(strand: KnownStrand, count: int, packing: str) -> Estimate:
    stock, datum = strand.stock, strand.datum(packing)
    value = float(bundle_diameter(count, stock.linear_density, stock.density, datum.value))
    relative = 0.5 * math.hypot(
        datum.relative_uncertainty, strand.datum("linear_density").relative_uncertainty
    )
    return Estimate(value, relative * value, "m")


def _over(core: Estimate, name: str) -> Estimate:
    row = thread(name)
    span = served_span(core.value, row.diameter.value, row.flattening.value, 1.0)
    u = math.hypot(core.u, 2.0 * row.diameter.value * row.flattening.standard_uncertainty)
    return Estimate(float(span.outside_diameter), u, "m")


def _job_thread(present: Prepared, use: str) -> str | None:
    return next((s.thread for s in present.job.line.servings if s.use == use), None)


def _row(
    present: Prepared, strand: KnownStrand, name: str, count: int
) -> ChoiceRow | None:
    job = present.job
    derated = _derated(present, strand, count)
    loads = _loads(present, strand, count)
    resting = _share(loads.resting, derated)
    bare = _diameter(strand, count, "packing")
    shown = SHOWN_SHARES[0] <= resting.value <= SHOWN_SHARES[1]
    if not (shown and SHOWN_DIAMETERS[0] <= bare.value <= SHOWN_DIAMETERS[1]):
        return None
    core = _diameter(strand, count, "served_packing")
    seat = job.bow.nock.seat.si if job.bow.nock is not None else None
    centre_thread = _job_thread(present, "centre") or "braid-021"
    if seat is not None:
        centre_thread = thread_for(core.value, seat, "centre").name
    end_thread = _job_thread(present, "end") or "braid-018"
    centre, end = _over(core, centre_thread), _over(core, end_thread)
    nock = ""
    if seat is not None:
        nock = verdict_of(centre, seat - NOCK_ALLOWANCE, seat + NOCK_ALLOWANCE)
    width = min((t.width.si for t in job.bow.tracks), default=None)
    track = "" if width is None else verdict_of(end, 0.0, width)
    draft = ChoiceRow(
        strand=name,
        strand_count=count,
        bare=bare,
        centre_thread=centre_thread,
        centre=centre,
        nock=nock,
        end_thread=end_thread,
        end=end,
        track=track,
        derated=derated,
        resting=resting,
        highest=_share(loads.highest, derated),
        release=_share(loads.release, derated),
        stress=loads.resting.value / (count * strand.stock.linear_density),
        creep_month=_creep(present, strand, count, loads, KELVIN_20),
        creep_warm_month=_creep(present, strand, count, loads, WARM),
        mass=_mass(present, strand, count, core),
        remarks=(),
    )
    return replace(draft, remarks=tuple(_remarks(draft, job, strand)))


def _share(load: Estimate, derated: Estimate) -> Estimate:
    share = load.value / derated.value
    u = share * math.hypot(load.u / load.value, derated.u / derated.value)
    return Estimate(share, u, "1")


def _creep(
    present: Prepared, strand: KnownStrand, count: int, loads: BowLoads, kelvin: float
) -> float:
    """Lengthening of the first month at rest: logarithmic part, and plateau where known."""
    stock, length = strand.stock, present.model.line.length
    per_strand = loads.resting.value / count
    share = per_strand / stock.break_load
    strain = float(creep_strain(share, MONTH, strand.datum("creep_per_decade").value))
    steady = strand.row.steady_creep
    if steady is not None:
        stress = per_strand / (stock.linear_density / stock.density)
        rate = steady_creep_rate(
            stress,
            kelvin,
            reference_rate=steady.rate.value,
            reference_stress=steady.stress.value,
            reference_temperature=steady.temperature.value,
            activation_energy=steady.activation_energy.value,
            activation_volume=steady.activation_volume.value,
        )
        strain += float(rate) * MONTH
    return strain * length


def _mass(present: Prepared, strand: KnownStrand, count: int, core: Estimate) -> Estimate:
    model, stock = present.model, strand.stock
    run = model.line.length + 0.5 * (model.line.zero.perimeter + model.line.far.perimeter)
    strands_mass = count * run * stock.linear_density * (1.0 + stock.wax)
    served = 0.0
    for serving in model.line.servings:
        t = serving.thread
        span = served_span(core.value, t.diameter, t.flattening, t.tension)
        served += serving.length * float(span.thread_per_length) * t.linear_density
    relative = strand.datum("linear_density").relative_uncertainty
    return Estimate(strands_mass + served, math.hypot(strands_mass * relative, 0.2 * served), "kg")


def _remarks(row: ChoiceRow, job: Job, strand: KnownStrand) -> list[str]:
    warn, refuse = practice("safety.warn").value, practice("safety.refuse").value
    said: list[str] = []
    if row.resting.value > refuse:
        said.append("rests too near its break")
    elif row.resting.value > warn:
        said.append("rests high")
    if row.creep_month > 0.0254 / 16.0:
        said.append("creeps over 1/16 in in a month")
    if row.nock in ("tight", "loose"):
        said.append(f"{row.nock} in the nock")
    if row.track == "tight":
        said.append("too thick for the track")
    if job.bow.old_or_wooden and strand.stock.fibre != "polyester":
        said.append("too stiff for an old or wooden bow")
    return said


def _rule_of_four(job: Job, present: Prepared, loads: BowLoads) -> tuple[int, float]:
    weight = job.bow.draw_weight
    load = present.strand.datum("break_load").value
    base = weight.si if weight is not None else loads.highest.value / 6.0
    count = max(2, 2 * math.ceil(4.0 * base / load / 2.0))
    derated = _derated(present, present.strand, count)
    return count, loads.resting.value / derated.value


def _note(present: Prepared, count: int, share: float) -> str:
    return (
        f"'four times the draw weight' asks for {count} strands of {present.strand.stock.name}; "
        f"they would rest at {100.0 * share:.0f} % of their derated break. The rule takes the draw "
        "weight for the line's load; what sets the count is resting load and creep, and the "
        "diameter that nock and tracks need."
    )
