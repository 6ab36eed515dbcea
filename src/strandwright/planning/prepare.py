"""Preparation: from the job's words to the model of the line and what is known of its unknowns."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from strandwright.fibre.settling import delayed_left
from strandwright.line.laid_in import LaidInModel
from strandwright.line.model import LineModel
from strandwright.line.parts import (
    Bench,
)
from strandwright.line.route import Loads, Order, Pins, make_route
from strandwright.numerics.parameters import Batch, ParameterVector
from strandwright.planning.line_of_job import make_line, measuring_load, si
from strandwright.planning.makings.yoke import is_halved
from strandwright.planning.strand_stock import KnownStrand, known_strand
from strandwright.planning.unknowns import make_parameters
from strandwright.reference import practice, thread
from strandwright.units import INCH
from strandwright.workshop.job import Job

#: What is still to come back when a line is read is known to this: 1/128 in [m]
RECOVERY_LEFT = INCH / 128.0
#: Rests are asked for in steps of five minutes [s], a quarter of an hour at the least and
#: never longer than over night [step]
REST_STEP = 300.0
SHORTEST_REST, LONGEST_REST = 3, 144


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


def at_mean(parameters: ParameterVector) -> Batch:
    """Give the unknowns at their means, arrays of shape (1,).

    Parameters
    ----------
    parameters : ParameterVector
        The unknowns.

    Returns
    -------
    Batch
        By name; not to be changed.
    """
    return parameters.middle


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
        serve_dwell=practice("work.serving_time").value,
    )


def order_of(job: Job) -> Order:
    """Give the order of work of a job.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    Order
        The one it names; where it names none a laid-in line is twisted before it is stretched,
        and the throat of a yoke served before its body is twisted.
    """
    if is_halved(job) and "order" not in job.route.model_fields_set:
        return Order.SERVE_THEN_TWIST
    if job.line.laid is not None and "order" not in job.route.model_fields_set:
        return Order.TWIST_THEN_SERVE
    return Order(job.route.order)


def prepare(job: Job, length: float, known: ParameterVector | None = None) -> Prepared:
    """Make a job ready for the model at a finished length.

    Parameters
    ----------
    job : Job
        The job.
    length : float
        Finished length at the measuring condition [m]
    known : ParameterVector or None
        The unknowns, where they are known from another job of that line; None gathers them.

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
    order, laid = order_of(job), job.line.laid is not None
    kind = LaidInModel if laid else LineModel
    model = kind(line, strand.stock, bench, make_route(order, loads, pins, laid=laid))
    parameters = make_parameters(job, strand, loads, length) if known is None else known
    if job.route.rest is None:
        loads = replace(loads, rest=rest_needed_for(model, parameters))
        model = replace(model, route=make_route(order, loads, pins, laid=laid))
    return Prepared(job, model, parameters, strand, loads)


def rest_needed_for(model: LineModel, parameters: ParameterVector) -> float:
    """Rest after the last load until delayed recovery can no longer mislead a reading.

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
    q, proof = at_mean(parameters), model.route.stage("proof")
    rests = REST_STEP * np.arange(SHORTEST_REST, LONGEST_REST + 1)
    strain = np.zeros_like(rests)
    for pull in proof.pulls:
        whole = float(model.line_strain(q, pull.load * q["gauge"])[0])
        strain += whole * delayed_left(pull.dwell, rests + pull.before)
    unsure = float(q["recovery"][0]) * parameters.standard_uncertainty("recovery")
    good = model.line.length * unsure * strain <= RECOVERY_LEFT
    return float(rests[int(np.argmax(good))] if good.any() else rests[-1])
