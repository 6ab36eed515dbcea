"""Planning a line: from a job to everything the technician needs, with its +-."""

from __future__ import annotations

import base64
import hashlib
import math
from dataclasses import replace

import numpy as np

from strandwright.errors import SpecError
from strandwright.line.build import Settings
from strandwright.line.layout import throat_distance
from strandwright.line.unknowns import Unknowns
from strandwright.numerics.propagation import Propagation
from strandwright.planning.aim import aimed
from strandwright.planning.cautions import UNKNOWN_RATING
from strandwright.planning.entries.refusals import refuse_impossible
from strandwright.planning.estimate import Estimate
from strandwright.planning.fits.checks import check_fits
from strandwright.planning.fits.low_stretch import is_too_stiff
from strandwright.planning.forecast import forecast
from strandwright.planning.four_posts.arms import swing_of
from strandwright.planning.guided import Tools
from strandwright.planning.laid.boarding import plan_cutting
from strandwright.planning.landing import plan_landing
from strandwright.planning.mass import line_mass
from strandwright.planning.prepare import Prepared, at_mean, prepare
from strandwright.planning.readings.learning import after_readings, learn_from_trial_wraps
from strandwright.planning.readings.noise import read_noise
from strandwright.planning.readings.others import (
    learn_from_other_readings,
    with_counted_strands,
)
from strandwright.planning.readings.part_way import with_part_way
from strandwright.planning.result import (
    Learned,
    Plan,
    StagePlan,
    Strength,
    Target,
)
from strandwright.planning.servings.plan import (
    estimate,
    plan_loops,
    plan_marks,
    plan_servings,
)
from strandwright.planning.settings import Chosen, choose_settings, wanted_turns
from strandwright.planning.strength.margins import (
    arrow_mass,
    check_strength,
    rating_warning,
    refuse_overload,
)
from strandwright.planning.take_off.target import find_target, what_decides
from strandwright.planning.twist_plan import MOST_ADVISED, plan_twist
from strandwright.planning.winding.plan import plan_winding
from strandwright.planning.written import Written, half_turns
from strandwright.planning.yoke.effects import reserve_warnings
from strandwright.reference import practice
from strandwright.units import INCH
from strandwright.workshop.job import Job

