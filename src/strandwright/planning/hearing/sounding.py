"""Sounding: a standing line at any load, and values between the loads that were worked out."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.polynomial.chebyshev import chebder, chebval, chebvander
from numpy.typing import NDArray

from strandwright.planning.hearing.standing import Standing
from strandwright.vibration.sounding_line import SoundingLine, sounding_line

Floats = NDArray[np.float64]


def standing_as_line(stand: Standing, load: Floats, x: Mapping[str, Floats]) -> SoundingLine:
    """Give a line at loads and values of its unknowns, cases first.

    Parameters
    ----------
    stand : Standing
        The line at the load asked for.
    load : ndarray, shape (batch,)
        Loads [N]
    x : mapping of str to ndarray, shape (batch,)
        The unknowns of an ear, each in its own unit.

    Returns
    -------
    SoundingLine
        With the ends moved to where the swing ends.
    """
    grown = 1.0 + (load - stand.target) / stand.stretch
    whole = float(stand.length.sum())
    length = stand.length * (grown * (1.0 + x["length"] / whole))[:, None]
    bending = stand.solid * x["bending"][:, None]
    held = x["lean"][:, None] * np.sqrt(bending[:, [0, -1]] / load[:, None])
    moved = held + 0.5 * x["nodes"][:, None]
    if length.shape[1] == 1:
        length = length - moved.sum(axis=1, keepdims=True)
    else:
        # A slack line's end bends over more than its loop: what that has not comes off the body.
        of_loop = np.minimum(moved, 0.8 * length[:, [0, -1]])
        length[:, [0, -1]] -= of_loop
        length[:, [1, -2]] -= moved - of_loop
    mass = x["mass"][:, None] * stand.fibre + x["thread"][:, None] * stand.thread
    return sounding_line(length, mass / grown[:, None], load, bending_stiffness=bending)


def weights(nodes: Floats, at: float) -> tuple[Floats, Floats]:
    """Give the weights of values at nodes in the polynomial through them, and in its slope.

    Parameters
    ----------
    nodes : ndarray, shape (nodes,)
        Where values are known, rising, all in one unit [-]
    at : float
        Where the polynomial is wanted, in that unit [-]

    Returns
    -------
    value, slope : ndarray, shape (nodes,)
        Of the polynomial [-], and of its slope by one of that unit.
    """
    degree = len(nodes) - 1
    centre, half = 0.5 * (nodes[0] + nodes[-1]), 0.5 * (nodes[-1] - nodes[0])
    basis = np.linalg.inv(chebvander((nodes - centre) / half, degree))
    place = (at - centre) / half
    value = chebvander(np.array([place]), degree)[0]
    slope = np.array([chebval(place, chebder(row)) / half for row in np.eye(degree + 1)])
    return value @ basis, slope @ basis
