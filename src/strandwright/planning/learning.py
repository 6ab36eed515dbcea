"""Learning inside a build: trial wraps and length readings narrow the unknowns of the plan."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from strandwright.errors import SpecError
from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import Settings, build
from strandwright.line.model import LineModel
from strandwright.line.route import Stage
from strandwright.numerics.parameters import ParameterVector
from strandwright.numerics.propagation import Model, propagate
from strandwright.planning.estimate import Estimate
from strandwright.planning.fits import NOCK_ALLOWANCE
from strandwright.planning.prepare import Prepared, at_mean
from strandwright.planning.result import Learned
from strandwright.planning.settings import Chosen, choose_settings, round_to
from strandwright.planning.tape import tape_uncertainty
from strandwright.planning.written import Written
from strandwright.statistics.interval import reading_of_interval
from strandwright.statistics.update import update
from strandwright.units import INCH
from strandwright.workshop.job import Job
from strandwright.workshop.parts import BuildReading, ServingSpec

#: Standard uncertainty of a diameter over a trial wrap by caliper; estimate [m]
CALIPER = 0.0015 * INCH
#: A reading further from what was expected than this many standard deviations is questioned [-]
SURPRISING = 3.0
#: One further off than this is not of this line as it is described: it is not learned from [-]
IMPOSSIBLE = 20.0
#: A parameter is spoken of when its mean moved by more than this share of its old spread [-]
WORTH_SAYING = 0.3


def learn_from_trial_wraps(prepared: Prepared) -> Prepared:
    """Use trial wraps: diameters measured over them, or how they sit in the nock.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.

    Returns
    -------
    Prepared
        With the flattening of the thread (and the squeeze under it) updated.
    """
    model, specs = prepared.model, {s.name: s for s in prepared.job.line.servings}
    for i, serving in enumerate(model.line.servings):
        spec = specs[serving.name]

        def outside(q: dict[str, FloatArray], i: int = i) -> dict[str, FloatArray]:
            return {"outside": model.servings(q)[i].outside_diameter}

        reading = _trial_reading(prepared, spec, outside)
        if reading is not None:
            value, variance = reading
            learned = update(
                prepared.parameters, outside, [value], [variance], reading="trial wrap"
            )
            prepared = replace(prepared, parameters=learned.parameters)
    return prepared


def _trial_reading(
    prepared: Prepared, spec: ServingSpec, outside: Model
) -> tuple[float, float] | None:
    """Value and variance of a trial wrap: by caliper, or by how it sits in the nock."""
    if spec.trial_diameter is not None:
        u = spec.trial_diameter.standard_uncertainty
        return spec.trial_diameter.si, (CALIPER if u is None else u) ** 2
    nock = prepared.job.bow.nock
    if spec.trial_in_nock is None or nock is None:
        return None
    low, high = nock.seat.si - NOCK_ALLOWANCE, nock.seat.si + NOCK_ALLOWANCE
    ends = {"fits": (low, high), "tight": (high, math.inf), "loose": (0.0, low)}
    expected = propagate(outside, prepared.parameters)
    value, variance = reading_of_interval(
        float(expected.mean[0]), float(expected.second_order[0]), *ends[spec.trial_in_nock]
    )
    return None if math.isinf(variance) else (value, variance)


def _as_read(
    prepared: Prepared, reading: BuildReading, stage: Stage, turns: float
) -> LineModel:
    """Give the model with that stage under the conditions it was really read in."""
    changes: dict[str, object] = {}
    if reading.load is not None:
        changes["load"] = reading.load.si
    if reading.turns is not None and stage.turns_share > 0.0:
        changes["turns_share"] = reading.turns / turns
    if reading.zero_pin is not None:
        changes["zero_pin"] = changes["far_pin"] = reading.zero_pin.si
    if reading.far_pin is not None:
        changes["far_pin"] = reading.far_pin.si
    if reading.rest is not None:
        changes["rest"] = reading.rest.si
    route = prepared.model.route
    changed = replace(stage, **changes)  # pyright: ignore[reportArgumentType]
    stages = tuple(changed if s.key == stage.key else s for s in route.stages)
    return replace(prepared.model, route=replace(route, stages=stages))


def after_readings(
    prepared: Prepared, chosen: Chosen
) -> tuple[Prepared, Chosen, tuple[Learned, ...]]:
    """Use the readings of a build, and choose again what is left to choose.

    Parameters
    ----------
    prepared : Prepared
        The job made ready; its job holds the readings.
    chosen : Chosen
        The settings before any reading; the posts are those it was wound at.

    Returns
    -------
    prepared : Prepared
        With the unknowns as known after all readings.
    chosen : Chosen
        Turns chosen anew; marks by what was known when they were laid.
    learned : tuple of Learned
        Each reading beside what was expected.

    Notes
    -----
    A reading that does not say its turns was taken at those of the plan made from the readings
    before it on the route.
    """
    order = [stage.key for stage in prepared.model.route.stages]
    numbered = list(enumerate(prepared.job.build.readings, start=1))
    for number, reading in numbered:
        _find_stage(prepared.model, reading, number)
    numbered.sort(key=lambda pair: order.index(pair[1].stage))
    marking = order.index("marking")
    turns = prepared.job.build.turns
    known, used, learned = prepared, [], ()
    latest = marked = chosen
    for number, reading in numbered:
        if order.index(reading.stage) < marking:
            marked = latest
        stage = prepared.model.route.stage(reading.stage)
        at = reading.turns
        if at is None:
            final = latest.settings.turns if turns is None else turns
            at = round_to(stage.turns_share * final, 0.5)
        used.append((number, reading.model_copy(update={"turns": at})))
        parameters, learned = learn_from_readings(prepared, marked.settings, used)
        known = replace(prepared, parameters=parameters)
        try:
            latest = choose_settings(known, at_mean(parameters))
        except SpecError as failure:
            raise _beyond_turns(prepared.job, used, learned, failure) from failure
    if order.index(numbered[-1][1].stage) < marking:
        marked = latest
    laid = marked.settings
    settings = replace(latest.settings, marks=laid.marks, spots=laid.spots)
    return known, replace(latest, settings=settings), learned


def learn_from_readings(
    prepared: Prepared, settings: Settings, readings: Sequence[tuple[int, BuildReading]]
) -> tuple[ParameterVector, tuple[Learned, ...]]:
    """Use the length readings of a build, all together: their order does not matter.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    settings : Settings
        What was set when they were read.
    readings : sequence of (int, BuildReading)
        Each reading with its number in the job, from 1 [-]

    Returns
    -------
    parameters : ParameterVector
        The unknowns as known afterwards.
    learned : tuple of Learned
        Each reading beside what was expected, and what they changed together, in words.

    Raises
    ------
    SpecError
        If the route has no such stage, or a reading is too far off to be of this line.
    """
    if not readings:
        return prepared.parameters, ()
    expected: list[_Expected] = [
        _expectation(prepared, settings, number, reading) for number, reading in readings
    ]

    def lengths(q: dict[str, FloatArray]) -> dict[str, FloatArray]:
        return {str(i): e.length(q) for i, e in enumerate(expected)}

    before = prepared.parameters
    prior = propagate(lengths, before)
    read = [r.length.si for _, r in readings]
    noise = [e.variance(at_mean(before)) for e in expected]
    spreads = np.hypot(prior.second_order, np.sqrt(noise))
    for (number, reading), mean, spread in zip(readings, prior.mean, spreads, strict=True):
        if abs(reading.length.si - mean) > IMPOSSIBLE * spread:
            raise _too_far_off(prepared.job, number, reading, Estimate(mean, spread, "m"))
    result = update(before, lengths, read, noise, reading="this build's readings")
    moved = tuple(_sentences(prepared.job, before, result.parameters))
    learned: list[Learned] = []
    for i, (_, reading) in enumerate(readings):
        mean, spread = float(prior.mean[i]), float(spreads[i])
        far = abs(read[i] - mean) > SURPRISING * spread
        learned.append(
            Learned(
                stage=reading.stage,
                text=reading.length.text,
                turns=reading.turns or 0.0,
                load=expected[i].load,
                expected=Estimate(mean, spread, "m"),
                read=read[i],
                surprising=far or bool(result.is_questionable),
                sentences=moved if i == len(readings) - 1 else (),
            )
        )
    return result.parameters, tuple(learned)


def _too_far_off(
    job: Job, number: int, reading: BuildReading, expected: Estimate, besides: str = ""
) -> SpecError:
    """Refuse a reading that cannot be of the line as described, beside what was expected."""
    return SpecError(
        f"build.readings[{number}]",
        reading.length.text,
        f"must be a reading of this line; {reading.stage} was expected at "
        f"{Written.on(job.paper).estimate(expected)}{besides}",
        "read it again, and look at the post setting and the turns it was made with",
    )


def _beyond_turns(
    job: Job,
    used: Sequence[tuple[int, BuildReading]],
    learned: Sequence[Learned],
    failure: SpecError,
) -> SpecError:
    """Name the reading that put the length out of reach; the posts, where all were as expected."""
    off = [abs(each.read - each.expected.value) / each.expected.u for each in learned]
    worst = int(np.argmax(off))
    if off[worst] <= SURPRISING:
        return failure
    besides = ", and with it no turns bring the line to length"
    return _too_far_off(job, *used[worst], learned[worst].expected, besides)


@dataclass(frozen=True)
class _Expected:
    """One reading and the model of what it should have been."""

    reading: BuildReading
    stage: Stage
    model: LineModel
    settings: Settings
    warmer: float | None

    @property
    def load(self) -> float:
        """Load on the gauge when it was read [N]."""
        return self.model.route.stage(self.stage.key).load

    def length(self, q: Mapping[str, FloatArray]) -> FloatArray:
        """Give the expected reading for many cases."""
        if self.warmer is not None:
            q = {**q, "warmth": np.full_like(q["warmth"], self.warmer)}
        return build(self.model, q, self.settings).stages[self.stage.key].length

    def variance(self, q: Mapping[str, FloatArray]) -> float:
        """Give the variance of the reading: the tape's, and that of a load told with a +-."""
        u = self.reading.length.standard_uncertainty
        variance = (tape_uncertainty() if u is None else u) ** 2
        load = self.reading.load
        if load is not None and load.standard_uncertainty is not None:
            step = 0.01 * load.si
            stages = tuple(
                replace(s, load=s.load + step) if s.key == self.stage.key else s
                for s in self.model.route.stages
            )
            route = replace(self.model.route, stages=stages)
            more = replace(self, model=replace(self.model, route=route))
            slope = float((more.length(q) - self.length(q))[0]) / step
            variance += (slope * load.standard_uncertainty) ** 2
        return variance


