"""Hand of turns: the one place that says which way is positive, and how turns add up.

Turns are signed numbers. Positive turns are **Z**: seen with the axis upright, what lies in
front slopes like the middle stroke of the letter, a right-handed helix. Negative turns are **S**.

Two kinds of turns make a laid rope:

- *hand turns* turn each bundle about its own axis, against the frame in which the bundles lie;
- *lay turns* turn the whole of the bundles about the axis of the rope.

A bundle that is led round a helix of angle :math:`\\beta` without being turned by hand is
twisted by the helix's torsion: over *N* turns of lay by :math:`N\\cos\\beta`. So

.. math:: N_\\mathrm{own} = N_\\mathrm{hand} + N_\\mathrm{lay}\\cos\\beta

for turns of either hand. Bundles turned one way and laid the other way have hand and lay turns
of opposite sign.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from strandwright.fibre.strand_law import FloatArray

Hand = Literal["Z", "S"]


def hand_of(turns: float) -> Hand:
    """Give the hand of some turns.

    Parameters
    ----------
    turns : float
        Turns, signed; none counts as Z [turn]

    Returns
    -------
    str
        "Z" for a right-handed helix, "S" for a left-handed one.
    """
    return "S" if turns < 0.0 else "Z"


def own_turns(hand_turns: ArrayLike, lay_turns: ArrayLike, lay_angle: ArrayLike) -> FloatArray:
    """Turns of a bundle about its own axis, from those put in by hand and from laying.

    Parameters
    ----------
    hand_turns : array_like
        Turns by hand, positive Z [turn]
    lay_turns : array_like
        Turns of lay, positive Z [turn]
    lay_angle : array_like
        Angle of the bundle's centreline to the rope's axis, of either sign [rad]

    Returns
    -------
    ndarray
        Turns about the bundle's own axis, positive Z [turn]
    """
    return np.asarray(hand_turns) + np.asarray(lay_turns) * np.cos(lay_angle)


def hand_turns_for(own: ArrayLike, lay_turns: ArrayLike, lay_angle: ArrayLike) -> FloatArray:
    """Turns to put in by hand for some turns about the own axis: undoes :func:`own_turns`.

    Parameters
    ----------
    own : array_like
        Turns about the bundle's own axis, positive Z [turn]
    lay_turns : array_like
        Turns of lay, positive Z [turn]
    lay_angle : array_like
        Angle of the bundle's centreline to the rope's axis [rad]

    Returns
    -------
    ndarray
        Turns by hand, positive Z [turn]
    """
    return np.asarray(own) - np.asarray(lay_turns) * np.cos(lay_angle)
