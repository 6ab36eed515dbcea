"""Strands laid in beside a bundle that is stretched already: how far they follow it, what holds.

What was wound has bedded in and stands under load when pieces are gripped beside it. From there
on both stretch alike, so the pieces lag by what the bundle did before::

    strain of the bundle   |----- under load when gripped -----|---- more load ---->
    strain of a piece                                          |-- beds in --|---->

Friction brings a piece's tension in from its free end.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from strandwright.fibre.settling import bedding_progress
from strandwright.fibre.strand_law import FloatArray, strand_slope, strand_strain

_STEPS = 40
#: Tension is solved to this share of the strand's, far below what any number shows [-]
_CLOSE = 1e-12


@dataclass(frozen=True)
class LaidBeside:
    """Strands of one kind, some wound and stretched, some laid in beside them later.

    Attributes
    ----------
    stiffness, softening : ndarray
        Secant stiffness to break [N] and slope at zero over it [-], shape (...)
    break_strain : float
        Strain at break [-]
    bedding : ndarray
        Strain by which a new strand beds in at the reference load, shape (...) [-]
    bedding_scale : ndarray
        Load over which that saturates, shape (...) [N]
    gripped : ndarray
        Load on a wound strand when the others are gripped beside it, shape (...) [N]
    bedded : ndarray
        Highest load it had seen by then, shape (...) [N]
    """

    stiffness: FloatArray
    softening: FloatArray
    break_strain: float
    bedding: FloatArray
    bedding_scale: FloatArray
    gripped: FloatArray
    bedded: FloatArray

    def strain(self, tension: FloatArray) -> FloatArray:
        """Give the elastic strain at a tension.

        Parameters
        ----------
        tension : ndarray
            Tension of a strand, >= 0, shape (...) [N]

        Returns
        -------
        ndarray
            Strain, shape (...) [-]
        """
        return strand_strain(tension, self.stiffness, self.softening, self.break_strain)

    def apart(self, wound: FloatArray, late: FloatArray) -> FloatArray:
        """Give by how much a wound strand has stretched more than one laid in, since the grip.

        Parameters
        ----------
        wound, late : ndarray
            Tension of the one and of the other, >= 0, shape (...) [N]

        Returns
        -------
        ndarray
            Strain, 0 where they follow one another, shape (...) [-]
        """
        first, again, own = (
            bedding_progress(load, self.bedding_scale) for load in (self.bedded, wound, late)
        )
        more = np.maximum(again - first, 0.0) - own
        elastic = self.strain(wound) - self.strain(self.gripped) - self.strain(late)
        return elastic + self.bedding * more


def following_tension(load: ArrayLike, many: ArrayLike, strands: LaidBeside) -> FloatArray:
    """Tension of strands laid in beside a bundle, far from their ends, where they follow it.

    Parameters
    ----------
    load : array_like
        Load on all strands together over the number of the wound ones, >= 0, shape (...) [N]
    many : array_like
        Strands laid in over the wound ones; 0 where ``load`` is that of a wound strand itself [-]
    strands : LaidBeside
        The strands.

    Returns
    -------
    ndarray
        Tension of one, 0 up to the load at which it was gripped, shape (...) [N]

    Notes
    -----
    Equal strain since the grip, :math:`\\varepsilon(T_w) - \\varepsilon(T_g) + b\\,[h(T_w) -
    h(T_b)]_+ = \\varepsilon(T_l) + b\\,h(T_l)` with :math:`T_w = F/n - r T_l`. Valid as the load
    rises for the first time: after a higher one the pieces have bedded in by that one and bear
    less. A piece that is slack lies in waves and bears nothing; creep, and what twist after the
    grip opens again, are left out. Newton's steps from the slack piece, where the missing strain
    falls the fastest, so that they come from below.
    """
    whole, ratio = np.asarray(load, dtype=float), np.asarray(many, dtype=float)
    late = np.zeros(np.broadcast(whole, ratio, strands.stiffness, strands.bedding).shape)
    most = whole / (1.0 + ratio)
    for _ in range(_STEPS):
        wound = np.maximum(whole - ratio * late, 0.0)
        miss = strands.apart(wound, late)
        step = miss / _fall(wound, late, ratio, strands)
        new = np.clip(late + step, 0.0, most)
        moved = np.abs(new - late).max(initial=0.0)
        late = new
        if moved <= _CLOSE * max(float(np.max(whole, initial=0.0)), 1.0):
            break
    return late


def _fall(
    wound: FloatArray, late: FloatArray, ratio: FloatArray, strands: LaidBeside
) -> FloatArray:
    """By how much the missing strain falls with the tension of the strands laid in [1/N]."""
    law = (strands.stiffness, strands.softening, strands.break_strain)
    scale = strands.bedding_scale
    per_load = strands.bedding * bedding_progress(np.inf, scale) / scale
    own = 1.0 / strand_slope(np.maximum(strands.strain(late), 1e-12), *law)
    own = own + per_load * np.exp(-late / scale)
    others = 1.0 / strand_slope(np.maximum(strands.strain(wound), 1e-12), *law)
    beds = np.where(wound > strands.bedded, per_load * np.exp(-wound / scale), 0.0)
    return own + ratio * (others + beds)


def gripped_tension(following: ArrayLike, grip: ArrayLike, length: ArrayLike) -> FloatArray:
    """Tension of a strand laid in, at a distance from its free end.

    Parameters
    ----------
    following : array_like
        Tension at which it would follow the bundle, shape (...) [N]
    grip : array_like
        Friction on it over gripped length, >= 0, shape (...) [N/m]
    length : array_like
        Gripped length from its free end, >= 0, shape (...) [m]

    Returns
    -------
    ndarray
        Tension, shape (...) [N]

    Notes
    -----
    Dry friction that slips at one force over length whatever the slip: tension rises in a
    straight line from the end to where both follow one another, and stays with the bundle there.
    """
    return np.minimum(following, np.asarray(grip, dtype=float) * np.asarray(length, dtype=float))
