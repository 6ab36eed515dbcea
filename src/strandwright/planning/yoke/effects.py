"""Effects: what turns in legs and body do to the cable, and how unlike legs lean a wheel."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.unknowns import Unknowns
from strandwright.line.yoke.model import YokeModel
from strandwright.line.yoke.settle import settle
from strandwright.line.yoke.turns import reserve_for, set_apart, states_with
from strandwright.numerics.propagation import Propagation, propagate
from strandwright.planning.estimate import Estimate
from strandwright.planning.makings.yoke import correction, is_halved
from strandwright.planning.prepare import Prepared, at_mean
from strandwright.planning.result.yoke import Lean, Reserve, YokeTurns
from strandwright.planning.servings.plan import estimate
from strandwright.planning.written import Written
from strandwright.planning.yoke.cable import PlannedYoke
from strandwright.units import INCH

#: Turns moved over that are told of, as far as the legs have them [turn]
MOVED = (0.5, 1.0, 2.0)
#: Lengths by which the legs differ that the lean is told of [m]
APART = (INCH / 32.0, INCH / 16.0, INCH / 8.0)
#: Shares of a leg's turns that are tried to be moved over [-]
_MOVED_OVER = (1.0, 0.75, 0.5, 0.25, 0.1)
#: Angle over which the yoke's own righting is taken [rad]
_TILT = 1e-4


def turns_on(yoke: PlannedYoke, span: float, body: Estimate) -> YokeTurns | None:
    """Work out what turns do on one pin, or on the axle.

    Parameters
    ----------
    yoke : PlannedYoke
        The yoke.
    span : float
        Between the middles of the leg loops; 0 on one pin [m]
    body : Estimate
        What a turn in the body does, by the line's own model [m]

    Returns
    -------
    YokeTurns or None
        None for legs with less than a turn in them: they have none to give.
    """
    if yoke.leg_turns < 1.0:
        return None
    model = yoke.on_axle(span) if span > 0.0 else yoke.on_pin
    moved = tuple(k for k in MOVED if k <= yoke.leg_turns)

    changes = [(0, 0, 0), (1, 0, 0), (1, 1, 0), *((k, -k, 0) for k in moved)]

    def effects(q: Unknowns) -> Mapping[str, FloatArray]:
        state = states_with(model, q, yoke.naturals(q), yoke.load(q), changes).value
        shape = (len(q["stiffness"]), len(changes))
        length, moment = (
            values.reshape(shape) - values.reshape(shape)[:, :1]
            for values in (state.overall, state.side_moment)
        )
        found = {"one": length[:, 1], "both": length[:, 2]}
        for i in range(len(moved)):
            found[f"length:{i}"] = length[:, 3 + i]
            found[f"moment:{i}"] = moment[:, 3 + i]
        return found

    spread = propagate(effects, yoke.parameters)
    return YokeTurns(
        span=span,
        one_leg=estimate(spread, "one", "m"),
        both_legs=estimate(spread, "both", "m"),
        body=body,
        moved=tuple(
            (k, estimate(spread, f"length:{i}", "m"), estimate(spread, f"moment:{i}", "N m"))
            for i, k in enumerate(moved)
        ),
    )


def reserve_of(yoke: PlannedYoke) -> Reserve:
    """Work out how far the legs can be set apart by moving turns.

    Parameters
    ----------
    yoke : PlannedYoke
        The yoke.

    Returns
    -------
    Reserve
        The reserve, with what a usual correction takes.
    """
    q, turns = at_mean(yoke.parameters), yoke.leg_turns
    model = _with_turns(yoke.on_pin, max(turns, 1.0))
    naturals = model.naturals(q)
    least = float(reserve_for(model, q, naturals, yoke.load(q), correction())[0])
    # All of a leg's turns, or as many as the other takes before its strands are past their law.
    each = (
        float(set_apart(model, q, naturals, yoke.load(q), turns, share)[0])
        for share in _MOVED_OVER
    )
    apart = next((one for one in each if math.isfinite(one)), 0.0) if turns > 0.0 else 0.0
    return Reserve(turns, least, correction(), apart)


def reserve_warnings(prepared: Prepared, turns: float) -> list[str]:
    """Warn of legs whose turns leave no room to right a lean.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    turns : float
        Turns in the body [turn]

    Returns
    -------
    list of str
        A sentence; none where a usual correction fits, or there are no such legs.
    """
    if not is_halved(prepared.job):
        return []
    reserve = reserve_of(PlannedYoke(prepared, turns))
    if reserve.is_enough:
        return []
    apart = Written.on(prepared.job.paper).fine(reserve.correction)
    enough = math.ceil(2.0 * reserve.least) / 2.0
    return [
        f"{reserve.turns:g} turns in a leg leave too little to right a lean: {apart} between the "
        f"legs takes {enough:g} in each"
    ]


def half_turn_apart(yoke: PlannedYoke) -> float:
    """Work out how far half a turn more in one leg sets the legs apart.

    Parameters
    ----------
    yoke : PlannedYoke
        The yoke.

    Returns
    -------
    float
        At half the measuring load [m]
    """
    q = at_mean(yoke.parameters)
    leg = yoke.on_pin.tripod(q, yoke.naturals(q)).legs[0]
    pull = 0.5 * yoke.load(q)
    more = replace(leg, turns=leg.turns + 0.5)
    return float((leg.length(pull) - more.length(pull))[0])


def lean_of(yoke: PlannedYoke, span: float) -> Lean:
    """Work out what legs of unlike length do on the axle.

    Parameters
    ----------
    yoke : PlannedYoke
        The yoke.
    span : float
        Between the middles of the leg loops, > 0 [m]

    Returns
    -------
    Lean
        Side moments, pulls, the yoke's own righting, and what the axle takes off the length.
    """
    model = yoke.on_axle(span)

    def moments(q: Unknowns) -> Mapping[str, FloatArray]:
        _, moment = _unlike(yoke, model, q)
        return {f"moment:{i}": moment[:, i] for i in range(len(APART))}

    spread = propagate(moments, yoke.parameters)
    q = at_mean(yoke.parameters)
    naturals, load = yoke.naturals(q), yoke.load(q)
    pulls, _ = _unlike(yoke, model, q)
    level, tilted = (settle(model.tripod(q, naturals), load, lean).value for lean in (0.0, _TILT))
    righting = float((level.side_moment - tilted.side_moment)[0]) / _TILT
    return Lean(
        span=span,
        pulls=tuple(
            (apart, float(pulls[0, i, 0]), float(pulls[0, i, 1])) for i, apart in enumerate(APART)
        ),
        moments=_moments(spread),
        righting=righting,
        angle=float(level.leg_angles[0, 0]),
        shorter=float(yoke.line.length - level.overall[0]),
    )


def _moments(spread: Propagation) -> tuple[Estimate, ...]:
    return tuple(estimate(spread, f"moment:{i}", "N m") for i in range(len(APART)))


def _unlike(yoke: PlannedYoke, model: YokeModel, q: Unknowns) -> tuple[FloatArray, FloatArray]:
    """Pulls (B, K, 2) and side moment (B, K) of legs that differ, leg 1 the shorter."""
    naturals, count = yoke.naturals(q), len(APART)
    batch = len(naturals)
    length = model.cable.legs[0].length
    many = np.repeat(naturals, count, axis=0)
    off = 0.5 * np.tile(np.array(APART), batch) / length
    many[:, 0] *= 1.0 - off
    many[:, 1] *= 1.0 + off
    wide = {name: np.repeat(value, count) for name, value in q.items()}
    load = np.repeat(yoke.load(q), count)
    state = settle(model.tripod(wide, many), load).value
    return state.pulls[:, :2].reshape(batch, count, 2), state.side_moment.reshape(batch, count)


def _with_turns(model: YokeModel, turns: float) -> YokeModel:
    first, second = (replace(leg, turns=turns) for leg in model.cable.legs)
    return replace(model, cable=replace(model.cable, legs=(first, second)))
