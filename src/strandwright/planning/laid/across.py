"""Across: how thick bundles are that lie about each other, over one round bundle of them all."""

from __future__ import annotations

import math

from strandwright.fibre.laid.lay import lay_at
from strandwright.reference import practice
from strandwright.workshop.makings import LaidIn

#: Bundles never lie nearer than this, over round ones that touch [-]
LEAST_NESTING = 0.5


def nesting_of(stands_off: float, bundles: int) -> float:
    """Give how near bundles lie, over round ones that touch.

    Parameters
    ----------
    stands_off : float
        Mean square distance of the strands from the axis over that in one round bundle [-]
    bundles : int
        2 or 3 [-]

    Returns
    -------
    float
        Helix radius over that of round bundles, at most 1 [-]
    """
    square = stands_off - 0.5 if bundles == 2 else 0.75 * (1.5 * stands_off - 0.5)
    return min(max(math.sqrt(max(square, 0.0)), LEAST_NESTING), 1.0)


def laid_angle(laid: LaidIn) -> float:
    """Give the angle that bundles are to be laid at by hand.

    Parameters
    ----------
    laid : LaidIn
        How the line is laid in.

    Returns
    -------
    float
        As the job has it, or by practice [rad]
    """
    return practice("laid.angle").value if laid.angle is None else math.radians(laid.angle)


def laid_across(laid: LaidIn) -> float:
    """Give how thick the laid bundles of a loop are over one round bundle of as many strands.

    Parameters
    ----------
    laid : LaidIn
        How the line is laid in.

    Returns
    -------
    float
        Diameter of the round that holds them, over that of the round bundle [-]

    Notes
    -----
    Bundles packed as densely, each of its share of the area; nested as practice has it, for a line
    is made before any reading tells it. Two bundles come to 1.3, three to 1.2.
    """
    nesting = nesting_of(practice("laid.stands_off").value, laid.bundles)
    lay = lay_at(1.0 / math.sqrt(laid.bundles), laid_angle(laid), laid.bundles, nesting)
    return float(lay.outside_radius)
