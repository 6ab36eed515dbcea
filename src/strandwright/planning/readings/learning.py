"""Learning inside a build: trial wraps and length readings narrow the unknowns of the plan."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from strandwright.errors import SpecError
from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import Settings, read_lengths
from strandwright.line.model import LineModel
from strandwright.line.route import Stage
from strandwright.line.unknowns import HEARD
from strandwright.numerics.parameters import ParameterVector
from strandwright.numerics.propagation import Model, propagate
from strandwright.planning.aim import aimed
from strandwright.planning.estimate import Estimate
from strandwright.planning.fits.checks import NOCK_ALLOWANCE
from strandwright.planning.forecast import Taught
from strandwright.planning.prepare import Prepared, at_mean
from strandwright.planning.readings.caliper import CALIPER
from strandwright.planning.readings.noise import read_noise
from strandwright.planning.readings.part_way import with_part_way
from strandwright.planning.result import Learned
from strandwright.planning.settings import Chosen, choose_settings, round_to
from strandwright.planning.unknowns import BY_EAR
from strandwright.planning.written import Written
from strandwright.statistics.interval import reading_of_interval
from strandwright.statistics.update import update
from strandwright.workshop.job import Job
from strandwright.workshop.parts import BuildReading, ServingSpec

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
    if reading.heard and prepared.job.bench.gauge != BY_EAR:
        changes["gauge"] = HEARD[0]
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
) -> tuple[Prepared, Chosen, Taught]:
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
    taught : Taught
        What the readings taught.

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
    known, used, taught = prepared, [], None
    if _needs_a_plan(numbered[0][1], order, marking, before=True):
        chosen = aimed(prepared, chosen)
    latest = marked = chosen
    for place, (number, reading) in enumerate(numbered):
        at = reading.turns
        if at is None:
            final = latest.settings.turns if turns is None else turns
            told = with_part_way(known, latest).model.route.stage(reading.stage)
            at = round_to(told.turns_share * final, 0.5)
        used.append((number, reading.model_copy(update={"turns": at})))
        after = [r for _, r in numbered[place + 1 : place + 2]]
        early = order.index(reading.stage) < marking
        if after and not _needs_a_plan(after[0], order, marking, before=early):
            continue
        parameters, taught = learn_from_readings(prepared, marked.settings, used)
        known = replace(prepared, parameters=parameters)
        try:
            straight = choose_settings(known, at_mean(parameters))
            as_laid = straight if early else with_marks(straight, marked)
            latest = aimed(known, as_laid, taught)
        except SpecError as failure:
            raise _beyond_turns(prepared.job, used, taught.learned, failure) from failure
        marked = latest if early else marked
    assert taught is not None
    return known, with_marks(latest, marked), taught


def with_marks(chosen: Chosen, laid: Chosen) -> Chosen:
    """Give settings with the marks of others.

    Parameters
    ----------
    chosen : Chosen
        Posts and turns.
    laid : Chosen
        What the marks were laid by.

    Returns
    -------
    Chosen
        Both together.
    """
    settings = replace(
        chosen.settings, marks=laid.settings.marks, spots=laid.settings.spots
    )
    return replace(chosen, settings=settings)


def _needs_a_plan(
    reading: BuildReading, order: list[str], marking: int, *, before: bool
) -> bool:
    """Whether a reading hangs on the plan made before it: for its turns, or its marks.

    ``before`` tells whether the reading before it was taken before the marks were laid.
    """
    marked = order.index(reading.stage) >= marking
    return reading.turns is None or (marked and before)


def learn_from_readings(
    prepared: Prepared, settings: Settings, readings: Sequence[tuple[int, BuildReading]]
) -> tuple[ParameterVector, Taught]:
    """Use the length readings of a build, all together: their order does not matter.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    settings : Settings
        What was set when they were read.
    readings : sequence of (int, BuildReading)
        Each reading with its number in the job, from 1; one at the least [-]

    Returns
    -------
    parameters : ParameterVector
        The unknowns as known afterwards.
    taught : Taught
        What they taught.

    Raises
    ------
    SpecError
        If the route has no such stage, or a reading is too far off to be of this line.
    """
    expected: list[_Expected] = [
        _expectation(prepared, settings, number, reading) for number, reading in readings
    ]

    shared = _read_in_one_build(expected)

    def lengths(q: dict[str, FloatArray]) -> dict[str, FloatArray]:
        found = {i: length for build in shared for i, length in build.lengths(q).items()}
        return {f"taken:{i}": found[i] for i in range(len(expected))}

    before = prepared.parameters
    prior = propagate(lengths, before)
    read = [r.length.si for _, r in readings]
    noise = [
        read_noise(
            prepared,
            e.load,
            turns=e.reading.turns or 0.0,
            length=e.reading.length,
            stated_load=e.reading.load,
            heard=e.reading.heard,
        )
        ** 2
        for e in expected
    ]
    spreads = np.hypot(prior.second_order, np.sqrt(noise))
    for (number, reading), mean, spread in zip(readings, prior.mean, spreads, strict=True):
        if abs(reading.length.si - mean) > IMPOSSIBLE * spread:
            raise _too_far_off(prepared.job, number, reading, Estimate(mean, spread, "m"))
    result = update(before, lengths, read, noise, reading="this build's readings")
    moved = tuple(what_moved(prepared.job, before, result.parameters))
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
    return result.parameters, Taught(tuple(learned), lengths, tuple(noise))


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
        return read_lengths(self.model, q, self.settings, [self.stage.key])[self.stage.key]


@dataclass(frozen=True)
class _SharedBuild:
    """Readings that one build can give: no two of one stage, none at a temperature of its own."""

    members: dict[int, _Expected]

    def lengths(self, q: Mapping[str, FloatArray]) -> dict[int, FloatArray]:
        """Give the expected readings by their index, for many cases."""
        if len(self.members) == 1:
            return {i: e.length(q) for i, e in self.members.items()}
        own = {e.stage.key: e.model.route.stage(e.stage.key) for e in self.members.values()}
        first = next(iter(self.members.values()))
        route = first.model.route
        stages = tuple(own.get(s.key, s) for s in route.stages)
        model = replace(first.model, route=replace(route, stages=stages))
        read = read_lengths(model, q, first.settings, own)
        return {i: read[e.stage.key] for i, e in self.members.items()}


def _read_in_one_build(expected: Sequence[_Expected]) -> list[_SharedBuild]:
    """Put readings together that one build gives: its stages do not act on one another."""
    shared: list[_SharedBuild] = []
    for i, each in enumerate(expected):
        for together in shared:
            taken = {other.stage.key for other in together.members.values()}
            if each.warmer is None and each.stage.key not in taken and all(
                other.warmer is None for other in together.members.values()
            ):
                together.members[i] = each
                break
        else:
            shared.append(_SharedBuild({i: each}))
    return shared


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


def what_moved(job: Job, before: ParameterVector, after: ParameterVector) -> list[str]:
    """Say which unknowns moved, from what to what.

    Parameters
    ----------
    job : Job
        The job, for its units.
    before, after : ParameterVector
        The unknowns before and after a reading.

    Returns
    -------
    list of str
        Three at most, the one that moved most first.
    """
    said: list[tuple[float, str]] = []
    for i, name in enumerate(before.names):
        old_u = float(np.sqrt(before.covariance[i, i]))
        if old_u <= 0.0:
            continue
        moved = float(after.mean[i] - before.mean[i]) / old_u
        if abs(moved) >= WORTH_SAYING:
            old, new = before.value(name), after.value(name)
            half = 2.0 * after.standard_uncertainty(name)
            half *= {"linear": 1.0, "log": new, "logit": new * (1.0 - new)}[after.scales[i]]
            said.append((abs(moved), f"{before.labels[i]} is {_shown(job, name, new, half)}, "
                         f"not {_shown(job, name, old)}"))  # fmt: skip
    return [text for _, text in sorted(said, reverse=True)[:3]]


def _shown(job: Job, name: str, value: float, spread: float = 0.0) -> str:
    """Write an unknown in the job's own units, with its +- where it is asked for."""
    written, found = Written.on(job.paper), Estimate(value, 0.5 * spread, "")
    if name in ("bedding", "reopening", "creep", "tape_scale") or name.startswith("own_"):
        digits = 2 if spread >= 1e-4 or not spread else 3
        half = f" ± {100.0 * spread:.{digits}f}" if spread else ""
        return f"{100.0 * value:.{digits}f}{half} %"
    if name in ("setting_error", "loop_error"):
        return written.small_estimate(replace(found, unit="m"))
    if name in ("drag", "bedding_scale", "stiffness"):
        return written.estimate(replace(found, unit="N"))
    if name == "post_stiffness":
        half = f" ± {spread / 1000.0:.0f}" if spread else ""
        return f"{value / 1000.0:.0f}{half} N/mm"
    return f"{value:.2f} ± {spread:.2f}" if spread else f"{value:.2f}"
