"""Strength of a laid rope: what obliquity leaves of the sum of its strands."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from strandwright.fibre.laid.bundle import LaidBundles
from strandwright.fibre.laid.hands import own_turns
from strandwright.fibre.laid.rope import rope_at
from strandwright.fibre.strand_law import FloatArray, strand_tension

_TWO_PI = 2.0 * np.pi


def laid_breaking_load(
    lay_rate: ArrayLike, hand_rate: ArrayLike, bundles: LaidBundles
) -> FloatArray:
    """Load along the rope at which its most strained strand reaches the break strain.

    Parameters
    ----------
    lay_rate : array_like
        Turns of lay over length of rope, positive Z [turn/m]
    hand_rate : array_like
        Turns of each bundle by hand over length of rope, positive Z [turn/m]
    bundles : LaidBundles
        The bundles, all strands of one strength.

    Returns
    -------
    ndarray
        Load, before any allowance for unequal strands, for ends and for rubbing [N]

    Notes
    -----
    Obliquity twice over: strands in their bundle, bundles in the lay. Strands slip freely
    along the bend of their bundle; glued ones would add radius times curvature of strain.
    """
    lay, hand = bundles.broadcast(lay_rate, hand_rate)
    touch = bundles.touching(lay, np.ones_like(lay))
    length = 1.0 / np.cos(touch.angle)
    rate = own_turns(hand, lay, touch.angle) / length
    arms = np.square(np.asarray(bundles.radius)[..., None] * bundles.strands.radii)
    path = np.sqrt(1.0 + np.square(_TWO_PI * rate)[..., None] * arms)
    most = (path / bundles.strands.own_naturals(path)).max(axis=-1)
    natural = length * most / (1.0 + bundles.strands.break_strain)
    return rope_at(1.0, natural, lay, hand, bundles).load


def strength_kept(lay_rate: ArrayLike, hand_rate: ArrayLike, bundles: LaidBundles) -> FloatArray:
    """Share of the strands' strength that a laid rope keeps.

    Parameters
    ----------
    lay_rate : array_like
        Turns of lay over length of rope, positive Z [turn/m]
    hand_rate : array_like
        Turns of each bundle by hand over length of rope, positive Z [turn/m]
    bundles : LaidBundles
        The bundles.

    Returns
    -------
    ndarray
        Breaking load over the sum of the strands, 1 without turns [-]
    """
    each = strand_tension(bundles.strands.break_strain, *bundles.strands.law)
    whole = bundles.count * bundles.strands.count * each
    return laid_breaking_load(lay_rate, hand_rate, bundles) / whole
