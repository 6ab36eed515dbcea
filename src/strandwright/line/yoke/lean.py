"""Lean: the side moment of a yoke against a limb tip that twists.

Lean is positive where the rim of the wheel on the side *away from the cable's body* leans towards
the pin of leg 1: of the upper wheel of an upright bow, its top. Which leg is leg 1 is named, so
it does not matter from where one looks. The rim on the body's side goes the other way.

Derived, not taken over: a turn shortens its leg, which then draws its end of the axle towards
the body. The axle turns, and with it the wheel, so that the far rim goes towards that leg. A
wheel that leans towards one leg is therefore righted by a turn into the *other* leg, and the
same number out of this one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strandwright.errors import LimitError
from strandwright.fibre.strand_law import FloatArray
from strandwright.line.yoke.settle import settle
from strandwright.line.yoke.state import Tripod, YokeState
from strandwright.numerics.outcome import Outcome
from strandwright.numerics.roots import newton_monotone

#: Largest lean that is looked for [rad]
_MOST = 0.5
#: Angle over which the moment's slope is taken [rad]
_STEP = 1e-5
#: Error of the lean [rad]
_CLOSE = 1e-10


@dataclass(frozen=True)
class LeaningYoke:
    """A yoke whose axle has found its angle on the limb's tip.

    Attributes
    ----------
    lean : ndarray
        Shape (B,); angle, positive where the far rim leans towards the pin of leg 1 [rad]
    stiffness : ndarray
        Shape (B,); by how much the yoke itself rights the axle, for each radian [N m/rad]
    state : YokeState
        The yoke there.
    """

    lean: FloatArray
    stiffness: FloatArray
    state: YokeState


@dataclass(frozen=True)
class LeanRange:
    """A lean that is known as far as the limb's stiffness is.

    Attributes
    ----------
    angle : ndarray
        Shape (B,); at the middle stiffness [rad]
    least, most : ndarray
        Shape (B,); at the stiffest and at the softest limb, in the sense of the moment [rad]
    """

    angle: FloatArray
    least: FloatArray
    most: FloatArray


def lean_of_moment(
    moment: FloatArray, stiffness: float, spread: float, righting: FloatArray | float = 0.0
) -> LeanRange:
    """Lean of a limb's tip under a change of side moment.

    Parameters
    ----------
    moment : ndarray
        Change of the side moment, shape (B,) [N m]
    stiffness : float
        Torsional stiffness of the limb's tip, > 0 [N m/rad]
    spread : float
        How far it may be off either way, as a share of it, in [0, 1); 0.5 where it is a guess [-]
    righting : ndarray or float
        By how much the yoke itself rights the axle; 0 gives the most the limb may lean [N m/rad]

    Returns
    -------
    LeanRange
        The lean, with its bounds.

    Raises
    ------
    LimitError
        If the stiffness is not above 0 or the spread not in its range.
    """
    if not (stiffness > 0.0 and 0.0 <= spread < 1.0):
        rule = "must be above 0, with a spread of 0 to less than 1"
        raise LimitError(
            "limb.torsion", (stiffness, spread), rule, "weigh the tip's twist, or give a range"
        )
    angle, least, most = (
        moment / (stiffness * factor + righting) for factor in (1.0, 1.0 + spread, 1.0 - spread)
    )
    return LeanRange(angle, least, most)


def turns_against(
    lean: FloatArray,
    exchange_moment: FloatArray,
    stiffness: FloatArray | float,
    righting: FloatArray | float = 0.0,
) -> FloatArray:
    """Turns to move from leg to leg that right a lean.

    Parameters
    ----------
    lean : ndarray
        Lean as read, shape (B,) [rad]
    exchange_moment : ndarray
        Moment of a turn into leg 1 and one out of leg 2, > 0, shape (B,) [N m]
    stiffness : ndarray or float
        Torsional stiffness of the limb's tip, > 0 [N m/rad]
    righting : ndarray or float
        By how much the yoke itself rights the axle [N m/rad]

    Returns
    -------
    ndarray
        Turns into leg 1 and out of leg 2, shape (B,); negative where they go into leg 2, which is
        where the far rim leans to leg 1 [turn]

    Notes
    -----
    To the first order: go there in small steps and read the lean again after each.
    """
    return -lean * (stiffness + righting) / exchange_moment


def stiffness_from_lean(
    moment: FloatArray, lean: FloatArray, righting: FloatArray | float
) -> FloatArray:
    """Torsional stiffness of a limb's tip from a lean read before and after moving turns.

    Parameters
    ----------
    moment : ndarray
        Change of the side moment on a level axle, shape (B,) [N m]
    lean : ndarray
        Change of the lean, not 0, shape (B,) [rad]
    righting : ndarray or float
        By how much the yoke itself rights the axle [N m/rad]

    Returns
    -------
    ndarray
        Stiffness, shape (B,); not above 0 where the readings contradict the yoke [N m/rad]
    """
    return moment / lean - righting


def settle_leaning(
    tripod: Tripod,
    load: FloatArray,
    stiffness: FloatArray,
    rest: FloatArray | float = 0.0,
    other_moment: FloatArray | float = 0.0,
) -> Outcome[LeaningYoke]:
    """Find yoke and limb tip at rest together: the axle leans until the moments are even.

    Parameters
    ----------
    tripod : Tripod
        The yoke.
    load : ndarray
        Load along the pull, shape (B,) [N]
    stiffness : ndarray
        Torsional stiffness of the limb's tip, > 0, shape (B,) [N m/rad]
    rest : ndarray or float
        Lean of the axle without any moment, shape () or (B,) [rad]
    other_moment : ndarray or float
        Moment of everything else on the axle: strings off the middle, a guard [N m]

    Returns
    -------
    Outcome of LeaningYoke
        The lean; the residual is the moment left [N m].
    """
    near: YokeState | None = None
    righting = np.zeros_like(load)

    def moment(lean: FloatArray) -> FloatArray:
        nonlocal near
        near = settle(tripod, load, lean, near).value
        return near.side_moment

    def miss(lean: FloatArray) -> tuple[FloatArray, FloatArray]:
        nonlocal righting
        here = moment(lean)
        righting = (here - moment(lean + _STEP)) / _STEP
        return stiffness * (lean - rest) - here - other_moment, stiffness + righting

    found = newton_monotone(miss, np.zeros_like(load) + rest, -_MOST, _MOST, tol=_CLOSE)
    at = settle(tripod, load, found.value, near)
    value = LeaningYoke(found.value, righting, at.value)
    reason = found.reason if not bool(found.ok.all()) else at.reason
    return Outcome(value, found.ok & at.ok, reason, found.residual, found.iterations)
