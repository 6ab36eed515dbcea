"""Planning a line: from a job to everything the technician needs, with its +-."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import replace

import numpy as np

from strandwright.errors import SpecError
from strandwright.fibre.settling import rest_needed
from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import Settings
from strandwright.line.layout import throat_distance
from strandwright.line.model import Unknowns
from strandwright.numerics.parameters import ParameterVector
from strandwright.numerics.propagation import Propagation, propagate
from strandwright.planning.cautions import UNKNOWN_RATING
from strandwright.planning.estimate import Estimate
from strandwright.planning.fits import check_fits
from strandwright.planning.landing import Bench, plan_landing, tape_uncertainty
from strandwright.planning.learning import learn_from_readings, learn_from_trial_wraps
from strandwright.planning.predict import predict
from strandwright.planning.prepare import Prepared, prepare
from strandwright.planning.refusals import refuse_impossible
from strandwright.planning.result import (
    Learned,
    Plan,
    ServingPlan,
    StagePlan,
    Strength,
    Target,
)
from strandwright.planning.servings_plan import estimate, plan_marks, plan_servings
from strandwright.planning.settings import Chosen, choose_settings
from strandwright.planning.strength import check_strength, refuse_overload
from strandwright.planning.take_off import find_target
from strandwright.planning.twist_plan import plan_twist
from strandwright.planning.winding_plan import plan_winding
from strandwright.workshop.job import Job, write_job

#: Version of what a plan's numbers mean; a change of model that moves them raises it.
MODEL_VERSION = 1
#: Delayed recovery may still move a line by this when it is proved: 1/128 in [m]
RECOVERY_LEFT = 0.0254 / 128.0


#: Unknowns that act on the length through each other: drag on posts that give, the load's error
#: on stretch and bedding-in.
INTERACTING = ("bedding", "drag", "post_stiffness", "gauge", "stiffness")


def plan_line(job: Job, target: Target | None = None) -> Plan:
    """Plan a line, using the readings its job already holds.

    Parameters
    ----------
    job : Job
        The job.
    target : Target or None
        The target found before, to be used again while the make-up and what was read off the
        original stay as they were; None finds it.

    Returns
    -------
    Plan
        The plan, whole.

    Raises
    ------
    InputError
        If the job contradicts itself or goes over a limit.
    OutsideValidRange
        If no turns bring a line to length that is wound already.
    """
    refuse_impossible(job)
    target = target or find_target(job)
    prepared = learn_from_trial_wraps(prepare(job, target.length.value))
    prior = at_mean(prepared.parameters)
    chosen = choose_settings(prepared, prior)
    parameters, learned = prepared.parameters, ()
    if job.build.readings:
        _refuse_without_posts(job)
        parameters, learned = learn_from_readings(
            prepared, chosen.settings, job.build.turns or chosen.settings.turns
        )
        prepared = replace(prepared, parameters=parameters)
        chosen = _again(prepared, chosen)
    settings = chosen.settings
    spread = propagate(
        lambda x: predict(prepared.model, settings, x), parameters, interacting=INTERACTING
    )
    return _assemble(prepared, target, chosen, spread, learned)


def at_mean(parameters: ParameterVector) -> dict[str, FloatArray]:
    """Give the unknowns at their means, arrays of shape (1,).

    Parameters
    ----------
    parameters : ParameterVector
        The unknowns.

    Returns
    -------
    dict
        By name.
    """
    return parameters.natural(parameters.mean[None, :])


def _refuse_without_posts(job: Job) -> None:
    if job.build.wound_at is None and job.route.wound_at is None:
        raise SpecError(
            "build.wound_at",
            "nothing",
            "a reading belongs to a line that is wound",
            "give the post setting it was wound at",
        )


def _again(prepared: Prepared, chosen: Chosen) -> Chosen:
    """Choose the turns that are left to choose; posts and marks stay as they were set."""
    new = choose_settings(prepared, at_mean(prepared.parameters))
    return replace(new, exact_posts=chosen.exact_posts)


def plan_id(job: Job) -> str:
    """Give the identity of the plan that a job leads to.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    str
        Eight letters and digits; the same job and model give the same.
    """
    text = f"{MODEL_VERSION}\n{write_job(job)}"
    digest = hashlib.sha256(text.encode()).digest()
    return base64.b32encode(digest).decode()[:8].lower()


def _assemble(
    prepared: Prepared,
    target: Target,
    chosen: Chosen,
    spread: Propagation,
    learned: tuple[Learned, ...],
) -> Plan:
    """Gather every part of the plan from one predicted build."""
    model, job, settings = prepared.model, prepared.job, chosen.settings
    q = at_mean(prepared.parameters)
    twist = plan_twist(prepared, q, chosen, spread)
    strength = check_strength(prepared, twist.strength_kept)
    refuse_overload(prepared, strength)
    bench = Bench(tape_uncertainty(), abs(twist.next_turn.value), 0.5)
    landing, buys = plan_landing(prepared, target, spread, bench)
    servings = plan_servings(model, q, settings, spread)
    mass = line_mass(prepared, q, servings)
    return Plan(
        id=plan_id(job),
        job=job,
        target=target,
        route=model.route,
        winding=plan_winding(
            prepared, q, settings, spread, max(c.load.value for c in strength.checks)
        ),
        stages=plan_stages(prepared, settings, spread, buys),
        servings=servings,
        marks=plan_marks(model, spread, settings),
        throats=(
            throat_distance(model.line.zero, model.line.pin_diameter),
            throat_distance(model.line.far, model.line.pin_diameter),
        ),
        twist=twist,
        bare_diameter=estimate(spread, "bare", "m"),
        strength=strength,
        fits=check_fits(prepared, q, spread),
        mass=mass,
        arrow_mass=Estimate(mass.value / 3.0, mass.u / 3.0, "kg"),
        landing=landing,
        rest=rest_before_proof(prepared, q),
        warnings=warnings_of(prepared, strength),
        learned=learned,
        parameters=prepared.parameters,
    )

def plan_stages(
    prepared: Prepared, settings: Settings, spread: Propagation, buys: dict[str, float]
) -> tuple[StagePlan, ...]:
    """Plan what the tape should read in every recorded state.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    settings : Settings
        Post setting, turns, marks.
    spread : Propagation
        The predicted build.
    buys : dict
        What each reading takes off the finished length's uncertainty, by stage [m]

    Returns
    -------
    tuple of StagePlan
        In the route's order.
    """
    plans: list[StagePlan] = []
    for stage in prepared.model.route.stages:
        prefix = f"edge:{stage.key}:"
        edges = [n for n in spread.outputs if n.startswith(prefix)]
        plans.append(
            StagePlan(
                key=stage.key,
                title=stage.title,
                load=stage.load,
                pins=(stage.zero_pin, stage.far_pin),
                turns=stage.turns_share * settings.turns,
                length=estimate(spread, f"read:{stage.key}", "m"),
                edges=tuple(estimate(spread, n, "m") for n in edges),
                reading=stage.reading,
                buys=buys.get(stage.key, 0.0),
            )
        )
    return tuple(plans)


def line_mass(prepared: Prepared, q: Unknowns, servings: tuple[ServingPlan, ...]) -> Estimate:
    """Mass of the finished line: strands with their wax, servings, what is tied in.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    q : mapping
        Unknowns at their means, arrays of shape (1,).
    servings : tuple of ServingPlan
        The servings.

    Returns
    -------
    Estimate
        Mass [kg]
    """
    model = prepared.model
    stock = model.stock
    zero, far = model.loop_naturals(q)
    edges = model.layout.edges
    run = float(edges[-1] - edges[0]) + 0.5 * float(zero[0] + far[0])
    strands = model.line.strand_count * run * stock.linear_density * (1.0 + stock.wax)
    relative = prepared.strand.datum("linear_density").relative_uncertainty
    thread = sum(s.mass.value for s in servings)
    tied = sum(m.mass for m in model.line.marks)
    u = float(np.hypot(strands * relative, 0.2 * thread))
    return Estimate(strands + thread + tied, u, "kg")


def rest_before_proof(prepared: Prepared, q: Unknowns) -> float:
    """Rest after the stretch until delayed recovery can no longer move the reading.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    q : mapping
        Unknowns at their means, arrays of shape (1,).

    Returns
    -------
    float
        Rest [s]
    """
    model = prepared.model
    proof = model.route.stage("proof")
    over = max(max(proof.creep_load, proof.highest_twisted) - proof.load, 0.0)
    whole = model.line.length * float((q["recovery"] * model.strain(q, over * q["gauge"]))[0])
    return rest_needed(min(RECOVERY_LEFT / whole, 1.0)) if whole > 0.0 else 0.0


def warnings_of(prepared: Prepared, strength: Strength) -> tuple[str, ...]:
    """Gather what must be settled before the work starts.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    strength : Strength
        The line's strength.

    Returns
    -------
    tuple of str
        One sentence each.
    """
    job = prepared.job
    said = [
        f"{f.finding}{' at ' + f.where if f.where else ''}: "
        + {"ask": "ask the owner before building", "refuse": "do not fit a new line until mended",
           "mended": "mended; look again before fitting"}[f.decision]
        for f in job.original.stop
    ]  # fmt: skip
    if job.bow.old_or_wooden and prepared.model.stock.fibre != "polyester":
        said.append(
            "a low-stretch line on an old or wooden bow can break it: take polyester, or have the "
            "bow maker or a qualified technician confirm"
        )
    if prepared.model.bench.rated_load is None:
        said.append(UNKNOWN_RATING)
    for check in strength.checks:
        if check.verdict != "fine":
            word = "over what is usual" if check.verdict == "warn" else "too much for this line"
            said.append(
                f"{check.name}: {100.0 * check.share.value:.0f} % of the derated break load, {word}"
            )
    return tuple(said)
