"""Watched stretch: the looks of a step as numbers, and the line's stretch at their loads."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import read_lengths
from strandwright.line.model import LineModel
from strandwright.numerics.propagation import propagate
from strandwright.planning.prepare import Prepared, prepare
from strandwright.planning.readings.noise import pull_scatter
from strandwright.planning.readings.tape import reading_uncertainty
from strandwright.planning.result import Plan, Step
from strandwright.planning.watching.parts import Floats, Look, Standing
from strandwright.planning.watching.refusals import stage_of_stretch
from strandwright.reference import Datum, practice
from strandwright.units import Entered
from strandwright.workshop.build_state import BuildState, Taken
from strandwright.workshop.happenings.bench import Watched

#: How the practice tables name the scatter of heard loads
_EAR = "by ear"
#: Loads at which the line is stretched lie this far apart at the least, over the load [-]
_APART = 0.02
#: A thermometer on the wall: standard uncertainty of one look beside its rounding [K]
_THERMOMETER = 0.2


def looks_at(plan: Plan, state: BuildState, step: str) -> tuple[Look, ...]:
    """Give the looks at the line while it stood in a step, in order of time.

    Parameters
    ----------
    plan : Plan
        The plan.
    state : BuildState
        What stands at the jig.
    step : str
        Identity of the step.

    Returns
    -------
    tuple of Look
        Each at the time the load had stood by what it tells; one that tells none, by its moment
        from when the load came on, or from the first look where none tells that.
    """
    taken = [(t, t.reading) for t in state.watched if isinstance(t.reading, Watched)]
    mine = [(t, w) for t, w in taken if w.step == step]
    if not mine:
        return ()
    came_on = min(_moment(t) - (0.0 if w.stood is None else w.stood.si) for t, w in mine)
    looks = (
        _look(plan, t, w, _moment(t) - came_on if w.stood is None else w.stood.si) for t, w in mine
    )
    return tuple(sorted(looks, key=lambda look: look.at))


def _moment(taken: Taken) -> float:
    return datetime.fromisoformat(taken.at).timestamp()


def _look(plan: Plan, taken: Taken, seen: Watched, at: float) -> Look:
    own, common = _load_uncertainty(plan, seen)
    warmth = seen.temperature
    return Look(
        event=taken.event,
        at=at,
        load=seen.load.si,
        own=own,
        common=common,
        heard=seen.heard,
        posts=None if seen.posts is None else seen.posts.si,
        posts_u=0.0 if seen.posts is None else reading_uncertainty(plan.job, seen.posts),
        temperature=None if warmth is None else warmth.si,
        temperature_u=0.0 if warmth is None else _temperature_uncertainty(warmth),
    )


def _load_uncertainty(plan: Plan, seen: Watched) -> tuple[float, float]:
    """Relative +- of a load: its own, and what all heard loads of this line share.

    A heard load's +- is mostly that of the line's mass, the same from pluck to pluck. Of a gauge
    the scale is an unknown of the plan; a +- that was typed is how finely it was read.
    """
    stated = seen.load.standard_uncertainty
    typed = None if stated is None else stated / seen.load.si
    if not seen.heard:
        return (pull_scatter(plan.job.bench.gauge) if typed is None else typed), 0.0
    scatter = pull_scatter(_EAR)
    if typed is None:
        return scatter, 0.0
    own = min(scatter, typed)
    return own, math.sqrt(max(typed**2 - own**2, 0.0))


def _temperature_uncertainty(entered: Entered) -> float:
    if entered.standard_uncertainty is not None:
        return entered.standard_uncertainty
    return math.hypot(_THERMOMETER, float(entered.step) / math.sqrt(12.0))


def stand(plan: Plan, state: BuildState, step: Step, looks: Sequence[Look]) -> Standing:
    """Give what is known of line and bench while it stands in a step.

    Parameters
    ----------
    plan : Plan
        The plan as the readings have it.
    state : BuildState
        What stands at the jig.
    step : Step
        The step, with its load.
    looks : sequence of Look
        The looks; one at the least.

    Returns
    -------
    Standing
        Stretch at every look's load with its covariance, and the expansions.
    """
    assert step.load is not None
    prepared = prepare(plan.job, plan.target.length.value, plan.parameters)
    loads = np.array([look.load for look in looks])
    nodes = _nodes(float(min(loads.min(), step.load)), float(max(loads.max(), step.load)))
    key = stage_of_stretch(step.id)
    turns = state.turns if state.turned else plan.chosen.settings.turns
    settings = replace(plan.chosen.settings, turns=turns)

    def lengths(q: dict[str, FloatArray]) -> Mapping[str, FloatArray]:
        true = {**q, "gauge": np.ones_like(q["gauge"])}
        return {
            f"{name}:{i}": read_lengths(_at_load(prepared, key, load), p, settings, [key])[key]
            for name, p in (("true", true), ("gauge", q))
            for i, load in enumerate(nodes)
        }

    found = propagate(lengths, prepared.parameters)
    to_one, at_looks = _weights(nodes, np.array([step.load])), _weights(nodes, loads)
    gauged = np.array([not look.heard for look in looks])[:, None]
    rows = np.concatenate([at_looks * ~gauged - to_one, at_looks * gauged], axis=1)
    middle = found.mean[: len(nodes)]
    steeper = _weights(nodes, loads * (1.0 + 1e-6)) - at_looks
    return Standing(
        load=step.load,
        length=float(to_one[0] @ middle),
        stretch=rows @ found.mean,
        stretch_covariance=rows @ found.covariance @ rows.T,
        per_load=steeper @ middle / 1e-6,
        line=_expansion(prepared.strand.datum("expansion")),
        tape=_tape(plan.job.bench.tape),
        beam=_expansion(practice(f"beam.{plan.job.bench.beam}.expansion")),
        room=practice("watch.room_drift").value,
    )


def _expansion(datum: Datum) -> tuple[float, float]:
    return datum.value, datum.standard_uncertainty


def _tape(kind: str) -> tuple[float, float]:
    """Expansion of a tape; another than of steel may expand as much, or not at all."""
    value, u = _expansion(practice("tape.expansion"))
    return (value, u) if kind == "steel" else (0.0, value)


def _nodes(low: float, high: float) -> Floats:
    """Three loads about those that were read: the stretch bends little between them."""
    apart = _APART * high
    return np.linspace(low - apart, high + apart, 3)


def _weights(nodes: Floats, loads: Floats) -> Floats:
    """Weights of the nodes in a parabola through them, shape (loads, 3)."""
    return np.stack(
        [
            np.prod([(loads - other) / (node - other) for other in nodes if other != node], axis=0)
            for node in nodes
        ],
        axis=1,
    )


def _at_load(prepared: Prepared, key: str, load: float) -> LineModel:
    """The model with that stage under another load."""
    route = prepared.model.route
    stages = tuple(replace(s, load=load) if s.key == key else s for s in route.stages)
    return replace(prepared.model, route=replace(route, stages=stages))
