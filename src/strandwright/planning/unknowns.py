"""The unknowns of a job: what is known of them before this build's first reading."""

from __future__ import annotations

import math
from dataclasses import replace

from strandwright.fibre.strand_law import strand_strain
from strandwright.line.route import Loads
from strandwright.line.unknowns import HEARD, LAY, UNKNOWNS
from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.planning.hearing.known import heard_uncertainty
from strandwright.planning.readings.tape import tape_scale, tape_uncertainty
from strandwright.planning.shop.knowledge import with_knowledge
from strandwright.planning.strand_stock import KnownStrand
from strandwright.reference import Datum, practice, thread
from strandwright.units import INCH, Entered
from strandwright.workshop.job import Job

KELVIN_20 = 293.15
#: How a bench says that loads are told by the pluck of the line
BY_EAR = "by ear"
HEARD_SOURCE = "mass, ends and stiffness of the line, and the checks of this jig"

def _log(name: str, datum: Datum, source: str = "") -> Parameter:
    return Parameter(
        name,
        datum.value,
        datum.relative_uncertainty,
        "log",
        unit=datum.unit,
        source=source or f"{datum.kind}: {datum.source}",
    )


def make_parameters(
    job: Job, strand: KnownStrand, loads: Loads, length: float
) -> ParameterVector:
    """Gather what is known of the unknowns before the first reading of this build.

    Parameters
    ----------
    job : Job
        The job.
    strand : KnownStrand
        The strand with its sources.
    loads : Loads
        Loads of the route.
    length : float
        Finished length at the measuring condition [m]

    Returns
    -------
    ParameterVector
        One parameter for each of :data:`strandwright.line.unknowns.UNKNOWNS`; one more where
        loads were heard at a bench that has a gauge.
    """
    labels = {name: (unit, label) for name, unit, label in (*UNKNOWNS, HEARD, LAY)}
    heard = heard_uncertainty(job, strand, loads.measure, length)
    found = [
        *_strand_parameters(strand),
        *_bench_parameters(job, heard),
        *_serving_parameters(job),
        *_own_parameters(job, strand, loads),
    ]
    if job.bench.gauge == BY_EAR:
        labels["gauge"] = ("-", HEARD[2])
    elif any(reading.heard for reading in job.build.readings):
        found.append(Parameter(HEARD[0], 1.0, heard, "log", source=HEARD_SOURCE))
    if job.line.laid is not None:
        found = _laid_by_hand(found, job.makeup.strands)
    tables = ParameterVector.from_parameters(
        [replace(p, unit=labels[p.name][0], label=labels[p.name][1]) for p in found]
    )
    return with_knowledge(job, tables)


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
        Parameter("share", 0.5, 1.5, "logit", source="no source: anywhere between the limits"),
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


def _bench_parameters(job: Job, heard: float) -> list[Parameter]:
    spec = job.bench
    drag, stiffness = practice("load.winding_drag"), practice("post.softwood.stiffness")
    reading = practice("tape.reading")
    if spec.gauge == BY_EAR:
        gauge, gauge_source = heard, HEARD_SOURCE
    else:
        gauge = practice(f"gauge.{spec.gauge.replace(' ', '_')}").value
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


def _laid_by_hand(found: list[Parameter], strands: int) -> list[Parameter]:
    """Give the unknowns of a line that is laid in and not wound.

    What stands for the drag is each strand's part of the hand's pull, and what for the setting
    of the posts is how near the second loop comes to its mark.
    """
    pull, place = practice("load.hand_tight"), practice("laid.place")
    hand = replace(_log("drag", pull), mean=pull.value / strands)
    at = Parameter("setting_error", 0.0, place.value, source=f"{place.kind}: {place.source}")
    by_hand = {"drag": hand, "setting_error": at}
    return [*(by_hand.get(p.name, p) for p in found), _log("lay", practice("laid.stands_off"))]


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
        replace(_log("leg", practice("loop.leg_on_pin")), mean=1.0),
        _log("grip", practice("serving.holds_turns")),
        Parameter("flattening", 1.0, flat.standard_uncertainty / flat.value, "log",
                  source=flat.source),
        Parameter("wrap_tension", 1.0, row.wrap_tension.relative_uncertainty, "log",
                  source=row.wrap_tension.source),
        Parameter("thread_stiffness", 1.0, row.stiffness.relative_uncertainty, "log",
                  source=row.stiffness.source),
    ]  # fmt: skip


def _own_parameters(job: Job, strand: KnownStrand, loads: Loads) -> list[Parameter]:
    """What each recorded state has of its own: what the model of settling leaves out of it."""
    floor, share = practice("own.floor").value, practice("own.of_stretch")
    stretched = strand_strain(
        loads.stretch / job.makeup.strands,
        strand.datum("stiffness").value,
        strand.datum("softening").value,
        strand.stock.break_strain,
    )
    spread = math.hypot(floor, share.value * float(stretched))
    source = f"{share.kind}: {share.source}"
    return [
        Parameter(f"own_{key}", 0.0, spread, source=source)
        for key in ("bare", "half", "twisted", "proof")
    ]
