"""Prediction: every number of the plan for a batch of cases, so that one call gives all +-."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import Outcome, Settings, build, build_finished, map_position
from strandwright.line.model import LineModel
from strandwright.line.parts import Serving
from strandwright.line.serving_geometry import ServedSpan, slip_force, tension_after_twist
from strandwright.line.states import StageState
from strandwright.line.unknowns import Unknowns
from strandwright.planning.strength.twist import twist_efficiency


def predict(model: LineModel, settings: Settings, q: Unknowns) -> Mapping[str, FloatArray]:
    """Predict a build by its settings.

    Parameters
    ----------
    model : LineModel
        The line.
    settings : Settings
        Post setting, turns, marks.
    q : mapping
        Unknowns, arrays of shape (B,).

    Returns
    -------
    mapping
        Named arrays of shape (B,): ``finished``, ``read:<stage>``, ``edge:<stage>:<i>``,
        ``end:<i>``, ``mark:<i>`` and the servings' numbers, all in SI.
    """
    outcome = build(model, q, settings)
    out: dict[str, FloatArray] = {"finished": outcome.finished.length}
    for key, state in outcome.stages.items():
        out[f"read:{key}"] = state.length
        for i in range(state.edges.shape[1]):
            out[f"edge:{key}:{i}"] = state.edges[:, i]
    for i in range(outcome.finished.edges.shape[1]):
        out[f"end:{i}"] = outcome.finished.edges[:, i]
    out["turn_effect"] = outcome.turn_effect
    out |= _places(model, settings, q, outcome)
    out |= _servings(model, q, outcome)
    out |= _body(model, q, outcome)
    return out


def predict_length(
    model: LineModel, settings: Settings, q: Unknowns
) -> Mapping[str, FloatArray]:
    """Predict the finished length alone: of :func:`predict` the outputs of that name.

    Parameters
    ----------
    model : LineModel
        The line.
    settings : Settings
        Post setting, turns, marks.
    q : mapping
        Unknowns, arrays of shape (B,).

    Returns
    -------
    mapping
        ``finished`` and ``turn_effect``, arrays of shape (B,) [m]
    """
    finished, tighter = build_finished(model, q, settings)
    return {"finished": finished.length, "turn_effect": tighter.length - finished.length}


def _places(
    model: LineModel, settings: Settings, q: Unknowns, outcome: Outcome
) -> dict[str, FloatArray]:
    """Finished places of serving edges, and of marks laid in the marking state."""
    out: dict[str, FloatArray] = {}
    drawn = np.array([(s.start, s.stop) for s in model.line.servings]).reshape(-1)
    ends = map_position(drawn, model.layout.edges, outcome.finished.edges)
    for i in range(len(model.line.servings)):
        out[f"start:{i}"], out[f"stop:{i}"] = ends[:, 2 * i], ends[:, 2 * i + 1]
    if settings.spots:
        laid = outcome.stages["marking"].edges
        spots = map_position(np.array(settings.spots), laid, outcome.finished.edges)
        out |= {f"mark:{i}": spots[:, i] for i in range(len(settings.spots))}
    return out


def turn_rate_under(model: LineModel, state: StageState, serving: int) -> FloatArray:
    """Turns over length inside a serving, finished.

    Parameters
    ----------
    model : LineModel
        The line.
    state : StageState
        The finished state.
    serving : int
        Its index [-]

    Returns
    -------
    ndarray
        Shape (B,) [turn/m]
    """
    assert state.spans is not None
    kind = model.kind_of(serving)
    return state.turn_rates[:, kind] / state.spans.length[:, kind]


def tension_finished(
    model: LineModel,
    q: Unknowns,
    state: StageState,
    index: int,
    serving: Serving,
    span: ServedSpan,
) -> FloatArray:
    """Thread tension of a serving when the line is finished.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (B,).
    state : StageState
        The finished state.
    index : int
        The serving's index [-]
    serving : Serving
        The serving.
    span : ServedSpan
        Its geometry.

    Returns
    -------
    ndarray
        Tension, shape (B,) [N]
    """
    laid = q["wrap_tension"] * serving.thread.tension
    if not model.route.served_before_twist:
        return laid
    sign = 1.0 if serving.hand is model.line.hand else -1.0
    rate = sign * turn_rate_under(model, state, index)
    return tension_after_twist(laid, q["thread_stiffness"] * serving.thread.stiffness, span, rate)


def _servings(model: LineModel, q: Unknowns, outcome: Outcome) -> dict[str, FloatArray]:
    out: dict[str, FloatArray] = {}
    state = outcome.finished
    for i, (serving, span) in enumerate(
        zip(model.line.servings, model.servings(q), strict=True)
    ):
        first, last = model.layout.bounds(i)
        length = state.edges[:, last] - state.edges[:, first]
        tension = tension_finished(model, q, state, i, serving, span)
        out[f"outside:{i}"] = span.outside_diameter
        out[f"core:{i}"] = span.core_diameter
        out[f"wraps:{i}"] = length / span.pitch
        out[f"thread:{i}"] = model.section_of(i).members * length * span.thread_per_length
        out[f"hold:{i}"] = slip_force(span, length, tension, serving.thread.friction)
        out[f"laid:{i}"] = q["wrap_tension"] * serving.thread.tension
        out[f"tension:{i}"] = tension
    return out


def _body(model: LineModel, q: Unknowns, outcome: Outcome) -> dict[str, FloatArray]:
    spans = outcome.finished.spans
    assert spans is not None
    return {
        "bare": model.core_diameter(q, served=False),
        "torque": spans.torque[:, 0],
        "slack": spans.slack_count[:, 0].astype(float),
        "twist_efficiency": twist_efficiency(model, q, outcome.finished),
        "approach": outcome.skein.approach,
        "winding_load": outcome.skein.load,
    }


