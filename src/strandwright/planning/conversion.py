"""Conversion: a length read at one load, over some pins, at some warmth, carried to another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strandwright.errors import LimitError
from strandwright.fibre.strand_law import FloatArray
from strandwright.line.convert import Condition, convert
from strandwright.line.model import LineModel
from strandwright.numerics.budget import Contribution
from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.numerics.propagation import propagate
from strandwright.planning.estimate import Estimate
from strandwright.planning.loops import EndLoop, original_loops
from strandwright.planning.prepare import Prepared, prepare
from strandwright.planning.readings.tape import reading_uncertainty
from strandwright.planning.take_off.original import as_original, laid_within, old_parameters
from strandwright.planning.unknowns import KELVIN_20
from strandwright.planning.written import Written
from strandwright.reference import practice
from strandwright.units import Entered, format_length
from strandwright.workshop.job import Job

#: A loop that was on its pin is longer than the shortest that closes by this at least [m]
_OPEN = 1e-6


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
    fields : tuple of str
        Where load, zero pin and far pin were entered, for messages.
    """

    load: Entered | str
    zero_pin: float
    far_pin: float
    temperature: float = KELVIN_20
    fields: tuple[str, str, str] = ("load", "zero_pin", "far_pin")


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


@dataclass(frozen=True)
class ConvertedReadings:
    """Several lengths carried to one condition, with what they have in common.

    Attributes
    ----------
    lengths : ndarray
        At the wanted condition, shape (n,) [m]
    covariance : ndarray
        Of the lengths, shape (n, n) [m^2]
    budgets : tuple of tuple
        For each length, what makes its uncertainty, largest first.
    """

    lengths: FloatArray
    covariance: FloatArray
    budgets: tuple[tuple[Contribution, ...], ...]


def convert_reading(
    job: Job, length: Entered, read: ReadingCondition, wanted: ReadingCondition
) -> ConvertedReading:
    """Carry a length read at one condition to another, with its +-.

    Parameters
    ----------
    job : Job
        Gives make-up, loops and bench of the line that was read: the original's own where they
        were noted.
    length : Entered
        Length as read by the bench's tape, with its +- if one was given.
    read, wanted : ReadingCondition
        The two conditions.

    Returns
    -------
    ConvertedReading
        True length at the wanted condition.

    Raises
    ------
    GeometryError
        If a loop does not close round a pin.
    LimitError
        If the line does not hold a load.

    Notes
    -----
    How long the load is held is not part of it: both lengths are as read soon after the load is
    on.
    """
    found = convert_readings(job, [(length, read)], wanted)
    u = float(np.sqrt(found.covariance[0, 0]))
    value = float(found.lengths[0])
    return ConvertedReading(
        Estimate(value, u, "m"), Estimate(value - length.si, u, "m"), found.budgets[0]
    )


def convert_readings(
    job: Job,
    readings: Sequence[tuple[Entered, ReadingCondition]],
    wanted: ReadingCondition,
) -> ConvertedReadings:
    """Carry several readings of one line to one condition.

    Parameters
    ----------
    job : Job
        As in :func:`convert_reading`.
    readings : sequence of (Entered, ReadingCondition)
        Lengths as read, n >= 1, and how they were read.
    wanted : ReadingCondition
        The wanted condition.

    Returns
    -------
    ConvertedReadings
        True lengths with their covariance.

    Raises
    ------
    GeometryError
        If a loop does not close round a pin.
    LimitError
        If the line does not hold a load.

    Notes
    -----
    The covariance is taken at lengths that agree, what each reading would be on a line of their
    mean: so a reading has no smaller +- for being the shorter one.
    """
    conditions = [condition for _, condition in readings]
    loops = original_loops(job)
    for condition in (*conditions, wanted):
        _refuse_thick_pins(job, loops, condition)
    near = float(np.mean([length.si for length, _ in readings]))
    old = laid_within(as_original(job), near)
    prepared = prepare(old, near)
    for condition in (*conditions, wanted):
        _refuse_overload(prepared, condition)
    conversion = _Conversion(prepared.model, loops, conditions, wanted)
    lengths = np.array([length.si for length, _ in readings])
    own = [p for i, (length, c) in enumerate(readings) for p in _own_parameters(job, i, length, c)]
    own += _load_parameters("wanted", wanted)
    parameters = old_parameters(prepared, near)
    parameters = parameters.joined(ParameterVector.from_parameters(own))
    middle = parameters.middle
    carried = conversion.there(middle, lengths)
    agreed = conversion.back(middle, float(carried.mean()))

    def model_lengths(q: dict[str, FloatArray]) -> dict[str, FloatArray]:
        found = conversion.there(q, agreed)
        return {f"length_{i}": found[:, i] for i in range(len(readings))}

    result = propagate(model_lengths, parameters)
    return ConvertedReadings(
        lengths=carried[0] + (result.mean - result.value),
        covariance=result.covariance,
        budgets=tuple(result.budget(f"length_{i}") for i in range(len(readings))),
    )


