"""Sounding: a standing line at any load, and values between the loads that were worked out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.polynomial.chebyshev import chebder, chebvander
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


@dataclass(frozen=True, eq=False)
class Through:
    """The polynomial through values at nodes, made ready for many places.

    Attributes
    ----------
    nodes : ndarray, shape (nodes,)
        Where values are known, rising, all in one unit [-].
    """

    nodes: Floats

    @cached_property
    def _ready(self) -> tuple[float, float, Floats, Floats]:
        """Middle, half width, and the coefficients of the values and of their slope."""
        degree = len(self.nodes) - 1
        centre = 0.5 * float(self.nodes[0] + self.nodes[-1])
        half = 0.5 * float(self.nodes[-1] - self.nodes[0])
        basis = np.asarray(np.linalg.inv(chebvander((self.nodes - centre) / half, degree)))
        basis = basis.astype(np.float64)
        return centre, half, basis, np.asarray(chebder(basis) / half, dtype=np.float64)

    def at(self, place: float) -> tuple[Floats, Floats]:
        """Give the weights of the values in the polynomial and in its slope.

        Parameters
        ----------
        place : float
            Where it is wanted, in the nodes' unit [-]

        Returns
        -------
        value, slope : ndarray, shape (nodes,)
            Of the polynomial [-], and of its slope by one of that unit.
        """
        centre, half, basis, slopes = self._ready
        row = chebvander(np.array([(place - centre) / half]), len(self.nodes) - 1)[0]
        return row @ basis, row[:-1] @ slopes
