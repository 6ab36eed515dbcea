"""Learning inside a build: trial wraps and length readings narrow the unknowns of the plan."""

from __future__ import annotations

import math
from dataclasses import replace

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
from strandwright.planning.landing import tape_uncertainty
from strandwright.planning.prepare import Prepared
from strandwright.planning.result import Learned
from strandwright.statistics.interval import reading_of_interval
from strandwright.statistics.update import update
from strandwright.units import INCH, format_length
from strandwright.workshop.job import Job
from strandwright.workshop.parts import BuildReading, ServingSpec

#: Standard uncertainty of a diameter over a trial wrap by caliper; estimate [m]
CALIPER = 0.0015 * INCH
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


def _stage_as_read(stage: Stage, reading: BuildReading, settings: Settings) -> Stage:
    """Give the stage under the load and turns it was really read at."""
    changed = stage
    if reading.load is not None:
        changed = replace(changed, load=reading.load.si)
    if reading.turns is not None and stage.turns_share > 0.0:
        changed = replace(changed, turns_share=reading.turns / settings.turns)
    return changed


def learn_from_readings(
    prepared: Prepared, settings: Settings, planned_turns: float
) -> tuple[ParameterVector, tuple[Learned, ...]]:
    """Use the length readings of a build, one after the other.

    Parameters
    ----------
    prepared : Prepared
        The job made ready; its job holds the readings.
    settings : Settings
        What was set when they were read.
    planned_turns : float
        Final turns of the plan, for stages that name a share of them [turn]

    Returns
    -------
    parameters : ParameterVector
        The unknowns as known afterwards.
    learned : tuple of Learned
        What each reading changed, in words.

    Raises
    ------
    SpecError
        If the route has no such stage.
    """
    job = prepared.job
    parameters = prepared.parameters
    found: list[Learned] = []
    for number, reading in enumerate(job.build.readings, start=1):
        stage = _find_stage(prepared.model, reading, number)
        base = replace(settings, turns=planned_turns)
        as_read = _stage_as_read(stage, reading, base)
        route = replace(
            prepared.model.route,
            stages=tuple(
                as_read if s.key == stage.key else s for s in prepared.model.route.stages
            ),
        )
        model = replace(prepared.model, route=route)

        def expected(
            q: dict[str, FloatArray], m: LineModel = model, s: Settings = base, k: str = stage.key
        ) -> dict[str, FloatArray]:
            return {k: build(m, q, s).stages[k].length}

        u = reading.length.standard_uncertainty
        noise = tape_uncertainty() if u is None else u
        result = update(
            parameters, expected, [reading.length.si], [noise**2], reading=f"{stage.key} reading"
        )
        spread = abs(float(result.innovation[0] / result.normalised_innovation[0]))
        found.append(
            Learned(
                stage=stage.key,
                expected=Estimate(reading.length.si - float(result.innovation[0]), spread, "m"),
                read=reading.length.si,
                surprising=bool(result.is_questionable),
                sentences=tuple(_sentences(job, parameters, result.parameters)),
            )
        )
        parameters = result.parameters
    return parameters, tuple(found)


def _find_stage(model: LineModel, reading: BuildReading, number: int) -> Stage:
    for stage in model.route.stages:
        if stage.key == reading.stage:
            return stage
    raise SpecError(
        f"build.readings[{number}].stage",
        reading.stage,
        "is a stage of this route",
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
    if name in ("bedding", "creep", "scatter"):
        return f"{100.0 * value:.2f} %"
    if name in ("setting_error", "loop_error"):
        return format_length(value, system=job.paper.units, fraction=64)
    if name in ("drag", "bedding_scale"):
        return f"{value / 4.4482216152605:.1f} lbf"
    if name == "post_stiffness":
        return f"{value / 1000.0:.0f} N/mm"
    if name == "stiffness":
        return f"{value / 4.4482216152605:.0f} lbf"
    return f"{value:.2f}"
