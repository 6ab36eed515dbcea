"""Take-off: from any reading of the original to the finished length, with its +-."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from strandwright.errors import SpecError
from strandwright.fibre.strand_law import FloatArray
from strandwright.line.convert import Condition, convert
from strandwright.line.model import LineModel
from strandwright.numerics.budget import Contribution
from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.numerics.propagation import propagate
from strandwright.planning.estimate import Estimate
from strandwright.planning.prepare import (
    KELVIN_20,
    job_shorthand,
    measuring_load,
    prepare,
    si,
)
from strandwright.planning.result import Target
from strandwright.reference import practice
from strandwright.units import INCH, Entered, format_length
from strandwright.workshop.job import Job
from strandwright.workshop.parts import OldReading

#: How far a label's own number is trusted: the tolerance of the trade's master, as half-range.
LABEL_HALF_RANGE = INCH / 16.0
#: Lines longer than this get the wider default tolerance [m]
LONG_LINE = 80.0 * INCH


@dataclass(frozen=True)
class ReadingCondition:
    """How a length was or would be read.

    Attributes
    ----------
    load : Entered or str
        Load along the line, or ``hand-tight`` or ``unknown``.
    zero_pin, far_pin : float
        Pins or posts [m]
    temperature : float
        Temperature [K]
    """

    load: Entered | str
    zero_pin: float
    far_pin: float
    temperature: float = KELVIN_20


@dataclass(frozen=True)
class ConvertedReading:
    """A length carried from one condition to another.

    Attributes
    ----------
    length : Estimate
        At the wanted condition [m]
    shift : Estimate
        Wanted less read [m]
    budget : tuple of Contribution
        What makes the uncertainty, largest first.
    """

    length: Estimate
    shift: Estimate
    budget: tuple[Contribution, ...]


def load_parameter(name: str, load: Entered | str, gauge: float) -> Parameter:
    """Give what is known of a load.

    Parameters
    ----------
    name : str
        Name of the parameter.
    load : Entered or str
        The load, with its +- if one was given, or the words for an unmeasured one.
    gauge : float
        Relative standard uncertainty of a load given without +- [-]

    Returns
    -------
    Parameter
        On a log scale.
    """
    if isinstance(load, str):
        datum = practice("load.hand_tight" if load == "hand-tight" else "load.unknown_strap")
        return Parameter(
            name, datum.value, datum.relative_uncertainty, "log", "N", datum.source, f"{load} load"
        )
    spread = load.standard_uncertainty
    relative = gauge if spread is None else spread / load.si
    source = "this bench's gauge" if spread is None else "stated with the reading"
    return Parameter(name, load.si, relative, "log", "N", source, "load at the reading")


def _old_parameters(job: Job, base: ParameterVector, near: float) -> ParameterVector:
    """Unknowns of an old line: those of the model, and how far it has relaxed off the bow."""
    turns, spread, source = _old_turns(job, near)
    extra = [
        Parameter("relaxed", 0.5, 1.0, "logit", "-", "no source: anywhere between none and all",
                  "bedding-in lost again off the bow"),
        Parameter("old_turns", max(turns, 1e-6), spread, "linear", "turn", source,
                  "turns in the original"),
    ]  # fmt: skip
    return base.joined(ParameterVector.from_parameters(extra))


def _old_turns(job: Job, near: float) -> tuple[float, float, str]:
    if job.original.turns is not None:
        return job.original.turns, 0.5, "counted while untwisting"
    if job.makeup.turns is not None:
        return job.makeup.turns, 0.2 * job.makeup.turns, "as planned; not counted"
    rate = si(job.makeup.twist, 0.5 / INCH)
    return rate * near, 0.2 * rate * near, "as planned; not counted"


def convert_reading(
    job: Job,
    length: Entered,
    read: ReadingCondition,
    wanted: ReadingCondition,
) -> ConvertedReading:
    """Carry a length read at one condition to another, with its +-.

    Parameters
    ----------
    job : Job
        Gives make-up, loops and bench of the line that was read.
    length : Entered
        Length as read, with its +- if one was given.
    read, wanted : ReadingCondition
        The two conditions.

    Returns
    -------
    ConvertedReading
        Length at the wanted condition.
    """
    lengths, covariance, budgets = _convert_all(job, [(length, read)], wanted)
    u = float(np.sqrt(covariance[0, 0]))
    value = float(lengths[0])
    return ConvertedReading(
        Estimate(value, u, "m"), Estimate(value - length.si, u, "m"), budgets[0]
    )


def _convert_all(
    job: Job, readings: Sequence[tuple[Entered, ReadingCondition]], wanted: ReadingCondition
) -> tuple[FloatArray, FloatArray, list[tuple[Contribution, ...]]]:
    """Carry several readings to one condition: values, covariance, budgets."""
    near = float(np.mean([r.si for r, _ in readings]))
    prepared = prepare(job, near)
    model = prepared.model
    gauge = prepared.parameters.standard_uncertainty("gauge")
    parameters = _old_parameters(job, prepared.parameters, near)
    tape = practice("tape.reading")
    more: list[Parameter] = []
    for i, (length, condition) in enumerate(readings):
        u = length.standard_uncertainty
        noise = (tape.standard_uncertainty or tape.value) if u is None else u
        more.append(load_parameter(f"load_{i}", condition.load, gauge))
        more.append(Parameter(f"tape_{i}", 0.0, noise, "linear", "m", "tape", "tape reading"))
    more.append(load_parameter("wanted", wanted.load, 0.0))
    parameters = parameters.joined(ParameterVector.from_parameters(more))

    def model_lengths(q: dict[str, FloatArray]) -> dict[str, FloatArray]:
        out: dict[str, FloatArray] = {}
        for i, (length, condition) in enumerate(readings):
            out[f"length_{i}"] = _converted(model, q, i, length.si, condition, wanted)
        return out

    result = propagate(model_lengths, parameters)
    budgets = [result.budget(f"length_{i}") for i in range(len(readings))]
    return result.mean, result.covariance, budgets


def _converted(
    model: LineModel,
    q: dict[str, FloatArray],
    i: int,
    length: float,
    read: ReadingCondition,
    wanted: ReadingCondition,
) -> FloatArray:
    there = Condition(
        q[f"load_{i}"], read.zero_pin, read.far_pin, read.temperature - KELVIN_20
    )
    here = Condition(
        q["wanted"], wanted.zero_pin, wanted.far_pin, wanted.temperature - KELVIN_20
    )
    turns = np.maximum(q["old_turns"], 0.0)
    return convert(model, q, length, turns, there, here) + q[f"tape_{i}"]


def measuring_condition(job: Job) -> ReadingCondition:
    """Give the measuring condition of a job.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    ReadingCondition
        Measuring load over the standard's pins at 20 degC.
    """
    load = Entered(Fraction(measuring_load(job)), Fraction(0), "N", "measuring load")
    pin = practice("measuring.pin_diameter").value
    return ReadingCondition(load, pin, pin)


def _conditions(job: Job, reading: OldReading) -> ReadingCondition:
    pin = practice("measuring.pin_diameter").value
    zero = si(reading.zero_post, pin)
    return ReadingCondition(
        load=reading.load,
        zero_pin=zero,
        far_pin=si(reading.far_post, zero),
        temperature=si(reading.temperature, KELVIN_20),
    )


def _label_estimate(job: Job) -> Estimate | None:
    """Length that the label or the bow promises, at the measuring condition."""
    label = job.original.label
    if label is None:
        return None
    u = (LABEL_HALF_RANGE / 2.0) if label.length.standard_uncertainty is None else float(
        label.length.standard_uncertainty
    )
    if label.says == "string length":
        return Estimate(label.length.si, u, "m")
    standard = label.convention == "trade standard"
    row = practice("label.bow_length_allowance" if standard else "label.trade_allowance")
    spread = float(np.hypot(u, row.standard_uncertainty))
    return Estimate(label.length.si - row.value, spread, "m")


def original_length(job: Job) -> Estimate | None:
    """Length of the original at the measuring condition, from all its readings and its label.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    Estimate or None
        Best linear combination; None where nothing was read [m]

    Notes
    -----
    Readings share the make-up's uncertainty, so they are combined with their full covariance;
    the label is independent of them.
    """
    label = _label_estimate(job)
    if not job.original.readings:
        return label
    pairs = [(r.length, _conditions(job, r)) for r in job.original.readings]
    lengths, covariance, _ = _convert_all(job, pairs, measuring_condition(job))
    if label is not None:
        lengths = np.append(lengths, label.value)
        grown = np.zeros((len(lengths), len(lengths)))
        grown[:-1, :-1] = covariance
        grown[-1, -1] = label.u**2
        covariance = grown
    weights = np.linalg.solve(covariance, np.ones(len(lengths)))
    variance = 1.0 / weights.sum()
    return Estimate(float(weights @ lengths * variance), float(np.sqrt(variance)), "m")


def default_tolerance(length: float) -> float:
    """Give the tolerance asked where the job names none: 1/16 in, 1/8 in over 80 in.

    Parameters
    ----------
    length : float
        Finished length [m]

    Returns
    -------
    float
        Half-width [m]
    """
    return INCH / 8.0 if length > LONG_LINE else INCH / 16.0


def find_target(job: Job) -> Target:
    """Find the finished length that is asked for.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    Target
        The length, its uncertainty and where it comes from: the job's own figure first, then the
        readings and label of the original, then the shorthand.

    Raises
    ------
    SpecError
        If the job says nothing of a length.
    """
    shorthand = job_shorthand(job)
    notes: list[str] = []
    finished = job.line.finished
    original = original_length(job)
    if finished is not None:
        length = Estimate(finished.si, finished.standard_uncertainty or 0.0, "m")
        source = "asked for in the job"
    elif original is not None:
        length, source = original, "worked out from what was read off the original"
    elif shorthand is not None:
        length, source = Estimate(float(shorthand.length), 0.0, "m"), "the shorthand's own length"
    else:
        raise SpecError(
            "line.finished",
            "nothing",
            "a length is needed",
            "give line.finished, a reading or label of the original, or a shorthand",
        )
    notes += _notes(job, length, original)
    return Target(
        length=length,
        measuring_load=measuring_load(job),
        pin_diameter=practice("measuring.pin_diameter").value,
        tolerance=si(job.line.tolerance, default_tolerance(length.value)),
        source=source,
        notes=tuple(notes),
    )


def _notes(job: Job, length: Estimate, original: Estimate | None) -> list[str]:
    notes: list[str] = []
    units = job.paper.units
    if original is not None and job.line.finished is not None:
        text = format_length(original.value, system=units, fraction=32)
        apart = original.value - length.value
        if abs(apart) > 2.0 * float(np.hypot(original.u, length.u)) + 1e-9:
            notes.append(
                f"the original comes to {text}, which is not what is asked for: "
                "settle which is right before winding"
            )
        else:
            notes.append(f"the original comes to {text}, in keeping with what is asked for")
    if job.original.readings:
        low, high = (format_length(v, system=units) for v in (INCH / 4.0, INCH / 2.0))
        notes.append(
            f"a worn original may have stretched by {low} to {high} since it was made "
            "(trade pages): compare with the bow's axle-to-axle and brace height"
        )
    return notes