def load_parameter(name: str, load: Entered | str) -> Parameter | None:
    """Give what is known of one load, where it is not read on the bench's gauge.

    Parameters
    ----------
    name : str
        Name of the parameter.
    load : Entered or str
        The load, with its +- if one was given, or the words for an unmeasured one.

    Returns
    -------
    Parameter or None
        On a log scale; None for a load without +-, which is as true as the gauge, and so are
        all the others read on it.
    """
    if isinstance(load, str):
        datum = practice("load.hand_tight" if load == "hand-tight" else "load.unknown_strap")
        return Parameter(
            name, datum.value, datum.relative_uncertainty, "log", "N", datum.source, f"{load} load"
        )
    spread = load.standard_uncertainty
    if spread is None:
        return None
    source = "stated with the reading"
    return Parameter(name, load.si, spread / load.si, "log", "N", source, "load at the reading")


def _load_parameters(key: str | int, condition: ReadingCondition) -> list[Parameter]:
    found = load_parameter(f"load_{key}", condition.load)
    return [] if found is None else [found]


def _own_parameters(
    job: Job, i: int, length: Entered, condition: ReadingCondition
) -> list[Parameter]:
    """What one reading has for itself: its tape's reading, and its load if stated so."""
    noise = reading_uncertainty(job, length)
    tape = Parameter(f"tape_{i}", 0.0, noise, "linear", "m", "tape", "tape reading")
    return [*_load_parameters(i, condition), tape]


def _refuse_thick_pins(
    job: Job, loops: tuple[EndLoop, EndLoop], condition: ReadingCondition
) -> None:
    pins = (condition.zero_pin, condition.far_pin)
    for loop, pin, field in zip(loops, pins, condition.fields[1:], strict=True):
        if not loop.closes(pin):
            units = job.paper.units
            raise loop.refusal(field, format_length(pin, system=units, fraction=64))


def _refuse_overload(prepared: Prepared, condition: ReadingCondition) -> None:
    """Refuse a load at which nobody can have read this line, or ever will."""
    load = condition.load
    if isinstance(load, str):
        return
    holds = prepared.model.line.strand_count * prepared.model.stock.break_load
    if load.si > holds:
        most = Written.on(prepared.job.paper).force(holds)
        rule = f"must be less than what the strands of this line break at, {most}"
        raise LimitError(condition.fields[0], load.text, rule, "check the load and the strands")


@dataclass(frozen=True)
class _Conversion:
    """The way of several readings to one condition, and back.

    Attributes
    ----------
    model : LineModel
        The line that was read.
    loops : tuple of EndLoop
        Its loops.
    read : sequence of ReadingCondition
        How each was read.
    wanted : ReadingCondition
        The condition they are carried to.
    """

    model: LineModel
    loops: tuple[EndLoop, EndLoop]
    read: Sequence[ReadingCondition]
    wanted: ReadingCondition

    def there(self, q: dict[str, FloatArray], lengths: FloatArray) -> FloatArray:
        """True lengths at the wanted condition, shape (B, n), of readings (n,) [m]."""
        places = [self._condition(q, i, c) for i, c in enumerate(self.read)]
        aim = self._condition(q, "wanted", self.wanted)
        q = self._closed(q, [*places, aim])
        turns = np.maximum(q["old_turns"], 0.0)
        true = [
            (length + q[f"tape_{i}"]) / (1.0 + q["tape_scale"]) for i, length in enumerate(lengths)
        ]
        found = [
            convert(self.model, q, length, turns, place, aim)
            for length, place in zip(true, places, strict=True)
        ]
        return np.stack(found, axis=1)

    def back(self, q: dict[str, FloatArray], length: float) -> FloatArray:
        """What each reading would be on a line of that length, at the means, shape (n,) [m]."""
        places = [self._condition(q, i, c) for i, c in enumerate(self.read)]
        aim = self._condition(q, "wanted", self.wanted)
        q = self._closed(q, [*places, aim])
        turns = np.maximum(q["old_turns"], 0.0)
        found = [convert(self.model, q, length, turns, aim, place) for place in places]
        return np.concatenate(found)

    def _condition(
        self, q: dict[str, FloatArray], key: str | int, condition: ReadingCondition
    ) -> Condition:
        """Give the condition with its true load: stated, or read on the bench's one gauge."""
        load = q.get(f"load_{key}")
        if load is None:
            assert not isinstance(condition.load, str)
            # The wanted load is the true one: nobody reads it.
            share = np.ones_like(q["gauge"]) if key == "wanted" else q["gauge"]
            load = condition.load.si * share
        warmth = condition.temperature - KELVIN_20
        return Condition(load, condition.zero_pin, condition.far_pin, warmth)

    def _closed(
        self, q: dict[str, FloatArray], conditions: Sequence[Condition]
    ) -> dict[str, FloatArray]:
        """Bound the loops' error from below: they were on these pins, so they close round them."""
        at_measure = self.model.line.measuring_load * np.ones_like(q["stiffness"])
        measured = self.model.strain(q, at_measure)
        error = q["loop_error"]
        for condition in conditions:
            grown = (1.0 + self.model.strain(q, condition.load)) / (1.0 + measured)
            for end, pin in zip(self.loops, (condition.zero_pin, condition.far_pin), strict=True):
                least = (end.least_perimeter(pin) + _OPEN) / grown
                error = np.maximum(error, least - end.loop.perimeter)
        return {**q, "loop_error": error}
