"""A matched pair of yoke cables: how they compare, and the turns that make them alike.

The bound of 1/32 in is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.unknowns import Unknowns
from strandwright.line.yoke.matching import Bools, room_for_turns
from strandwright.line.yoke.model import YokeModel
from strandwright.numerics.roots import newton_monotone
from strandwright.units import INCH

#: Two cables of a pair match within this, common practice, no source [m]
PAIR_MATCH = INCH / 32.0

_CLOSE = 1e-9


@dataclass(frozen=True)
class PairMatch:
    """How two yoke cables of a pair compare.

    Attributes
    ----------
    difference : ndarray
        Shape (B,); mean of the first cable's readings less that of the second's [m]
    uneven : ndarray
        Shape (B,); how much more the first cable's leg 1 is the longer than the second's [m]
    uncertainty : ndarray
        Shape (B,); standard uncertainty of the difference [m]
    matched : ndarray of bool
        Shape (B,); where the difference is within the bound.
    """

    difference: FloatArray
    uneven: FloatArray
    uncertainty: FloatArray
    matched: Bools


def compare_pair(
    first: FloatArray, second: FloatArray, reading: float, bound: float = PAIR_MATCH
) -> PairMatch:
    """Compare two yoke cables of a matched pair from readings to each leg's pin.

    Parameters
    ----------
    first, second : ndarray
        Overall lengths to the pins of leg 1 and leg 2 of each cable at one load, shape (B, 2) [m]
    reading : float
        Standard uncertainty of one reading, >= 0 [m]
    bound : float
        Difference within which the cables match [m]

    Returns
    -------
    PairMatch
        The comparison.
    """
    apart = first.mean(axis=1) - second.mean(axis=1)
    uneven = (first[:, 0] - first[:, 1]) - (second[:, 0] - second[:, 1])
    # Each mean is of two readings, and there are two means.
    return PairMatch(apart, uneven, np.full_like(apart, reading), np.abs(apart) <= bound)


def turns_for_pair(
    model: YokeModel, q: Unknowns, naturals: FloatArray, load: FloatArray, shorten: FloatArray
) -> FloatArray:
    """Turns more in the body that shorten a yoke cable to its fellow.

    Parameters
    ----------
    model : YokeModel
        The longer cable.
    q : mapping
        Unknowns, arrays of shape (B,).
    naturals : ndarray
        Leg 1, leg 2 and body, shape (B, 3) [m]
    load : ndarray
        Load along the pull, shape (B,) [N]
    shorten : ndarray
        How much longer it is, >= 0, shape (B,) [m]

    Returns
    -------
    ndarray
        Turns into the body, shape (B,); NaN where there are not enough [turn]
    """
    body = model.tripod(q, naturals).body
    before = body.length(load)

    def miss(more: FloatArray) -> tuple[FloatArray, FloatArray]:
        def taken(turns: FloatArray) -> FloatArray:
            return before - replace(body, turns=body.turns + turns).length(load) - shorten

        here, step = taken(more), 1e-4 * (1.0 + more)
        return here, (taken(more + step) - here) / step

    found = newton_monotone(miss, np.zeros_like(load), 0.0, room_for_turns(body), tol=_CLOSE)
    return np.where(found.ok, found.value, np.nan)
