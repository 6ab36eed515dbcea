"""Conversion of a length between measuring conditions: load, pins and warmth, both ways."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from strandwright.fibre.settling import bedding_progress
from strandwright.fibre.strand_law import FloatArray
from strandwright.line.model import LineModel
from strandwright.line.route import Stage
from strandwright.line.states import ClosedCase
from strandwright.line.unknowns import Unknowns

_STEPS = 60
#: A miss under which the secant's step is the last: it leaves less than a thousandth of it [m]
_CLOSE = 1e-9


@dataclass(frozen=True)
class Condition:
    """Where and how a length is read.

    Attributes
    ----------
    load : ndarray
        True load along the line, shape (B,) [N]
    zero_pin, far_pin : float
        Diameters of the pins or posts [m]
    warmth : float
        Temperature above 20 degC [K]
    """

    load: FloatArray
    zero_pin: float
    far_pin: float
    warmth: float = 0.0


def length_at(
    model: LineModel, q: Unknowns, naturals: FloatArray, turns: FloatArray, condition: Condition
) -> FloatArray:
    """Length of a finished, used line at a condition.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (B,), with ``relaxed`` besides those of the model: the share of
        its bedding-in that an unloaded line has lost again.
    naturals : ndarray
        Natural segment lengths, shape (B, K) [m]
    turns : ndarray
        Turns, shape (B,) [turn]
    condition : Condition
        Load, pins and warmth.

    Returns
    -------
    ndarray
        Outside to outside of the pins, shape (B,); as a tape that is true at 20 degC and is as
        warm as the line shows it [m]
    """
    case = _used(model, q, naturals, turns, condition)
    return model.closed_states(q, [case])[0].length


def _used(
    model: LineModel, q: Unknowns, naturals: FloatArray, turns: FloatArray, condition: Condition
) -> ClosedCase:
    """Give the case of a used line: a share of its bedding-in lost again, and warm."""
    measured = np.full_like(q["stiffness"], model.line.measuring_load)
    each = [model.line.strand_count * (part.strands - part.late) for part in model.line.parts]
    losses: dict[float, FloatArray] = {}
    for n in each:
        now, then = (
            bedding_progress(load / n, q["bedding_scale"]) for load in (condition.load, measured)
        )
        losses[n] = q["relaxed"] * q["bedding"] * (then - now)
    loss = np.stack([losses[each[section]] for section in model.layout.section], axis=1)
    warmth = (model.stock.expansion - model.bench.tape_expansion) * condition.warmth
    scaled = naturals * (1.0 - loss + warmth)
    return ClosedCase(_stage(condition, model), condition.load, scaled, turns)


def _stage(condition: Condition, model: LineModel) -> Stage:
    return Stage(
        key="used",
        title="as read",
        load=0.0,
        closed=True,
        zero_pin=condition.zero_pin,
        far_pin=condition.far_pin,
        turns_share=1.0,
        served=True,
        highest_load=0.0,
        highest_twisted=model.route.stage("proof").highest_twisted,
        creep_load=0.0,
        creep_dwell=0.0,
        rest=0.0,
        reading=True,
    )


def convert(
    model: LineModel,
    q: Unknowns,
    length: float | FloatArray,
    turns: FloatArray,
    read: Condition,
    wanted: Condition,
) -> FloatArray:
    """Length at one condition from the length read at another.

    Parameters
    ----------
    model : LineModel
        A line of the same make-up; its own length need only be near.
    q : mapping
        Unknowns, arrays of shape (B,).
    length : float or ndarray
        Length at the condition ``read``, true by the tape, shape () or (B,) [m]
    turns : ndarray
        Turns, shape (B,) [turn]
    read, wanted : Condition
        The two conditions.

    Returns
    -------
    ndarray
        Outside to outside of the pins at the wanted condition, shape (B,) [m]

    Notes
    -----
    The natural length is solved from the reading (secant on a nearly linear function), then the
    wanted condition is evaluated on it; convert there and back again and nothing is lost. How
    long the load has been on is left out: creep of a used line in some minutes is far below
    what a tape shows.
    """
    drawn = np.tile(model.layout.lengths, (len(turns), 1))
    at, there = (_used(model, q, drawn, turns, c) for c in (read, wanted))
    # The loops do not depend on the body: their throats are found once.
    ends = model.throats(q, [at, there]).sum(axis=2)
    body = length - ends[:, 0]
    factor = before = np.ones(len(turns))
    slope = had = factor
    for step in range(_STEPS):
        have = _body(model, q, at, factor)
        if step > 0:
            moved = factor - before
            # A case that has come home stands still beside others: it keeps the slope it had.
            still = (moved == 0.0) | (have == had)
            slope = np.where(still, slope, (have - had) / np.where(still, 1.0, moved))
        else:
            slope = have
        miss = body - have
        before, had = factor, have
        factor = factor + miss / slope
        if not np.abs(miss).max() > _CLOSE:
            break
    return _body(model, q, there, factor) + ends[:, 1]


def _body(model: LineModel, q: Unknowns, case: ClosedCase, factor: FloatArray) -> FloatArray:
    """Length throat to throat with the natural lengths times a factor, shape (B,) [m]."""
    naturals = case.naturals * factor[:, None]
    spans, _ = model.stretched_kinds(q, [replace(case, naturals=naturals)])[0]
    return (naturals * spans.length[:, model.kinds]).sum(axis=1)
