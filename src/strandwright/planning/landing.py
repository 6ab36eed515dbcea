"""Landing: how surely the line comes to length, blind and with the readings the route asks for."""

from __future__ import annotations

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.numerics.budget import Contribution, rank_contributions
from strandwright.numerics.propagation import Propagation
from strandwright.planning.estimate import Estimate
from strandwright.planning.guided import (
    Tools,
    guided_uncertainty,
    values_of_readings,
)
from strandwright.planning.prepare import Prepared
from strandwright.planning.readings.noise import read_noise
from strandwright.planning.result import Landing, Target
from strandwright.planning.worth.grounds import Grounds
from strandwright.planning.worth.heard import heard_said
from strandwright.statistics.acceptance import chance_within, judge


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
        Blind and guided uncertainty, chances, budgets, acceptance.
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
    grounds = Grounds(
        prepared, spread, tools, target.length.value, target.tolerance, spread.parameters
    )
    every = grounds.asked(proof=True)
    landing = Landing(
        blind=blind,
        chance_blind=float(chance_within(error, blind.u, target.tolerance)),
        guided_u=guided,
        chance_first=grounds.chance(grounds.asked(proof=False)),
        chance=grounds.chance(every),
        chance_of_original=grounds.chance(every, asked_u=target.length.u),
        budget=spread.budget("finished"),
        guided_budget=_guided_budget(spread, after, tools),
        heard=heard_said(grounds, guided),
        proof=judge(read or 0.0, proof_u, target.tolerance),
        proved=read is not None,
        proof_u=proof_u,
        to_come=to_come,
        grounds=grounds,
    )
    return landing, buys


def _proof_read(prepared: Prepared, wanted: float) -> float | None:
    """Error of the last proof reading against what it should read, None before it."""
    proofs = [r for r in prepared.job.build.readings if r.stage == "proof"]
    return proofs[-1].length.si - wanted if proofs else None


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


