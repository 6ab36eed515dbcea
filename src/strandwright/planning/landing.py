"""Landing: how surely the line comes to length, blind and with the readings the route asks for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.numerics.budget import Contribution, rank_contributions
from strandwright.numerics.parameters import ParameterVector
from strandwright.numerics.propagation import Propagation
from strandwright.planning.estimate import Estimate
from strandwright.planning.prepare import Prepared
from strandwright.planning.read_noise import read_noise
from strandwright.planning.result import Landing, Remedy, Target
from strandwright.reference import practice
from strandwright.statistics.acceptance import chance_within, judge
from strandwright.statistics.update import expected_posterior, expected_uncertainty

#: Scale of a tape that was checked against a known rule: 1/64 in in 26 ft; estimate [-]
CHECKED_TAPE = 5.0e-5


@dataclass(frozen=True)
class Tools:
    """What limits the readings and corrections of a build.

    Attributes
    ----------
    reading : float
        Standard uncertainty of one reading by itself, tape and pull [m]
    turn_effect : float
        Change of length by one turn, taken positive [m]
    turn_step : float
        Smallest step of the turns [turn]
    """

    reading: float
    turn_effect: float
    turn_step: float

    @property
    def step_u(self) -> float:
        """Standard uncertainty left by correcting in whole steps [m]."""
        return self.turn_effect * self.turn_step / float(np.sqrt(12.0))


def asked_readings(prepared: Prepared) -> tuple[str, ...]:
    """Give the stages where a length reading is asked for and not yet taken, in order.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.

    Returns
    -------
    tuple of str
        Stage keys.
    """
    taken = {reading.stage for reading in prepared.job.build.readings}
    stages = prepared.model.route.stages
    return tuple(s.key for s in stages if s.reading and s.key not in taken)


def values_of_readings(
    prepared: Prepared, spread: Propagation, reading: float
) -> tuple[dict[str, float], FloatArray]:
    """What each asked reading takes off the finished length's uncertainty, in order.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    spread : Propagation
        The predicted build.
    reading : float
        Standard uncertainty of one reading by itself, tape and pull [m]

    Returns
    -------
    buys : dict
        By stage, the fall in standard uncertainty when it is read after the ones before [m]
    covariance : ndarray
        Of the unknowns after all readings, shape (p, p).
    """
    parameters, asked = spread.parameters, asked_readings(prepared)
    if not asked:
        return {}, parameters.covariance
    finished, rows = _slopes(spread, asked)
    noise = np.full(len(rows), reading**2)
    before = float(spread.first_order[spread.index("finished")])
    buys: dict[str, float] = {}
    for count, key in enumerate(asked, start=1):
        after = expected_uncertainty(parameters, finished, rows[:count], noise[:count])
        buys[key] = before - after
        before = after
    return buys, expected_posterior(parameters, rows, noise)


def _slopes(spread: Propagation, asked: Sequence[str]) -> tuple[FloatArray, FloatArray]:
    """Slopes of the finished length, shape (p,), and of readings at some stages, shape (m, p)."""
    rows = [spread.index("finished"), *(spread.index(f"read:{key}") for key in asked)]
    slopes = spread.jacobian[rows]
    return slopes[0], slopes[1:]


def plan_landing(
    prepared: Prepared, target: Target, spread: Propagation, tools: Tools
) -> tuple[Landing, dict[str, float]]:
    """Work out the landing of a plan.

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

    Returns
    -------
    landing : Landing
        Blind and guided uncertainty, budgets, remedies, acceptance.
    buys : dict
        What each reading takes off, by stage [m]
    """
    row = spread.index("finished")
    blind = Estimate(float(spread.mean[row]), float(spread.second_order[row]), "m")
    buys, after = values_of_readings(prepared, spread, tools.reading)
    to_come = float(spread.mean[spread.index("read:proof")] - spread.mean[row])
    read = _proof_read(prepared, target.length.value + to_come)
    guided = guided_uncertainty(prepared, spread, tools, spread.parameters)
    error = blind.value - target.length.value
    proof_u = proof_uncertainty(spread, read_noise(prepared, prepared.loads.measure))
    landing = Landing(
        blind=blind,
        chance_blind=float(chance_within(error, blind.u, target.tolerance)),
        guided_u=guided,
        chance=float(chance_within(0.0, guided, target.tolerance)),
        chance_of_original=float(
            chance_within(0.0, float(np.hypot(guided, target.length.u)), target.tolerance)
        ),
        budget=spread.budget("finished"),
        guided_budget=_guided_budget(spread, after, tools),
        remedies=_remedies(prepared, target, spread, tools, guided),
        proof=judge(read or 0.0, proof_u, target.tolerance),
        proved=read is not None,
        proof_u=proof_u,
        to_come=to_come,
    )
    return landing, buys


def _proof_read(prepared: Prepared, wanted: float) -> float | None:
    """Error of the last proof reading against what it should read, None before it."""
    proofs = [r for r in prepared.job.build.readings if r.stage == "proof"]
    return proofs[-1].length.si - wanted if proofs else None


def guided_uncertainty(
    prepared: Prepared, spread: Propagation, tools: Tools, parameters: ParameterVector
) -> float:
    """Standard uncertainty of the finished length after every asked reading and correction.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    spread : Propagation
        Slopes of the build.
    tools : Tools
        Tape and turn steps.
    parameters : ParameterVector
        What is known beforehand; may differ from that of ``spread``.

    Returns
    -------
    float
        Standard uncertainty [m]
    """
    finished, rows = _slopes(spread, asked_readings(prepared))
    noise = np.full(len(rows), tools.reading**2)
    left = expected_uncertainty(parameters, finished, rows, noise)
    return math.hypot(left, tools.step_u)


def proof_uncertainty(spread: Propagation, reading: float) -> float:
    """Standard uncertainty of the proof reading as a measurement of the true finished length.

    Parameters
    ----------
    spread : Propagation
        Slopes of the build.
    reading : float
        Standard uncertainty of one reading by itself, tape and pull [m]

    Returns
    -------
    float
        Standard uncertainty: what moves the reading but not the line (gauge), and the reading by
        itself [m]
    """
    slopes = spread.jacobian
    apart = slopes[spread.index("read:proof")] - slopes[spread.index("finished")]
    variance = float(apart @ spread.parameters.covariance @ apart)
    return float(np.sqrt(max(variance, 0.0) + reading**2))


def _guided_budget(
    spread: Propagation, covariance: FloatArray, tools: Tools
) -> tuple[Contribution, ...]:
    after = spread.parameters.with_updated(spread.parameters.mean, covariance)
    slopes = spread.jacobian[spread.index("finished")]
    variance = float(slopes @ covariance @ slopes)
    total = variance + tools.step_u**2
    parts = [
        _scaled(part, variance / total)
        for part in rank_contributions(after, slopes, variance)
        if part.parameter != "curvature"
    ]
    step = Contribution(
        parameter="turn_step",
        label="correcting in half turns",
        source="the smallest turn that is put in",
        sensitivity=tools.turn_effect,
        standard_uncertainty=tools.step_u,
        share=tools.step_u**2 / total,
    )
    return tuple(sorted([*parts, step], key=lambda c: -c.share))


def _scaled(part: Contribution, factor: float) -> Contribution:
    return Contribution(
        parameter=part.parameter,
        label=part.label,
        source=part.source,
        sensitivity=part.sensitivity,
        standard_uncertainty=part.standard_uncertainty,
        share=part.share * factor,
    )


def _remedies(
    prepared: Prepared, target: Target, spread: Propagation, tools: Tools, now: float
) -> tuple[Remedy, ...]:
    """What would shrink the guided uncertainty, best first; what gains nothing is left out."""
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
    found: list[Remedy] = []
    for name, known, tools in options:
        u = guided_uncertainty(prepared, spread, tools, known)
        if u < 0.99 * now:
            found.append(Remedy(name, u, float(chance_within(0.0, u, target.tolerance))))
    return tuple(sorted(found, key=lambda r: r.u))


def _narrowed(parameters: ParameterVector, name: str, u: float) -> ParameterVector:
    """Give the parameters with one of them known to a smaller uncertainty."""
    i = parameters.index(name)
    scale = np.ones(len(parameters.names))
    scale[i] = u / float(np.sqrt(parameters.covariance[i, i]))
    return parameters.with_updated(parameters.mean, parameters.covariance * np.outer(scale, scale))
