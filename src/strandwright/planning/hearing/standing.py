"""How a line stands at a step: what lies between its pins, by section, when it is plucked."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import SpecError
from strandwright.geometry.eye import fit_eye
from strandwright.line.build import build
from strandwright.line.model import LineModel
from strandwright.line.parts import Loop
from strandwright.line.route import Stage
from strandwright.line.states import StageState
from strandwright.line.unknowns import Unknowns
from strandwright.planning.hearing.known import solid_bending
from strandwright.planning.prepare import Prepared, at_mean, prepare
from strandwright.planning.readings.noise import stretch_per_load
from strandwright.planning.result import LoopPlan, Plan, Step
from strandwright.vibration.ends import LineEnd, LoopOnPin, swings_along

Floats = NDArray[np.float64]

#: The recorded state that the line is in at a step which records none, by the step's identity
STATE_AT = {
    "even": "bare",
    "stretch-bare": "bare",
    "stretch-twisted": "twisted",
    "settle-part": "half",
    "settle": "proof",
}


@dataclass(frozen=True)
class Standing:
    """A line between its pins at a load, swinging along the pins.

    Attributes
    ----------
    target : float
        The load that the step asks for [N].
    length : ndarray, shape (sections,)
        Of each section at that load, in the direction of the line [m].
    fibre : ndarray, shape (sections,)
        Waxed strands on a length of each section [kg/m].
    thread : ndarray, shape (sections,)
        Serving thread on a length of each section [kg/m].
    solid : ndarray, shape (sections,)
        Bending stiffness of each section as if its strands were glued together [N m^2].
    stretch : float
        Load that would stretch the line by its own length, at that load [N].
    length_u : float
        Standard uncertainty of the whole length [m].
    zero : float
        From the outside of the zero pin to where the first section begins [m].
    free : tuple of (float, float)
        Where the bare body begins and ends, from the start of the first section [m].
    closed : bool
        Whether its loops are closed; else it is a skein round two posts.
    """

    target: float
    length: Floats
    fibre: Floats
    thread: Floats
    solid: Floats
    stretch: float
    length_u: float
    zero: float
    free: tuple[float, float]
    closed: bool


def can_hear(step: Step) -> bool:
    """Whether the line is under a load at a step, so that it sounds.

    Parameters
    ----------
    step : Step
        The step.

    Returns
    -------
    bool
        True when it is.
    """
    return step.load is not None and bool(step.stage or STATE_AT.get(step.id))


def standing_at(plan: Plan, step: Step) -> Standing:
    """Give how the line of a plan stands at a step.

    Parameters
    ----------
    plan : Plan
        The plan as the readings have it.
    step : Step
        The step.

    Returns
    -------
    Standing
        The line under the step's load.

    Raises
    ------
    SpecError
        If the line is under no load at that step.
    """
    if not can_hear(step) or step.load is None:
        rule = "must be a step at which the line is under load"
        raise SpecError("step", step.id, rule, "choose a step that loads the line or reads it")
    return standing_in(plan, step.stage or STATE_AT[step.id], step.load)


def standing_in(plan: Plan, key: str, load: float) -> Standing:
    """Give how the line of a plan stands in one of its recorded states.

    Parameters
    ----------
    plan : Plan
        The plan as the readings have it.
    key : str
        The state.
    load : float
        Load on the line, > 0 [N]

    Returns
    -------
    Standing
        The line under that load.
    """
    prepared = prepare(plan.job, plan.target.length.value, plan.parameters)
    stage = replace(plan.route.stage(key), load=load)
    stages = tuple(stage if s.key == key else s for s in plan.route.stages)
    model = replace(prepared.model, route=replace(plan.route, stages=stages))
    state = build(model, at_mean(plan.parameters), plan.chosen.settings).stages[key]
    u = next((s.length.u for s in plan.stages if s.key == key), plan.target.length.u)
    return _standing(replace(prepared, model=model), stage, state, plan.loops, u)


def _standing(
    prepared: Prepared,
    stage: Stage,
    state: StageState,
    loops: tuple[LoopPlan, ...],
    length_u: float,
) -> Standing:
    model, q = prepared.model, at_mean(prepared.parameters)
    strand = prepared.strand
    count = model.line.strand_count
    strands = count * strand.stock.linear_density * (1.0 + strand.stock.wax)
    solid = solid_bending(strand, count, float(q["stiffness"][0]))
    grown = float(model.growth(q, stage)[0])
    stretch = model.line.length * stage.load / stretch_per_load(prepared, stage.load)
    if not stage.closed:
        strained = grown * (1.0 + float(model.strain(q, stage.load * q[stage.gauge])[0]))
        radii = 0.5 * (model.bench.zero_post + model.bench.far_post)
        long = np.array([float(state.length[0]) - radii])
        # Each of the two bundles carries half the load, has half the mass and half the width.
        return Standing(stage.load, long, np.array([strands / strained]), np.zeros(1),
                        np.array([0.5 * solid]), stretch, length_u, 0.5 * model.bench.zero_post,
                        (0.0, float(long[0])), False)  # fmt: skip
    edges = state.edges[0]
    assert state.spans is not None
    _refuse_fork(model)
    # A line that is marked to be served has its segments' edges, though none is on yet.
    parts, layout = model.line.parts, model.layout
    whole = len(edges) - 1 == len(parts)
    section = np.arange(len(parts)) if whole and not stage.served else np.array(layout.section)
    kinds = model.kinds if stage.served else layout.bare_kinds[section]
    many = np.array([parts[i].strands for i in section])
    # What was laid in later weighs, but lies slack at what a jig pulls: it bends nothing stiffer.
    bear = many - np.array([parts[i].late for i in section])
    fibre = many * strands / (state.spans.length[0][kinds] * grown)
    thread = _thread(model, q, stage, len(kinds))
    ends = [
        _end(prepared, stage, model.line.zero, stage.zero_pin, strands * model.line.zero.strands),
        _end(prepared, stage, model.line.far, stage.far_pin, strands * model.line.far.strands),
    ]
    reach = [float(end.length[0]) for end in ends]
    begin = float(edges[0]) - reach[0]
    return Standing(
        target=stage.load,
        length=np.array([reach[0], *np.diff(edges), reach[1]]),
        fibre=np.array([_strands_of(ends[0]), *fibre, _strands_of(ends[1])]),
        thread=np.array([_wrapped(loops[0], model.line.zero), *thread,
                         _wrapped(loops[1], model.line.far)]),
        solid=np.array([float(ends[0].bending_stiffness[0]), *(solid * many * bear),
                        float(ends[1].bending_stiffness[0])]),
        stretch=stretch,
        length_u=length_u,
        zero=begin,
        free=_bare_stretch(model, stage, edges - begin),
        closed=True,
    )  # fmt: skip


def _refuse_fork(model: LineModel) -> None:
    """Refuse a line whose legs swing beside each other: one note does not tell its load."""
    if any(part.members > 1 for part in model.line.parts):
        rule = "must be a step before the skein is parted: legs swing each by itself"
        remedy = "hang a load gauge, or compare the two legs by ear at one length"
        raise SpecError("step", "parted in legs", rule, remedy)


def _thread(model: LineModel, q: Unknowns, stage: Stage, count: int) -> Floats:
    """Thread on a length of each segment of the body; none before the servings are on."""
    found = np.zeros(count)
    if stage.served:
        spans = model.servings(q)
        for i, index in enumerate(model.layout.serving):
            if index >= 0:
                density = model.line.servings[index].thread.linear_density
                found[i] = float(spans[index].thread_per_length[0]) * density
    return found


def _end(prepared: Prepared, stage: Stage, loop: Loop, pin: float, strands: float) -> LineEnd:
    """The two legs of a loop on its pin, as a section of the line; its thread counts apart."""
    model, q = prepared.model, at_mean(prepared.parameters)
    count = model.line.strand_count
    load = stage.load * q[stage.gauge] / loop.bearing
    stretched = 1.0 + float(model.strain(q, load)[0])
    fit = fit_eye(loop.perimeter, loop.seat, pin, loop.throat_offset)
    far = float(np.hypot(fit.throat_distance, loop.throat_offset))
    radius = 0.5 * (pin + loop.seat)
    legs = LoopOnPin(
        leg_length=np.sqrt(max(far**2 - radius**2, 1e-8)),
        half_angle=float(fit.half_angle),
        leg_mass_per_length=0.5 * strands / stretched,
        leg_stretch_stiffness=0.5 * count * loop.bearing * float(q["stiffness"][0]),
        leg_bending_stiffness=0.25
        * loop.strands
        * loop.bearing
        * solid_bending(prepared.strand, count, float(q["stiffness"][0])),
    )
    return swings_along(legs, held=False)


def _strands_of(end: LineEnd) -> float:
    return float(end.mass_per_length[0])


def _wrapped(plan: LoopPlan, loop: Loop) -> float:
    """Thread of both legs of a loop on a length of the line."""
    return 2.0 * plan.mass / loop.perimeter


def _bare_stretch(model: LineModel, stage: Stage, edges: Floats) -> tuple[float, float]:
    """The longest stretch of bare body, from the start of the line's first section."""
    if not stage.served:
        return float(edges[0]), float(edges[-1])
    bare = [i for i, index in enumerate(model.layout.serving) if index < 0]
    if not bare:
        return float(edges[0]), float(edges[-1])
    widest = max(bare, key=lambda i: edges[i + 1] - edges[i])
    return float(edges[widest]), float(edges[widest + 1])
