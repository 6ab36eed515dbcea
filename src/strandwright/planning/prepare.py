"""Preparation: from the job's words to the model of the line and what is known of its unknowns."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

from strandwright.errors import SpecError
from strandwright.fibre.bundle import bundle_diameter
from strandwright.fibre.settling import rest_needed
from strandwright.fibre.strand_law import FloatArray
from strandwright.line.model import UNKNOWNS, LineModel
from strandwright.line.parts import (
    Bench,
    Hand,
    Line,
    Loop,
    Mark,
    Serving,
    ServingKind,
    ServingThread,
    check_line,
)
from strandwright.line.route import Loads, Order, Pins, make_route
from strandwright.line.standards import MEASURING_LOAD
from strandwright.line.standards import measuring_load as standard_measuring_load
from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.planning.strand_stock import KnownStrand, known_strand
from strandwright.planning.tape import tape_scale, tape_uncertainty
from strandwright.reference import Datum, practice, thread
from strandwright.units import INCH, Entered
from strandwright.workshop.job import Job
from strandwright.workshop.parts import LoopEnd, ServingSpec
from strandwright.workshop.shorthand import Shorthand, parse_shorthand

#: Half-bundle centroids of a round body lie this share of its diameter off the axis: 2/(3 pi).
THROAT_OFFSET = 0.2122
KELVIN_20 = 293.15
#: Delayed recovery may still move a line by this when it is read: 1/128 in [m]
RECOVERY_LEFT = INCH / 128.0
#: Spread of finished lengths that no reading of ours explains; estimate without source [-]
SCATTER = 2.0e-4


@dataclass(frozen=True)
class Prepared:
    """A job made ready for the model.

    Attributes
    ----------
    job : Job
        The job.
    model : LineModel
        The line, bench and route as numbers.
    parameters : ParameterVector
        The unknowns with mean, covariance and provenance.
    strand : KnownStrand
        The strand with its sources.
    loads : Loads
        Loads and times of the route.
    """

    job: Job
    model: LineModel
    parameters: ParameterVector
    strand: KnownStrand
    loads: Loads


def at_mean(parameters: ParameterVector) -> dict[str, FloatArray]:
    """Give the unknowns at their means, arrays of shape (1,).

    Parameters
    ----------
    parameters : ParameterVector
        The unknowns.

    Returns
    -------
    dict
        By name.
    """
    return parameters.natural(parameters.mean[None, :])


def si(entered: Entered | None, default: float) -> float:
    """Value of an entry, or a default where there is none.

    Parameters
    ----------
    entered : Entered or None
        The entry.
    default : float
        Value where there is none [SI]

    Returns
    -------
    float
        The value [SI]
    """
    return default if entered is None else entered.si


def measuring_load(job: Job) -> float:
    """Measuring load: 100 lbf, or 50 lbf for bows under 40 lb, unless the job says otherwise.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    float
        Load [N]
    """
    if job.route.measure is not None:
        return job.route.measure.si
    weight = job.bow.draw_weight
    return MEASURING_LOAD if weight is None else standard_measuring_load(weight.si)


def serving_thread(spec: ServingSpec | None, name: str, field: str) -> ServingThread:
    """Give the thread of that name as the physics needs it.

    Parameters
    ----------
    spec : ServingSpec or None
        The serving, for a tension of its own.
    name : str
        Name in the reference table.
    field : str
        Field to name in an error.

    Returns
    -------
    ServingThread
        The thread.

    Raises
    ------
    SpecError
        If there is no such thread.
    """
    try:
        row = thread(name)
    except SpecError as error:
        raise error.at(field) from error
    tension = row.wrap_tension.value
    if spec is not None:
        tension = si(spec.tension, tension)
    return ServingThread(
        name=name,
        diameter=row.diameter.value,
        flattening=row.flattening.value,
        linear_density=row.linear_density.value,
        stiffness=row.stiffness.value,
        friction=row.friction.value,
        tension=tension,
    )


def job_shorthand(job: Job) -> Shorthand | None:
    """Give the line's start-stop shorthand, from the line or from the original.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    Shorthand or None
        None where the job has none.
    """
    if job.line.shorthand:
        return _parsed(job.line.shorthand, "line.shorthand")
    if job.original.shorthand:
        return _parsed(job.original.shorthand, "original.shorthand")
    return None


@lru_cache(maxsize=256)
def _parsed(text: str, field: str) -> Shorthand:
    return parse_shorthand(text, field=field)


def _edges(job: Job, length: float) -> list[tuple[float, float]]:
    """Finished edges of each serving, on a line of that length."""
    shorthand = job_shorthand(job)
    runs = shorthand.runs if shorthand is not None else ()
    given = [s for s in job.line.servings if s.start is None or s.stop is None]
    if given and len(runs) != len(given):
        raise SpecError(
            "line.servings",
            f"{len(given)} without start and stop",
            f"must match the shorthand's {len(runs)} runs one to one, in order",
            "name every run once, or give start and stop",
        )
    waiting = iter(runs)
    edges: list[tuple[float, float]] = []
    for serving in job.line.servings:
        if serving.start is not None and serving.stop is not None:
            edges.append((serving.start.si, serving.stop.si))
            continue
        assert shorthand is not None
        run = next(waiting)
        old = float(shorthand.length)
        start, stop = float(run.start), float(run.stop)
        if run.from_far:
            edges.append((length - (old - start), length - (old - stop)))
        elif start == 0.0:
            edges.append((start, stop))
        else:
            edges.append((start * length / old, stop * length / old))
    return edges


def strand_count(job: Job) -> int:
    """Give the strand count, checked against the colours.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    int
        Strand count [-]

    Raises
    ------
    SpecError
        If the colours do not add up to the strand count.
    """
    count = job.makeup.strands
    total = sum(c.strands for c in job.makeup.colours)
    if job.makeup.colours and total != count:
        raise SpecError(
            "makeup.colours",
            f"{' + '.join(str(c.strands) for c in job.makeup.colours)} = {total}",
            f"must add up to makeup.strands, {count}",
            f"change a colour or set strands = {total}",
        )
    return count


def _loop(job: Job, end: LoopEnd, which: str, bare: float, served_core: float) -> Loop:
    """Give one end's loop; its legs are half the strands, served or bare."""
    leg = bare / 2**0.5
    strand_thread = None
    if end.thread is not None:
        strand_thread = serving_thread(None, end.thread, f"line.{which}.thread")
        leg = served_core / 2**0.5 + 2.0 * strand_thread.flattening * strand_thread.diameter
    return Loop.from_size(end.name, end.size.si, leg, THROAT_OFFSET * bare, strand_thread)


