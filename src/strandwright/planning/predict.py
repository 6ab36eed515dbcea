"""Prediction: every number of the plan for a batch of cases, so that one call gives all +-."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import Outcome, Settings, build
from strandwright.line.model import LineModel, StageState, Unknowns
from strandwright.line.parts import Serving
from strandwright.line.serving_geometry import ServedSpan, slip_force, tension_after_twist
from strandwright.planning.strength import twist_efficiency


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
    out |= _marks(model, outcome)
    out |= _servings(model, q, outcome)
    out |= _body(model, q, outcome)
    return out


def _marks(model: LineModel, outcome: Outcome) -> dict[str, FloatArray]:
    """Finished places of marks laid at their nominal place between the nominal edges."""
    drawn = model.layout.edges
    out: dict[str, FloatArray] = {}
    for i, mark in enumerate(model.line.marks):
        out[f"mark:{i}"] = carry(mark.position, drawn, outcome.finished.edges)
    return out


def carry(position: float, drawn: FloatArray, edges: FloatArray) -> FloatArray:
    """Carry one drawn place onto the edges of many cases.

    Parameters
    ----------
    position : float
        Place on the drawn line [m]
    drawn : ndarray
        Drawn segment edges, shape (K + 1,) [m]
    edges : ndarray
        Edges of each case, shape (B, K + 1) [m]

    Returns
    -------
    ndarray
        The place in each case, shape (B,) [m]
    """
    i = int(np.clip(np.searchsorted(drawn, position, side="right") - 1, 0, len(drawn) - 2))
    if position < drawn[0]:
        return edges[:, 0] + (position - drawn[0])
    if position > drawn[-1]:
        return edges[:, -1] + (position - drawn[-1])
    part = (position - drawn[i]) / (drawn[i + 1] - drawn[i])
    return edges[:, i] + part * (edges[:, i + 1] - edges[:, i])


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
        start = carry(serving.start, model.layout.edges, state.edges)
        stop = carry(serving.stop, model.layout.edges, state.edges)
        first, last = model.layout.bounds(i)
        length = state.edges[:, last] - state.edges[:, first]
        out[f"start:{i}"], out[f"stop:{i}"] = start, stop
        tension = tension_finished(model, q, state, i, serving, span)
        out[f"outside:{i}"] = span.outside_diameter
        out[f"core:{i}"] = span.core_diameter
        out[f"wraps:{i}"] = length / span.pitch
        out[f"thread:{i}"] = length * span.thread_per_length
        out[f"hold:{i}"] = slip_force(span, length, tension, serving.thread.friction)
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


