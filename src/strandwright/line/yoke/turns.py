"""What turns do to a yoke cable: to its length, and to the moment by which it leans a wheel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike

from strandwright.errors import SpecError
from strandwright.fibre.strand_law import FloatArray
from strandwright.line.unknowns import Unknowns
from strandwright.line.yoke.model import YokeModel
from strandwright.line.yoke.settle import settle
from strandwright.line.yoke.state import YokeState
from strandwright.numerics.outcome import Outcome

Answer = TypeVar("Answer")
_STEPS = 40
#: Turns are solved to this [turn]
_CLOSE = 1e-9


@dataclass(frozen=True)
class TurnEffects:
    """What one turn more does to the loaded cable.

    Attributes
    ----------
    leg_length : ndarray
        Shape (B, 2); change of the overall length by a turn in leg 1, in leg 2 [m]
    legs_length : ndarray
        Shape (B,); by a turn in both legs [m]
    body_length : ndarray
        Shape (B,); by a turn in the body [m]
    exchange_length : ndarray
        Shape (B,); by a turn into leg 1 and one out of leg 2 [m]
    leg_moment : ndarray
        Shape (B, 2); change of the side moment by a turn in leg 1, in leg 2 [N m]
    exchange_moment : ndarray
        Shape (B,); by a turn into leg 1 and one out of leg 2 [N m]
    """

    leg_length: FloatArray
    legs_length: FloatArray
    body_length: FloatArray
    exchange_length: FloatArray
    leg_moment: FloatArray
    exchange_moment: FloatArray


@dataclass(frozen=True)
class Exchange:
    """Turns put into one leg and taken out of the other.

    Attributes
    ----------
    turns : ndarray
        Shape (K,); into leg 1 and out of leg 2, negative for the other way [turn]
    length : ndarray
        Shape (B, K); change of the overall length [m]
    moment : ndarray
        Shape (B, K); change of the side moment [N m]
    throat : ndarray
        Shape (B, K); how far the throat goes towards the pin of leg 1 [m]
    """

    turns: FloatArray
    length: FloatArray
    moment: FloatArray
    throat: FloatArray


def states_with(
    model: YokeModel,
    q: Unknowns,
    naturals: FloatArray,
    load: FloatArray,
    changes: Sequence[Sequence[float]] | FloatArray,
    lean: FloatArray | float = 0.0,
) -> Outcome[YokeState]:
    """Settle one cable with several changes of its turns, all at once.

    Parameters
    ----------
    model : YokeModel
        The cable.
    q : mapping
        Unknowns, arrays of shape (B,).
    naturals : ndarray
        Leg 1, leg 2 and body, shape (B, 3) [m]
    load : ndarray
        Load along the pull, shape (B,) [N]
    changes : sequence of sequence of float
        Turns more in leg 1, leg 2 and body, shape (C, 3) [turn]
    lean : ndarray or float
        Angle of the axle, shape () or (B,) [rad]

    Returns
    -------
    Outcome of YokeState
        States of shape (B * C,), the changes of one case beside each other.

    Raises
    ------
    SpecError
        If a part would be left with less than no turns: its hand would turn round.
    """
    more = np.asarray(changes, dtype=float)
    turns = model.turns + more
    if bool((turns < 0.0).any()):
        rule = "must leave no part with less than no turns"
        raise SpecError("yoke.turns", float(turns.min()), rule, "make the legs with more reserve")
    batch, count = len(load), len(more)
    many = {name: np.repeat(value, count) for name, value in q.items()}
    tripod = model.tripod(many, np.repeat(naturals, count, axis=0), np.tile(turns, (batch, 1)))
    leans = np.repeat(np.broadcast_to(lean, load.shape), count)
    return settle(tripod, np.repeat(load, count), leans)


def turn_effects(
    model: YokeModel, q: Unknowns, naturals: FloatArray, load: FloatArray
) -> Outcome[TurnEffects]:
    """Give what one turn more does, wherever it may be put.

    Parameters
    ----------
    model : YokeModel
        The cable, with at least one turn in leg 2.
    q : mapping
        Unknowns, arrays of shape (B,).
    naturals : ndarray
        Leg 1, leg 2 and body, shape (B, 3) [m]
    load : ndarray
        Load along the pull, shape (B,) [N]

    Returns
    -------
    Outcome of TurnEffects
        The effects; ``ok`` where every one of them was found, shape (B,).
    """
    changes = [(0, 0, 0), (1, 0, 0), (0, 1, 0), (1, 1, 0), (0, 0, 1), (1, -1, 0)]
    found = states_with(model, q, naturals, load, changes)
    shape = (len(load), len(changes))
    length, moment = (
        values.reshape(shape)[:, 1:] - values.reshape(shape)[:, :1]
        for values in (found.value.overall, found.value.side_moment)
    )
    effects = TurnEffects(
        leg_length=length[:, :2],
        legs_length=length[:, 2],
        body_length=length[:, 3],
        exchange_length=length[:, 4],
        leg_moment=moment[:, :2],
        exchange_moment=moment[:, 4],
    )
    return _by_case(found, effects, shape)


def exchange(
    model: YokeModel, q: Unknowns, naturals: FloatArray, load: FloatArray, turns: ArrayLike
) -> Outcome[Exchange]:
    """Give what turns moved from leg 2 to leg 1 do.

    Parameters
    ----------
    model : YokeModel
        The cable.
    q : mapping
        Unknowns, arrays of shape (B,).
    naturals : ndarray
        Leg 1, leg 2 and body, shape (B, 3) [m]
    load : ndarray
        Load along the pull, shape (B,) [N]
    turns : array_like
        Turns into leg 1 and out of leg 2, shape (K,) [turn]

    Returns
    -------
    Outcome of Exchange
        The effects; ``ok`` where every one of them was found, shape (B,).

    Notes
    -----
    On equal legs the length is even in the turns and begins with their square: the turns shorten
    by their square, so one leg gains less than the other loses, and the leaning Y is a little
    shorter. The moment is odd.
    """
    ks = np.atleast_1d(np.asarray(turns, dtype=float))
    none = np.zeros_like(ks)
    changes = np.concatenate([np.zeros((1, 3)), np.stack([ks, -ks, none], axis=1)])
    found = states_with(model, q, naturals, load, changes)
    shape = (len(load), len(changes))
    state = found.value
    length, moment, throat = (
        values.reshape(shape)[:, 1:] - values.reshape(shape)[:, :1]
        for values in (state.overall, state.side_moment, state.throat[:, 0])
    )
    return _by_case(found, Exchange(ks, length, moment, throat), shape)


def _by_case(found: Outcome[YokeState], value: Answer, shape: tuple[int, int]) -> Outcome[Answer]:
    """Give an answer with its success by case of the batch."""
    ok = np.logical_and.reduce(found.ok.reshape(shape), axis=1)
    residual = found.residual.reshape(shape).max(axis=1)
    return Outcome(value, ok, found.reason, residual, found.iterations)


def reserve_for(
    model: YokeModel, q: Unknowns, naturals: FloatArray, load: FloatArray, difference: ArrayLike
) -> FloatArray:
    """Turns both legs must have so that their lengths can be set apart either way.

    Parameters
    ----------
    model : YokeModel
        The cable; legs alike.
    q : mapping
        Unknowns, arrays of shape (B,).
    naturals : ndarray
        Leg 1, leg 2 and body, shape (B, 3) [m]
    load : ndarray
        Load along the pull, shape (B,) [N]
    difference : array_like
        How far apart the lengths of the legs must come at an equal pull, shape () or (B,) [m]

    Returns
    -------
    ndarray
        Turns in each leg, shape (B,) [turn]

    Notes
    -----
    With N turns in both, all of one leg's moved over leave it none and the other 2 N. By the
    square of the turns that is 4 c N^2; the legs are looked at themselves, which hard ones differ
    from by a tenth and more. It is the bound; turns near none do little, so a leg is better made
    with more. NaN where legs that hard are past their strands' law.
    """
    wanted = np.abs(np.asarray(difference, dtype=float))
    turns = np.full(len(q["stiffness"]), max(model.turns[0], 1.0))
    for _ in range(_STEPS):
        found = set_apart(model, q, naturals, load, turns)
        new = turns * np.sqrt(wanted / found)
        change = np.abs(new - turns).max()
        turns = new
        if not change > _CLOSE:
            break
    return turns


def set_apart(
    model: YokeModel,
    q: Unknowns,
    naturals: FloatArray,
    load: FloatArray,
    turns: ArrayLike,
    share: float = 1.0,
) -> FloatArray:
    """How far apart turns of one leg moved over set two legs alike.

    Parameters
    ----------
    model : YokeModel
        The cable; legs alike.
    q : mapping
        Unknowns, arrays of shape (B,).
    naturals : ndarray
        Leg 1, leg 2 and body, shape (B, 3) [m]
    load : ndarray
        Load along the pull, shape (B,) [N]
    turns : array_like
        Turns in each leg before, > 0, shape () or (B,) [turn]
    share : float
        Share of one leg's turns that is moved, in (0, 1]; 1 leaves it none [-]

    Returns
    -------
    ndarray
        Length of the leg they leave less that of the leg they go into, at half the load each,
        shape (B,); NaN past their strands' law [m]
    """
    pull = 0.5 * np.asarray(load, dtype=float)
    leg = model.tripod(q, naturals, model.turns).legs[0]
    each = np.broadcast_to(np.asarray(turns, dtype=float), pull.shape)
    left, right = (
        replace(leg, turns=each * (1.0 + moved)).length(pull) for moved in (-share, share)
    )
    return left - right