def make_line(job: Job, length: float, strand: KnownStrand) -> Line:
    """Make the line of a job at a finished length.

    Parameters
    ----------
    job : Job
        The job.
    length : float
        Finished length at the measuring condition [m]
    strand : KnownStrand
        The strand.

    Returns
    -------
    Line
        The line, checked.

    Raises
    ------
    SpecError
        If its parts contradict each other.
    """
    count = strand_count(job)
    stock = strand.stock
    bare, core = (
        float(bundle_diameter(count, stock.linear_density, stock.density, packing.value))
        for packing in (strand.datum("packing"), strand.datum("served_packing"))
    )
    hand = Hand(job.makeup.hand)
    servings = [
        Serving(
            name=spec.name,
            kind=ServingKind(spec.use),
            start=start,
            stop=stop,
            thread=serving_thread(spec, spec.thread, f"line.servings[{i + 1}].thread"),
            hand=Hand(spec.hand) if spec.hand else hand,
            colour=spec.colour,
        )
        for i, (spec, (start, stop)) in enumerate(
            zip(job.line.servings, _edges(job, length), strict=True)
        )
    ]
    marks = [
        Mark(m.name, length - m.at.si if m.from_far_end else m.at.si, si(m.mass, 0.0))
        for m in job.line.marks
    ]
    line = Line(
        length=length,
        zero=_loop(job, job.line.zero_end, "zero_end", bare, core),
        far=_loop(job, job.line.far_end, "far_end", bare, core),
        servings=tuple(sorted(servings, key=lambda s: s.start)),
        marks=tuple(sorted(marks, key=lambda m: m.position)),
        strand_count=count,
        hand=hand,
        measuring_load=measuring_load(job),
        pin_diameter=practice("measuring.pin_diameter").value,
    )
    check_line(line)
    return line


