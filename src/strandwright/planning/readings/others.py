"""Other readings of a build: diameters by caliper, spools weighed, strands counted."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strandwright.errors import SpecError
from strandwright.fibre.strand_law import FloatArray
from strandwright.planning.prepare import Prepared
from strandwright.planning.readings.caliper import CALIPER
from strandwright.planning.winding.plan import weighing_of
from strandwright.statistics.update import update
from strandwright.workshop.job import Job
from strandwright.workshop.parts import BuildDiameter, BuildMass, ColourStrands

#: What ``BuildDiameter.of`` says of the bare bundle
BARE = "bare"


def with_counted_strands(job: Job) -> Job:
    """Give a job with the strands that were really laid.

    Parameters
    ----------
    job : Job
        The job; its build may say how many strands were counted.

    Returns
    -------
    Job
        The same where none were counted; else the last colours give or take the difference.
    """
    counted = job.build.strands
    if counted is None or counted == job.makeup.strands:
        return job
    colours = _fitted(job.makeup.colours, counted)
    makeup = job.makeup.model_copy(update={"strands": counted, "colours": colours})
    return job.model_copy(update={"makeup": makeup})


def _fitted(colours: tuple[ColourStrands, ...], counted: int) -> tuple[ColourStrands, ...]:
    """Let the last colours give or take what the count differs by."""
    kept = list(colours)
    off = counted - sum(c.strands for c in colours)
    while kept and off:
        last = kept.pop()
        strands = last.strands + off
        if strands >= 1:
            kept.append(last.model_copy(update={"strands": strands}))
            off = 0
        else:
            off = strands
    return tuple(kept)


def learn_from_other_readings(prepared: Prepared) -> Prepared:
    """Use the diameters and masses of a build.

    Parameters
    ----------
    prepared : Prepared
        The job made ready; its build holds the readings.

    Returns
    -------
    Prepared
        With the unknowns as known after them.

    Raises
    ------
    SpecError
        If a diameter names no part of the line, or a mass no colour of it.
    """
    record = prepared.job.build
    for number, reading in enumerate(record.diameters, start=1):
        prepared = _after_diameter(prepared, number, reading)
    for number, reading in enumerate(record.masses, start=1):
        prepared = _after_mass(prepared, number, reading)
    return prepared


def _after_diameter(prepared: Prepared, number: int, reading: BuildDiameter) -> Prepared:
    model = prepared.model
    names = [s.name for s in model.line.servings]
    if reading.of != BARE and reading.of not in names:
        raise SpecError(
            f"build.diameters[{number}].of",
            reading.of,
            f"must be {BARE} or a serving of this line",
            f"choose {', '.join([BARE, *names])}",
        )

    def diameter(q: Mapping[str, FloatArray]) -> dict[str, FloatArray]:
        if reading.of == BARE:
            return {"diameter": model.core_diameter(q, served=False)}
        return {"diameter": model.servings(q)[names.index(reading.of)].outside_diameter}

    u = reading.diameter.standard_uncertainty
    variance = (CALIPER if u is None else u) ** 2
    learned = update(
        prepared.parameters, diameter, [reading.diameter.si], [variance], reading="caliper"
    )
    return replace(prepared, parameters=learned.parameters)


def _after_mass(prepared: Prepared, number: int, reading: BuildMass) -> Prepared:
    """Learn the strand's mass per length, which stands inside the unknown of packing.

    With :math:`t = \\ln(\\mu/\\bar\\mu)` the diameter feels :math:`\\ln p = \\ln\\phi - t`, so
    a reading of t with variance :math:`s^2` is one of :math:`\\ln p`, whose prior variance is
    :math:`P = u_\\phi^2 + u_t^2`, with variance :math:`P^2 (u_t^2 + s^2)/u_t^4 - P`: then mean
    and covariance move as by the joint update of t and :math:`\\phi`.
    """
    count = max(len(prepared.job.makeup.colours), 1)
    if reading.run >= count:
        raise SpecError(
            f"build.masses[{number}].run",
            str(reading.run),
            f"must be a colour of this line, 0 to {count - 1}",
            "count the colours from 0 in winding order",
        )
    weighing = weighing_of(prepared, 0.0)
    planned = reading.planned.si
    scale = reading.lost.standard_uncertainty or weighing.change_u
    t, noise = math.log(reading.lost.si / planned), (scale / planned) ** 2
    u_t = weighing.relative**2
    i = prepared.parameters.index("packing")
    before = float(prepared.parameters.covariance[i, i])
    if before <= u_t:
        return prepared
    variance = before**2 * (u_t + noise) / u_t**2 - before
    value = prepared.parameters.mean[i] - t * before / u_t

    def log_packing(q: Mapping[str, FloatArray]) -> dict[str, FloatArray]:
        return {"packing": np.log(q["packing"])}

    learned = update(
        prepared.parameters, log_packing, [value], [variance], reading="spools weighed"
    )
    return replace(prepared, parameters=learned.parameters)
