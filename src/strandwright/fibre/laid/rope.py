"""A laid rope of a length and turns: its pull, torque and energy.

The energy of *m* bundles in a rope of length *z* with *N* turns of lay is

.. math:: U(z, N) = m\\,\\bigl[U_b(s, N_\\mathrm{own}) + \\tfrac12 B\\kappa^2 s
          + \\tfrac12 C (2\\pi N_\\mathrm{own})^2/s\\bigr],

with the bundle's length :math:`s = z/\\cos\\beta`, its turns about its own axis
(:mod:`~strandwright.fibre.laid.hands`) and the curvature :math:`\\kappa = \\sin^2\\beta/a` of
touching bundles. Pull and torque are its slopes, written out:
:math:`F = \\partial U/\\partial z`, :math:`2\\pi M = \\partial U/\\partial N`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from strandwright.fibre.laid.bundle import LaidBundles, bundle_at, bundle_energy
from strandwright.fibre.laid.contact import Touch
from strandwright.fibre.laid.hands import own_turns
from strandwright.fibre.strand_law import FloatArray
from strandwright.fibre.twist import TwistedSpan

_TWO_PI = 2.0 * np.pi


@dataclass(frozen=True)
class LaidSpan:
    """A span of laid rope.

    Attributes
    ----------
    length : ndarray
        Shape (...); length of the rope [m]
    natural : ndarray
        Shape (...); natural length of the strands in it [m]
    lay_turns : ndarray
        Shape (...); turns of lay, positive Z [turn]
    hand_turns : ndarray
        Shape (...); turns of each bundle by hand, positive Z [turn]
    touch : Touch
        How the bundles touch: lay angle and spread.
    bundle : TwistedSpan
        One bundle along its own centreline.
    load : ndarray
        Shape (...); pull along the rope [N]
    torque : ndarray
        Shape (...); torque that holds the turns, positive where it has to turn Z [N m]
    energy : ndarray
        Shape (...); energy of stretch, bend and twist of all the bundles [J]
    """

    length: FloatArray
    natural: FloatArray
    lay_turns: FloatArray
    hand_turns: FloatArray
    touch: Touch
    bundle: TwistedSpan
    load: FloatArray
    torque: FloatArray
    energy: FloatArray

    @property
    def bundle_tension(self) -> FloatArray:
        """Tension along one bundle, shape (...) [N]."""
        return self.bundle.pulls.sum(axis=-1)

    @property
    def contraction(self) -> FloatArray:
        """Length that the lay takes up, over bundle length, shape (...) [-]."""
        return 1.0 - np.cos(self.touch.angle)


def rope_at(
    length: ArrayLike,
    natural: ArrayLike,
    lay_turns: ArrayLike,
    hand_turns: ArrayLike,
    bundles: LaidBundles,
) -> LaidSpan:
    """A laid rope of a length with held turns.

    Parameters
    ----------
    length : array_like
        Length of the rope [m]
    natural : array_like
        Natural length of the strands in it [m]
    lay_turns : array_like
        Turns of lay, positive Z [turn]
    hand_turns : array_like
        Turns of each bundle by hand, positive Z [turn]
    bundles : LaidBundles
        The bundles.

    Returns
    -------
    LaidSpan
        The span; NaN where that many turns do not fit the length.

    Notes
    -----
    Bundles are round and stay so, lie on helices and touch; ends are not modelled. Strands bend
    with their bundle, which costs what the bending stiffness says and strains none of them.
    """
    length, natural, lay, hand = bundles.broadcast(length, natural, lay_turns, hand_turns)
    touch = bundles.touching(lay, length)
    path = length / np.cos(touch.angle)
    own = own_turns(hand, lay, touch.angle)
    bundle = bundle_at(path, natural, own, bundles.radius, bundles.strands)
    load, torque = _slopes(length, lay, touch, bundle, bundles)
    stored = bundle_energy(bundle) + _stiff_energy(touch, bundle, bundles)
    return LaidSpan(length, natural, lay, hand, touch, bundle, load, torque, bundles.count * stored)


def _stiff_energy(touch: Touch, bundle: TwistedSpan, bundles: LaidBundles) -> FloatArray:
    """Energy of one bundle's own stiffness against bend and twist."""
    curvature = np.sin(touch.angle) ** 2 / (bundles.radius * touch.spread)
    rate = _TWO_PI * bundle.turns / bundle.length
    density = bundles.bending * curvature**2 + bundles.torsion * rate**2
    return 0.5 * density * bundle.length


def _slopes(
    length: FloatArray, lay: FloatArray, touch: Touch, bundle: TwistedSpan, bundles: LaidBundles
) -> tuple[FloatArray, FloatArray]:
    """Pull and torque: the slopes of the energy with length and turns."""
    sine, cosine = np.sin(touch.angle), np.cos(touch.angle)
    helix, closing = bundles.radius * touch.spread, 1.0 - touch.opening
    rate = _TWO_PI * bundle.turns / bundle.length
    curvature = sine * sine / helix
    tension = bundle.pulls.sum(axis=-1)
    tension = tension + 0.5 * (bundles.bending * curvature**2 - bundles.torsion * rate**2)
    moment = bundle.torque + bundles.torsion * rate
    # What bending costs when the helix steepens; both slopes come from it.
    bend = bundles.bending * bundle.length * sine**3 / helix**2
    bend = bend * (2.0 * cosine**2 - touch.opening) * cosine / closing
    along = tension * touch.stand - bend * np.tan(touch.angle) / length
    along = along + _TWO_PI * moment * lay * sine**2 * cosine / (closing * length)
    around = tension * sine * helix / closing + moment * cosine**2 * touch.stand
    around = around + bend * helix / length
    return bundles.count * along, bundles.count * around