def make_bench(job: Job) -> Bench:
    """Make the bench of a job.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    Bench
        Posts, pins, range, rating, tape and bobbin in SI.
    """
    spec = job.bench
    zero = spec.zero_post.si
    rating = spec.rating
    return Bench(
        name=spec.name,
        zero_post=zero,
        far_post=si(spec.far_post, zero),
        loop_pin=si(spec.loop_pin, practice("measuring.pin_diameter").value),
        longest=spec.longest.si,
        shortest=si(spec.shortest, 0.0),
        rated_load=None if isinstance(rating, str) else rating.si,
        tape_expansion=practice("tape.expansion").value if spec.tape == "steel" else 0.0,
        bobbin=si(spec.bobbin, thread("braid-018").bobbin_length.value),
    )


def bow_family(job: Job) -> str:
    """Give the row of the practice tables that the bow belongs to.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    str
        ``compound``, ``recurve``, ``longbow`` or ``crossbow``.
    """
    kind = job.bow.kind
    return kind if kind in ("recurve", "longbow", "crossbow") else "compound"


def make_loads(job: Job, strand: KnownStrand) -> Loads:
    """Give the loads and times of the route, from the job or from practice.

    Parameters
    ----------
    job : Job
        The job.
    strand : KnownStrand
        The strand.

    Returns
    -------
    Loads
        Loads and times in SI.
    """
    spec = job.route
    row = f"prestretch.{strand.stock.fibre}.{bow_family(job)}"
    stretch = si(spec.stretch, practice(f"{row}.load").value)
    measure = measuring_load(job)
    return Loads(
        equalise=si(spec.equalise, min(stretch, 2.0 * measure)),
        stretch=stretch,
        stretch_dwell=si(spec.stretch_dwell, practice(f"{row}.dwell").value),
        second_dwell=0.5 * si(spec.stretch_dwell, practice(f"{row}.dwell").value),
        settle=si(spec.settle, stretch),
        serve=si(spec.serve, min(practice("load.serving").value, stretch)),
        measure=measure,
        rest=si(spec.rest, practice("measuring.rest_before_proof").value),
    )


def prepare(job: Job, length: float) -> Prepared:
    """Make a job ready for the model at a finished length.

    Parameters
    ----------
    job : Job
        The job.
    length : float
        Finished length at the measuring condition [m]

    Returns
    -------
    Prepared
        Model and unknowns.

    Raises
    ------
    SpecError
        If the job contradicts itself.
    """
    strand = known_strand(job)
    line = make_line(job, length, strand)
    bench = make_bench(job)
    loads = make_loads(job, strand)
    pins = Pins(bench.zero_post, bench.far_post, bench.loop_pin, line.pin_diameter)
    route = make_route(Order(job.route.order), loads, pins)
    model = LineModel(line, strand.stock, bench, route)
    parameters = make_parameters(job, strand)
    if job.route.rest is None:
        loads = replace(loads, rest=rest_needed_for(model, parameters))
        model = replace(model, route=make_route(Order(job.route.order), loads, pins))
    return Prepared(job, model, parameters, strand, loads)


def rest_needed_for(model: LineModel, parameters: ParameterVector) -> float:
    """Rest after the stretch until delayed recovery can no longer move a reading.

    Parameters
    ----------
    model : LineModel
        The line.
    parameters : ParameterVector
        The unknowns.

    Returns
    -------
    float
        Rest, to the next five minutes [s]
    """
    q = at_mean(parameters)
    proof = model.route.stage("proof")
    over = max(max(proof.creep_load, proof.highest_twisted) - proof.load, 0.0)
    whole = model.line.length * float((q["recovery"] * model.strain(q, over * q["gauge"]))[0])
    if whole <= 0.0:
        return 0.0
    step = 300.0
    return step * math.ceil(rest_needed(min(RECOVERY_LEFT / whole, 1.0)) / step)


def _log(name: str, datum: Datum, source: str = "") -> Parameter:
    return Parameter(
        name,
        datum.value,
        datum.relative_uncertainty,
        "log",
        unit=datum.unit,
        source=source or f"{datum.kind}: {datum.source}",
    )


def make_parameters(job: Job, strand: KnownStrand) -> ParameterVector:
    """Gather what is known of the unknowns before the first reading of this build.

    Parameters
    ----------
    job : Job
        The job.
    strand : KnownStrand
        The strand with its sources.

    Returns
    -------
    ParameterVector
        One parameter for each of :data:`strandwright.line.model.UNKNOWNS`.
    """
    labels = {name: (unit, label) for name, unit, label in UNKNOWNS}
    found = [*_strand_parameters(strand), *_bench_parameters(job), *_serving_parameters(job)]
    return ParameterVector.from_parameters(
        [replace(p, unit=labels[p.name][0], label=labels[p.name][1]) for p in found]
    )


