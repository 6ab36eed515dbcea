"""The twist of a plan: turns and their range, what the next turn does, what twist costs."""

from __future__ import annotations

import math

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import finished_lengths
from strandwright.line.unknowns import Unknowns
from strandwright.numerics.propagation import Propagation
from strandwright.planning.estimate import Estimate
from strandwright.planning.prepare import Prepared
from strandwright.planning.result import TwistPlan
from strandwright.planning.servings.plan import estimate
from strandwright.planning.settings import STEEPEST, Chosen
from strandwright.units import INCH

#: The most turns over length that we advise; above it slack and stiffness loss grow fast [turn/m]
MOST_ADVISED = 1.0 / INCH
_Z95 = 1.959964


def turns_range(
    target: float, turns: FloatArray, lengths: FloatArray, u: float, most: float
) -> tuple[float, float]:
    """95 % range of the turns that will bring the line to length.

    Parameters
    ----------
    target : float
        Length asked for [m]
    turns : ndarray
        Three numbers of turns, rising from 0, shape (3,) [turn]
    lengths : ndarray
        Expected lengths there, shape (3,) [m]
    u : float
        Standard uncertainty of the finished length at the planned turns [m]
    most : float
        The most turns that are tried [turn]

    Returns
    -------
    tuple of float
        Low and high [turn]

    Notes
    -----
    Length falls with turns for every case, so P(turns needed < N) = P(length at N < target):
    the ends of the range are the turns at which the expected length is 1.96 u above and below
    the target. A line that may come out short without any turn has 0 as its low end. Length
    against the square of the turns is taken as the parabola through the three points. The
    length is taken as normal; it is a little skewed, so the two tails are not quite equal.
    """
    ends = [_parabola(target + shift, lengths, turns**2) for shift in (_Z95 * u, -_Z95 * u)]
    low, high = (math.sqrt(min(max(e, 0.0), most**2)) for e in ends)
    return low, high


def _parabola(x: float, places: FloatArray, values: FloatArray) -> float:
    """Value at a place of the parabola through three points, by Newton's differences."""
    (a, b, c), (fa, fb, fc) = places.tolist(), values.tolist()
    first, second = (fb - fa) / (b - a), (fc - fb) / (c - b)
    return fa + (x - a) * (first + (x - b) * (second - first) / (c - a))


def plan_twist(
    prepared: Prepared, q: Unknowns, chosen: Chosen, spread: Propagation
) -> TwistPlan:
    """Plan the twist.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    q : mapping
        Unknowns at their means, arrays of shape (1,).
    chosen : Chosen
        The settings.
    spread : Propagation
        The predicted build.

    Returns
    -------
    TwistPlan
        The twist.
    """
    model, turns = prepared.model, chosen.settings.turns
    body = model.twisting_length
    most = max(float(np.floor(2.0 * MOST_ADVISED * body) / 2.0), turns + 2.0)
    tried = np.array([0.0, max(turns - 1.0, 0.0), turns, turns + 0.5, turns + 1.0, most])
    lengths = finished_lengths(model, q, chosen.skein, chosen.naturals, tried)
    finished = estimate(spread, "finished", "m")
    lengths = lengths + (finished.value - lengths[2])
    none, fewer, now, half, more, all_in = (float(v) for v in lengths)
    points = [0, 2, 5] if turns > 0.0 else [0, 4, 5]
    low, high = turns_range(
        model.line.length, tried[points], lengths[points], finished.u, STEEPEST * body
    )
    one = estimate(spread, "turn_effect", "m")

    def effect(change: float) -> Estimate:
        # What makes one turn's effect unsure makes that of any other number as unsure.
        return Estimate(change, abs(change / one.value) * one.u, "m")

    return TwistPlan(
        turns=turns,
        turns_low=low,
        turns_high=high,
        rate=turns / body,
        rate_low=low / body,
        rate_high=high / body,
        hand=model.line.hand.value,
        take_up=effect(none - now),
        next_turn=effect(more - now),
        next_half=effect(half - now),
        less_turn=effect(fewer - now),
        shortest=all_in,
        longest=none,
        most_turns=most,
        slack_strands=round(estimate(spread, "slack", "1").value),
        torque=estimate(spread, "torque", "N m"),
        strength_kept=estimate(spread, "twist_efficiency", "1"),
    )