def _expectation(
    prepared: Prepared, settings: Settings, number: int, reading: BuildReading
) -> _Expected:
    stage = _find_stage(prepared.model, reading, number)
    turns = max(settings.turns, 1.0)
    wound_in = prepared.job.bench.temperature
    warmer = None
    if reading.temperature is not None and wound_in is not None:
        warmer = reading.temperature.si - wound_in.si
    model = _as_read(prepared, reading, stage, turns)
    return _Expected(reading, stage, model, replace(settings, turns=turns), warmer)


def _find_stage(model: LineModel, reading: BuildReading, number: int) -> Stage:
    for stage in model.route.stages:
        if stage.key == reading.stage:
            return stage
    raise SpecError(
        f"build.readings[{number}].stage",
        reading.stage,
        "must be a stage of this route",
        f"choose {', '.join(s.key for s in model.route.stages if s.reading)}",
    )


def _sentences(job: Job, before: ParameterVector, after: ParameterVector) -> list[str]:
    """Say which unknowns moved, from what to what."""
    said: list[tuple[float, str]] = []
    for i, name in enumerate(before.names):
        old_u = float(np.sqrt(before.covariance[i, i]))
        if old_u <= 0.0:
            continue
        moved = float(after.mean[i] - before.mean[i]) / old_u
        if abs(moved) >= WORTH_SAYING:
            old, new = before.value(name), after.value(name)
            said.append((abs(moved), f"{before.labels[i]} is {_shown(job, name, new)}, "
                         f"not {_shown(job, name, old)}"))  # fmt: skip
    return [text for _, text in sorted(said, reverse=True)[:3]]


def _shown(job: Job, name: str, value: float) -> str:
    """Write an unknown in the job's own units."""
    written = Written.on(job.paper)
    if name in ("bedding", "reopening", "creep", "scatter", "tape_scale"):
        return f"{100.0 * value:.3g} %"
    if name in ("setting_error", "loop_error"):
        return written.small(value)
    if name in ("drag", "bedding_scale", "stiffness"):
        return written.force(value)
    if name == "post_stiffness":
        return f"{value / 1000.0:.0f} N/mm"
    return f"{value:.2f}"