#: Version of what a plan's numbers mean; a change of model that moves them raises it.
MODEL_VERSION = 3


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
    """
    job = with_counted_strands(job)
    refuse_impossible(job)
    target = target or find_target(job)
    prepared = learn_from_trial_wraps(prepare(job, target.length.value))
    prepared = learn_from_other_readings(prepared)
    chosen, taught = choose_settings(prepared, at_mean(prepared.parameters)), None
    if job.build.readings:
        _refuse_without_posts(job)
        prepared, chosen, taught = after_readings(prepared, chosen)
    else:
        chosen = aimed(prepared, chosen)
    prepared = with_part_way(prepared, chosen)
    spread = forecast(prepared, chosen.settings, taught)
    return assemble(prepared, target, chosen, spread, taught.learned if taught else ())


def _refuse_without_posts(job: Job) -> None:
    if job.build.wound_at is None and job.route.wound_at is None:
        raise SpecError(
            "build.wound_at",
            "nothing",
            "must be given where there is a reading, for that line is wound",
            "give the post setting it was wound at",
        )


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
    text = f"{MODEL_VERSION}\n{job.model_dump_json(exclude_defaults=True)}"
    digest = hashlib.sha256(text.encode()).digest()
    return base64.b32encode(digest).decode()[:8].lower()


def assemble(
    prepared: Prepared,
    target: Target,
    chosen: Chosen,
    spread: Propagation,
    learned: tuple[Learned, ...] = (),
) -> Plan:
    """Gather every part of the plan from one predicted build.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    target : Target
        The length asked for.
    chosen : Chosen
        Post setting, turns, marks and how they were arrived at.
    spread : Propagation
        The predicted build.
    learned : tuple of Learned
        Readings used so far.

    Returns
    -------
    Plan
        The plan, whole.

    Raises
    ------
    LimitError
        If a load goes over a limit, or the beam does not reach.
    """
    model, job, settings = prepared.model, prepared.job, chosen.settings
    q = at_mean(prepared.parameters)
    twist = plan_twist(prepared, q, chosen, spread)
    strength = check_strength(prepared, twist.strength_kept)
    refuse_overload(prepared, strength)
    swing_of(prepared, settings)  # refuses arms that this skein cannot be swung on
    tools = Tools(
        read_noise(prepared, prepared.loads.measure, turns=settings.turns),
        abs(twist.next_turn.value),
        0.5,
    )
    landing, buys = plan_landing(prepared, target, spread, tools)
    servings = plan_servings(model, q, settings, spread)
    loops = plan_loops(model, q)
    mass = line_mass(prepared, q, servings, loops)
    highest = max(check.load.value for check in strength.checks)
    if job.line.laid is None:
        winding = plan_winding(prepared, q, settings, spread, highest)
    else:
        winding = plan_cutting(prepared, q, chosen, spread, highest)
    return Plan(
        id=plan_id(job),
        job=job,
        target=target,
        route=model.route,
        loads=prepared.loads,
        winding=winding,
        stages=plan_stages(prepared, settings, spread, buys),
        servings=servings,
        loops=loops,
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
        arrow_mass=arrow_mass(job, mass),
        load_per_kelvin=load_per_kelvin(prepared, q),
        landing=landing,
        rest=prepared.loads.rest,
        warnings=(*warnings_of(prepared, target, strength, chosen), *winding.warnings),
        learned=learned,
        parameters=prepared.parameters,
        spread=spread,
        chosen=chosen,
    )


def load_per_kelvin(prepared: Prepared, q: Unknowns) -> Estimate:
    """Change of the load on locked posts when line and beam get a kelvin warmer.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    q : mapping
        Unknowns at their means, arrays of shape (1,).

    Returns
    -------
    Estimate
        EA of the whole line times the difference of the expansions, positive when the load
        rises [N/K]
    """
    beam = practice(f"beam.{prepared.job.bench.beam}.expansion")
    fibre = prepared.strand.datum("expansion")
    stiffness = float(prepared.model.line_stiffness(q, late=False)[0])
    apart = beam.value - fibre.value
    u = float(
        np.hypot(
            stiffness * np.hypot(beam.standard_uncertainty, fibre.standard_uncertainty),
            stiffness * apart * prepared.parameters.standard_uncertainty("stiffness"),
        )
    )
    return Estimate(stiffness * apart, u, "N/K")


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
        turns = stage.turns_share * settings.turns
        told = estimate(spread, f"read:{stage.key}", "m")
        noise = read_noise(prepared, stage.load, turns=turns)
        prefix = f"edge:{stage.key}:"
        edges = [n for n in spread.outputs if n.startswith(prefix)]
        plans.append(
            StagePlan(
                key=stage.key,
                title=stage.title,
                load=stage.load,
                pins=(stage.zero_pin, stage.far_pin),
                turns=turns,
                length=replace(told, u=math.hypot(told.u, noise)),
                edges=tuple(estimate(spread, n, "m") for n in edges),
                reading=stage.reading,
                buys=buys.get(stage.key, 0.0),
            )
        )
    return tuple(plans)


def warnings_of(
    prepared: Prepared, target: Target, strength: Strength, chosen: Chosen
) -> tuple[str, ...]:
    """Gather what must be settled before the work starts.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    target : Target
        The length asked for.
    strength : Strength
        The line's strength.
    chosen : Chosen
        The settings.

    Returns
    -------
    tuple of str
        One sentence each.
    """
    job, turns = prepared.job, chosen.settings.turns
    said = [
        f"{f.finding}{' at ' + f.where if f.where else ''}: "
        + {"ask": "ask the owner before building", "refuse": "do not fit a new line until mended",
           "mended": "mended; look again before fitting",
           "note": "noted; look again before fitting"}[f.decision]
        for f in job.original.stop
    ]  # fmt: skip
    if is_too_stiff(job.bow, prepared.model.stock.fibre):
        said.append(
            "a low-stretch line on an old or wooden bow can break it: take polyester, or have the "
            "bow maker or a qualified technician confirm"
        )
    if 2.0 * target.length.u > target.tolerance:
        written = Written.on(job.paper)
        said.append(
            f"the length asked is itself known to ± {written.half_range(target.length.u95)} "
            f"only: {what_decides(by_brace=target.per_brace is not None)}"
        )
    rough = rating_warning(prepared)
    if rough:
        said.append(rough)
    if prepared.model.bench.rated_load is None:
        said.append(UNKNOWN_RATING)
    body = prepared.model.twisting_length
    if turns > MOST_ADVISED * body:
        said.append(
            f"{half_turns(turns)} turns are more than we advise in this body, "
            f"{MOST_ADVISED * body:.0f}: inner strands go slack and strength is lost; wind it "
            "shorter"
        )
    if chosen.reserve > 0.0 and not job.build.readings:
        longer = Written.on(job.paper).fine(max(chosen.reserve, INCH / 32.0))
        made = ("wound", "the skein") if job.line.laid is None else ("laid", "it")
        said.append(
            f"{made[0]} {longer} longer than {half_turns(wanted_turns(prepared))} turns need, lest "
            f"{made[1]} come out too short, for turns only shorten it: expect {half_turns(turns)}"
        )
    said += reserve_warnings(prepared, turns)
    given = job.route.wound_at is not None or job.build.wound_at is not None
    if given and abs(turns - wanted_turns(prepared)) > 2.0 and not job.build.readings:
        said.append(
            f"wound at this post setting it takes {half_turns(turns)} turns, not the "
            f"{half_turns(wanted_turns(prepared))} asked for"
        )
    if job.bench.loop_pin is None:
        pin = Written.on(job.paper).length(prepared.model.bench.loop_pin)
        said.append(
            f"closed loops are taken to hang on {pin} pins: say bench.loop_pin if they hang on "
            "thicker ones"
        )
    if job.bench.tape != "steel":
        said.append(f"a {job.bench.tape} tape stretches: use a steel one for this work")
    for check in strength.checks:
        if check.verdict != "fine":
            word = "over what is usual" if check.verdict == "warn" else "too much for this line"
            said.append(
                f"{check.name}: {100.0 * check.share.value:.0f} % of the derated break load, {word}"
            )
    return tuple(said)