def _strand_parameters(strand: KnownStrand) -> list[Parameter]:
    datum = strand.datum
    packing = datum("packing")
    served = datum("served_packing")
    return [
        _log("stiffness", datum("stiffness")),
        Parameter(
            "softening",
            datum("softening").value,
            datum("softening").standard_uncertainty,
            source=datum("softening").source,
        ),
        Parameter(
            "packing",
            packing.value,
            # Diameters feel the strand's mass per length as they feel how densely it packs.
            math.hypot(
                packing.relative_uncertainty, datum("linear_density").relative_uncertainty
            ),
            "log",
            source=f"{packing.kind}: {packing.source}; the strand's mass per length counted",
        ),
        Parameter(
            "squeeze",
            served.value / packing.value,
            0.7 * served.relative_uncertainty,
            "log",
            source=f"{served.kind}: {served.source}",
        ),
        Parameter("share", 0.73, 1.0, "logit", source="no source: anywhere between the limits"),
        _log("bedding", datum("bedding_strain")),
        _log("bedding_scale", datum("bedding_load")),
        _reopening(datum("bedding_strain"), datum("bedding_reopened")),
        _log("recovery", datum("delayed_recovery")),
        _log("creep", datum("creep_per_decade")),
    ]


def _reopening(bedding: Datum, share: Datum) -> Parameter:
    """Bedding-in that new twist opens again, a strain of its own beside the first."""
    return Parameter(
        "reopening",
        share.value * bedding.value,
        share.relative_uncertainty,
        "log",
        source=f"{share.kind}: {share.source}",
    )


def _bench_parameters(job: Job) -> list[Parameter]:
    spec = job.bench
    drag, stiffness = practice("load.winding_drag"), practice("post.softwood.stiffness")
    reading = practice("tape.reading")
    key = f"gauge.{spec.gauge.replace(' ', '_')}"
    gauge = practice(key).value
    gauge_source = f"practice: {spec.gauge}"
    if spec.gauge_uncertainty is not None:
        gauge, gauge_source = spec.gauge_uncertainty.si, "stated for this bench"
    return [
        _entered("drag", spec.drag, drag),
        _both_posts(_entered("post_stiffness", spec.post_stiffness, stiffness)),
        Parameter("layers", spec.layers, 0.5, source="stated; half a layer either way"),
        Parameter("setting_error", 0.0, tape_uncertainty(), source=reading.source),
        Parameter("tape_scale", 0.0, tape_scale(job), source=practice("tape.scale_error").source),
        Parameter("gauge", 1.0, gauge, "log", source=gauge_source),
        Parameter("warmth", 0.0, 3.0,
                  source="3 K either way between winding and proof; estimate"),
    ]  # fmt: skip


def _both_posts(each: Parameter) -> Parameter:
    """Two posts in a row come together twice as far as one gives."""
    return replace(each, mean=0.5 * each.mean)


def _entered(name: str, entered: Entered | None, datum: Datum) -> Parameter:
    """Give a positive parameter from an entry, or from practice where there is none."""
    if entered is None:
        return _log(name, datum)
    spread = entered.standard_uncertainty
    relative = datum.relative_uncertainty if spread is None else spread / entered.si
    source = "stated for this bench" + ("" if spread is not None else "; spread from practice")
    return Parameter(name, entered.si, relative, "log", source=source)


def _serving_parameters(job: Job) -> list[Parameter]:
    row = thread(job.line.servings[0].thread) if job.line.servings else thread("braid-018")
    flat = row.flattening
    return [
        Parameter("loop_error", 0.0, INCH / 32.0, source="1/32 in on a perimeter; estimate"),
        Parameter("flattening", 1.0, flat.standard_uncertainty / flat.value, "log",
                  source=flat.source),
        Parameter("wrap_tension", 1.0, row.wrap_tension.relative_uncertainty, "log",
                  source=row.wrap_tension.source),
        Parameter("thread_stiffness", 1.0, row.stiffness.relative_uncertainty, "log",
                  source=row.stiffness.source),
        Parameter("scatter", 0.0, SCATTER, source="estimate; a shop's own builds replace it"),
    ]  # fmt: skip
