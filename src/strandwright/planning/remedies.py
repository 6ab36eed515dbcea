"""Remedies: what would make a line land more surely, and what hearing its load has done."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from strandwright.numerics.parameters import ParameterVector
from strandwright.numerics.propagation import Propagation
from strandwright.planning.guided import Tools, guided_uncertainty
from strandwright.planning.hearing.known import heard_uncertainty, mass_known
from strandwright.planning.prepare import Prepared
from strandwright.planning.read_noise import read_noise
from strandwright.planning.result import Remedy, Target
from strandwright.planning.unknowns import BY_EAR
from strandwright.planning.written import Written
from strandwright.reference import practice
from strandwright.statistics.acceptance import chance_within

#: Scale of a tape that was checked against a known rule: 1/64 in in 26 ft; estimate [-]
CHECKED_TAPE = 5.0e-5


def find_remedies(
    prepared: Prepared, target: Target, spread: Propagation, tools: Tools, now: float
) -> tuple[Remedy, ...]:
    """Say what would shrink the guided uncertainty.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    target : Target
        The length asked for.
    spread : Propagation
        The predicted build with its slopes.
    tools : Tools
        Tape and turn steps.
    now : float
        The guided uncertainty as it is [m]

    Returns
    -------
    tuple of Remedy
        Best first; what gains nothing is left out.
    """
    cell, load = practice("gauge.load_cell").value, prepared.loads.measure
    parameters = spread.parameters
    options: list[tuple[str, ParameterVector, Tools]] = [
        ("read the proof and each stage twice and take the mean", parameters,
         replace(tools, reading=tools.reading / math.sqrt(2.0))),
        ("put in the last turns by quarters", parameters, replace(tools, turn_step=0.25)),
    ]  # fmt: skip
    if parameters.standard_uncertainty("tape_scale") > 2.0 * CHECKED_TAPE:
        options.append(
            (
                "check the tape against a known rule and allow for it",
                _narrowed(parameters, "tape_scale", CHECKED_TAPE),
                tools,
            )
        )
    if parameters.standard_uncertainty("gauge") > 1.2 * cell:
        options.append(
            (
                "put a load cell on the pull",
                _narrowed(parameters, "gauge", cell),
                replace(tools, reading=read_noise(prepared, load, gauge="load cell")),
            )
        )
    options += _of_the_load(prepared, parameters, tools)
    found: list[Remedy] = []
    for name, known, tools in options:
        u = guided_uncertainty(prepared, spread, tools, known)
        if u < 0.99 * now:
            found.append(Remedy(name, u, float(chance_within(0.0, u, target.tolerance))))
    return tuple(sorted(found, key=lambda r: r.u))


def _of_the_load(
    prepared: Prepared, parameters: ParameterVector, tools: Tools
) -> list[tuple[str, ParameterVector, Tools]]:
    """Hear the load, or know better the mass of the line that is heard."""
    job, load = prepared.job, prepared.loads.measure
    u = parameters.standard_uncertainty("gauge")
    if job.bench.gauge != BY_EAR:
        heard = heard_uncertainty(job, prepared.strand, load, prepared.model.line.length)
        if u < 1.2 * heard:
            return []
        by_ear = replace(tools, reading=read_noise(prepared, load, gauge=BY_EAR))
        return [("hear the load in the pluck", _narrowed(parameters, "gauge", heard), by_ear)]
    mass = mass_known(job, prepared.strand).standard_uncertainty
    weighed = math.sqrt(max(u**2 - mass**2, 0.0))
    if not job.makeup.colours or job.build.masses or weighed > 0.8 * u:
        return []
    return [("weigh the spools before and after", _narrowed(parameters, "gauge", weighed), tools)]


def heard_said(
    prepared: Prepared, target: Target, spread: Propagation, tools: Tools, now: float
) -> str:
    """Say what it did to the +- that the loads are heard and not judged by feel.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    target : Target
        The length asked for.
    spread : Propagation
        The predicted build with its slopes.
    tools : Tools
        Tape and turn steps.
    now : float
        The guided uncertainty as it is [m]

    Returns
    -------
    str
        A sentence; empty where the bench does not go by ear.
    """
    if prepared.job.bench.gauge != BY_EAR:
        return ""
    load, to = prepared.loads.measure, Written.on(prepared.job.paper)
    felt = _narrowed(spread.parameters, "gauge", practice("gauge.none").value)
    by_feel = replace(tools, reading=read_noise(prepared, load, gauge="none"))
    u = guided_uncertainty(prepared, spread, by_feel, felt)
    chance = float(chance_within(0.0, u, target.tolerance))
    heard = 200.0 * spread.parameters.standard_uncertainty("gauge")
    return (
        f"Loads that are heard are good to {heard:.0f} %: the finished length stands to "
        f"\u00b1 {to.small(2.0 * now)}, where loads judged by feel would leave "
        f"\u00b1 {to.small(2.0 * u)} and a chance of {to.chance(chance)}"
    )


def _narrowed(parameters: ParameterVector, name: str, u: float) -> ParameterVector:
    """Give the parameters with one of them known to another uncertainty."""
    i = parameters.index(name)
    scale = np.ones(len(parameters.names))
    scale[i] = u / float(np.sqrt(parameters.covariance[i, i]))
    return parameters.with_updated(parameters.mean, parameters.covariance * np.outer(scale, scale))
