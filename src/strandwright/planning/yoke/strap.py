"""Strap: a short line that hangs by its middle in a cable's far loop, planned as a line."""

from __future__ import annotations

import math

import numpy as np

from strandwright.errors import InputError, InputErrors, SolveError
from strandwright.line.layout import throat_distance
from strandwright.line.parts import Hand, Line
from strandwright.line.yoke.parts import Body, FloatingYoke, Frame, Strap
from strandwright.line.yoke.strap import StrapModel, StrapState, settle_strap
from strandwright.planning.estimate import Estimate
from strandwright.planning.makings.yoke import leg_turns
from strandwright.planning.prepare import Prepared, at_mean, make_loads, prepare
from strandwright.planning.result.plan import Plan
from strandwright.planning.result.yoke import StrapPlan
from strandwright.planning.strand_stock import known_strand
from strandwright.reference import practice
from strandwright.units import Dimension, Entered, parse
from strandwright.workshop.job import Job
from strandwright.workshop.makings import SplitYoke, YokeStrap
from strandwright.workshop.parts import (
    BuildRecord,
    LineLoads,
    LineSpec,
    LoopEnd,
    Original,
)


def strap_job(job: Job) -> Job:
    """Give the job of the strap alone: each of its sides carries half of the cable's load.

    Parameters
    ----------
    job : Job
        The cable's job, its yoke made with a strap.

    Returns
    -------
    Job
        A short cable of two loops, proved at half the measuring load.

    Notes
    -----
    On the bow its sides spread to the axle's ends and carry :math:`F / (2\\cos\\alpha)`. On the
    jig it is pulled straight, at half of the cable's loads.
    """
    yoke = job.line.yoke
    assert yoke is not None
    spec = yoke.strap or YokeStrap()
    far = job.line.far_end
    thread = far.thread if spec.thread is None else spec.thread
    size = far.size if spec.loop is None else spec.loop
    line = LineSpec(
        name="strap",
        kind=job.line.kind,
        zero_end=LoopEnd(name="left", size=size, thread=thread),
        far_end=LoopEnd(name="right", size=size, thread=thread),
        finished=_length(2.0 * yoke.leg.si),
        tolerance=job.line.tolerance,
    )
    makeup = job.makeup.model_copy(
        update={
            "strands": spec.strands or max(job.makeup.strands // 2, 2),
            "colours": (),
            "pattern": "free",
            "separator": None,
            "turns": 2.0 * leg_turns(yoke),
            "twist": None,
        }
    )
    changes = {"line": line, "makeup": makeup, "original": Original(), "build": BuildRecord()}
    return _at_half(job.model_copy(update=changes), 0.5 / spread_cosine(yoke))


def spread_cosine(yoke: SplitYoke) -> float:
    """Give the cosine of a yoke's legs to the body's line, from span and length of leg.

    Parameters
    ----------
    yoke : SplitYoke
        The yoke.

    Returns
    -------
    float
        1 where the span is not given [-]
    """
    span = 0.0 if yoke.span is None else yoke.span.si
    sine = min(0.5 * span / yoke.leg.si, 0.99)
    return math.sqrt(1.0 - sine * sine)


def _at_half(job: Job, on_bow: float) -> Job:
    """Give a job with every load halved on the jig, and that share of them on the bow."""
    cable = loads_of(job)
    loads = {name: _force(0.5 * cable[name]) for name in cable}
    given = job.bow.loads
    bow = job.bow.model_copy(
        update={
            "draw_weight": _part(job.bow.draw_weight, on_bow),
            "loads": LineLoads(
                resting=_part(given.resting, on_bow),
                highest=_part(given.highest, on_bow),
                release=_part(given.release, on_bow),
            ),
            "now": type(job.bow.now)(),
            "wanted": type(job.bow.wanted)(),
            "trials": (),
        }
    )
    route = job.route.model_copy(update={**loads, "wound_at": None})
    bench = job.bench.model_copy(update={"arms": None})
    return job.model_copy(update={"bow": bow, "route": route, "bench": bench})


def loads_of(job: Job) -> dict[str, float]:
    """Give the loads of the cable's own route.

    Parameters
    ----------
    job : Job
        A job; its line's lengths do not matter.

    Returns
    -------
    dict
        By their names in the job file [N]
    """
    loads = make_loads(job, known_strand(job))
    names = ("equalise", "stretch", "settle", "serve", "measure")
    return {name: getattr(loads, name) for name in names}


def _part(entered: Entered | None, share: float) -> Entered | None:
    if entered is None:
        return None
    u = entered.standard_uncertainty
    doubt = "" if u is None else f" +- {2.0 * share * u:.6g}"
    return parse(Dimension.FORCE, f"{share * entered.si:.6g} N{doubt}", field="strap")


def _force(newtons: float) -> Entered:
    return parse(Dimension.FORCE, f"{newtons:.6g} N", field="strap")


def _length(metres: float) -> Entered:
    return parse(Dimension.LENGTH, f"{1000.0 * metres:.6g} mm", field="strap")


def plan_strap(plan: Plan) -> StrapPlan:
    """Plan the strap of a cable, and what both are together.

    Parameters
    ----------
    plan : Plan
        The cable's plan, its yoke made with a strap.

    Returns
    -------
    StrapPlan
        The strap; where this bench cannot make it, why.
    """
    yoke = plan.job.line.yoke
    assert yoke is not None
    job = strap_job(plan.job)
    small, why = _planned(job)
    prepared = prepare(plan.job, plan.target.length.value, plan.parameters)
    hung = prepare(job, 2.0 * yoke.leg.si, plan.parameters)
    friction = practice("yoke.friction").value
    if yoke.strap is not None and yoke.strap.friction is not None:
        friction = yoke.strap.friction.si
    state = hanging(plan, prepared, hung.model.line, friction, yoke)
    model_turns = 2.0 * leg_turns(yoke)
    span = 0.0 if yoke.span is None else yoke.span.si
    ratio, angle = float(state.limit[0]), float(state.yoke.leg_angles[0, 0])
    load = prepared.model.line.measuring_load
    tight = ratio / (1.0 + ratio) / math.cos(angle)
    own = 0.5 * (0.0 if small is None else small.landing.guided_u)
    strands = job.makeup.strands
    return StrapPlan(
        strands=strands,
        length=2.0 * yoke.leg.si,
        posts=None if small is None else small.winding.posts_outside,
        cut=strands * 2.0 * yoke.leg.si if small is None else _cut(small),
        turns=model_turns if small is None else small.twist.turns,
        turns_range=(model_turns, model_turns)
        if small is None
        else (small.twist.turns_low, small.twist.turns_high),
        loop=job.line.zero_end.size.si,
        thread=job.line.zero_end.thread or "",
        overall=Estimate(float(state.yoke.overall[0]), math.hypot(plan.landing.guided_u, own), "m"),
        friction=friction,
        ratio=ratio,
        shares=(tight, tight / ratio),
        most_moment=0.5 * span * load * (ratio - 1.0) / (ratio + 1.0),
        why_not=why,
    )


def _planned(job: Job) -> tuple[Plan | None, str]:
    """Plan the strap as a line of its own; a short one may be beyond the bench."""
    # Imported here: planning a line leads here again by the yoke it may have.
    from strandwright.planning.plan_line import plan_line

    try:
        return plan_line(job), ""
    except (InputError, InputErrors, SolveError) as error:
        why = _why(error)
    if job.bench.shortest is None:
        return None, why
    # Where only the posts do not come so near, the strap's numbers hold on a shorter bench.
    bench = job.bench.model_copy(update={"shortest": None})
    try:
        return plan_line(job.model_copy(update={"bench": bench})), why
    except (InputError, InputErrors, SolveError) as error:
        return None, _why(error)


def _why(error: InputError | InputErrors | SolveError) -> str:
    """Say what stands in the way, without its place in a job file that nobody wrote."""
    first = error.errors[0] if isinstance(error, InputErrors) else error
    return f"{first.rule}; {first.remedy}" if isinstance(first, InputError) else str(first)


def _cut(plan: Plan) -> float:
    return sum(run.thread_length for run in plan.winding.runs)


def hanging(
    plan: Plan, prepared: Prepared, strap: Line, friction: float, yoke: SplitYoke
) -> StrapState:
    """Hang a strap in the eye of its cable, under the measuring load.

    Parameters
    ----------
    plan : Plan
        The cable's plan.
    prepared : Prepared
        Its job made ready.
    strap : Line
        The strap as a line.
    friction : float
        Coefficient in the eye [-]
    yoke : SplitYoke
        The yoke.

    Returns
    -------
    StrapState
        At rest, laid with its middle in the eye.
    """
    line, q = prepared.model.line, at_mean(plan.parameters)
    pin, thick = line.pin_diameter, strap.zero.leg_thickness
    # The cable is proved over a pin; the strap is another one, and it hangs by its middle.
    reach = line.length - throat_distance(line.far, pin)
    reach += throat_distance(line.far, thick) - 0.5 * thick
    turns = 2.0 * leg_turns(yoke)
    cable = FloatingYoke(
        strap=Strap(
            strap.length, strap.zero, strap.far, strap.strand_count, turns, Hand(strap.hand),
            friction,
        ),
        body=Body(reach, line.zero, line.strand_count, plan.chosen.settings.turns, line.hand),
        eye=line.far,
        frame=Frame(0.0 if yoke.span is None else yoke.span.si, pin, pin),
        measuring_load=line.measuring_load,
    )  # fmt: skip
    model = StrapModel(prepared.model.stock, cable)
    load = np.full(1, line.measuring_load)
    return settle_strap(model, q, model.naturals(q), load).value
