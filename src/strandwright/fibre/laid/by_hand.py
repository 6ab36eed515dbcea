"""Laying by hand: how far to turn each bundle so that the lay comes to an angle of itself."""

from __future__ import annotations

import numpy as np

from strandwright.fibre.laid.bundle import LaidBundles
from strandwright.fibre.laid.equilibrium import balanced_lay
from strandwright.fibre.laid.lay import lay_at
from strandwright.fibre.laid.rope import LaidSpan
from strandwright.numerics.outcome import Outcome

#: Rates by hand looked at, over the one for small angles [-]
_TRIED = np.linspace(0.6, 1.8, 25)


def balanced_by_hand(load: float, hand_rate: float, bundles: LaidBundles) -> Outcome[LaidSpan]:
    """The lay that some turns by hand come to, over a metre of strand.

    Parameters
    ----------
    load : float
        Pull of the hand on the rope, > 0 [N]
    hand_rate : float
        Turns of each bundle by hand over length of strand, positive Z [turn/m]
    bundles : LaidBundles
        The bundles, arrays of shape (1,).

    Returns
    -------
    Outcome
        The span, arrays of shape (1,); lay rate and angle are its own.
    """
    return balanced_lay(np.array([load]), 1.0, np.array([hand_rate]), bundles)


def hand_rate_for(load: float, angle: float, bundles: LaidBundles) -> float:
    """Turns of each bundle by hand whose lay comes to an angle of itself.

    Parameters
    ----------
    load : float
        Pull of the hand on the rope, > 0 [N]
    angle : float
        Lay angle wanted, positive Z [rad]
    bundles : LaidBundles
        The bundles, arrays of shape (1,).

    Returns
    -------
    float
        Turns over length of strand, of the other hand than the lay [turn/m]

    Notes
    -----
    Found among balanced ropes, between two of which the angle is taken as straight. Where none
    near holds together, the balance of small angles stands in.
    """
    radius, nesting = (float(np.ravel(v)[0]) for v in (bundles.radius, bundles.nesting))
    lay = lay_at(radius, angle, bundles.count, nesting)
    square = float(np.ravel(bundles.strand_square)[0])
    driven = (float(lay.helix_radius) ** 2 + square) / square
    small = -driven * float(np.cos(lay.angle)) / float(lay.pitch)
    tried = small * _TRIED
    found = balanced_lay(np.full(len(tried), load), 1.0, tried, bundles)
    good = np.broadcast_to(found.ok, tried.shape)
    angles = np.abs(np.broadcast_to(found.value.touch.angle, tried.shape)[good])
    if len(angles) < 2 or not angles[0] <= abs(angle) <= angles[-1]:
        return small
    return float(np.interp(abs(angle), angles, tried[good]))
