"""One bundle of a laid rope, told its length and turns: its tension, torque and energy.

The strands are those of :mod:`~strandwright.fibre.twist`, which finds the length at a load. A
rope moves its bundles by length, so this asks the same law the other way round, without solving.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from strandwright.fibre.bundle import filled_radii
from strandwright.fibre.laid.contact import Touch, touching
from strandwright.fibre.strand_law import FloatArray
from strandwright.fibre.twist import StrandSet, TwistedSpan

_TWO_PI = 2.0 * np.pi


@dataclass(frozen=True)
class LaidBundles:
    """The bundles of a rope, all alike.

    Attributes
    ----------
    count : int
        Number of bundles, 2 or 3 [-]
    radius : ndarray
        Shape (...); outside radius of one bundle [m]
    strands : StrandSet
        The strands of one bundle.
    bending : ndarray
        Shape (...); bending stiffness of one bundle without tension [N m^2]
    torsion : ndarray
        Shape (...); torsional stiffness of one bundle without tension [N m^2]
    nesting : ndarray
        Shape (...); radius of the centrelines' helix over that of round bundles, in (0, 1] [-]
    """

    count: int
    radius: FloatArray
    strands: StrandSet
    bending: FloatArray
    torsion: FloatArray
    nesting: FloatArray = field(default_factory=lambda: np.array(1.0))

    @property
    def helix_square(self) -> FloatArray:
        """Square of the radius of the centrelines' helix without lay, shape (...) [m^2]."""
        round_square = 1.0 if self.count == 2 else 4.0 / 3.0
        return round_square * np.square(self.radius * self.nesting)

    @property
    def strand_square(self) -> FloatArray:
        """Mean square radius of the strands about their bundle's axis, shape (...) [m^2]."""
        return np.square(self.radius) * np.square(self.strands.radii).mean(axis=-1)

    def broadcast(self, *values: ArrayLike) -> tuple[FloatArray, ...]:
        """Give values the shape of their batch and of the bundles'.

        Parameters
        ----------
        *values : array_like
            Any numbers of a case [unit of each]

        Returns
        -------
        tuple of ndarray
            The values, all of one shape [unit of each]
        """
        one = self.strands
        own = (self.radius, self.bending, self.torsion, self.nesting, one.radii[..., 0])
        law = (one.stiffness, one.softening, one.share)
        arrays = tuple(np.asarray(v, dtype=float) for v in (*values, *own, *law))
        return tuple(np.broadcast_arrays(*arrays)[: len(values)])

    def touching(self, lay_turns: FloatArray, length: FloatArray) -> Touch:
        """Give how the bundles touch with some turns of lay in a length of rope.

        Parameters
        ----------
        lay_turns : ndarray
            Turns of lay, positive Z [turn]
        length : ndarray
            Length of the rope [m]

        Returns
        -------
        Touch
            Lay angle and spread.
        """
        return touching(_TWO_PI * self.radius * lay_turns / length, self.count, self.nesting)

    def together(self) -> tuple[FloatArray, StrandSet]:
        """Give one round bundle of all the strands, as an endless skein has it.

        Returns
        -------
        radius : ndarray
            Outside radius at the same packing [m]
        strands : StrandSet
            Strands of all the bundles.
        """
        one = self.strands
        radii = filled_radii(self.count * one.count)
        whole = StrandSet(radii, one.stiffness, one.softening, one.break_strain, one.share)
        return self.radius * np.sqrt(self.count), whole


def bundle_stiffness(
    radius: ArrayLike, strands: StrandSet, grip: ArrayLike, shear_ratio: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """Bending and torsional stiffness of a bundle without tension.

    Parameters
    ----------
    radius : array_like
        Outside radius of the bundle [m]
    strands : StrandSet
        Its strands.
    grip : array_like
        0 all filaments slip past each other, 1 glued to one rod; one over the number of strands
        where strands are rods and slip as such [-]
    shear_ratio : array_like
        Shear over axial modulus of the glued rod, about 0.01 to 0.1 [-]

    Returns
    -------
    bending, torsion : ndarray
        Stiffness against curvature and against twist rate [N m^2]
    """
    axial = strands.count * strands.stiffness * strands.softening
    bending = 0.25 * axial * np.square(np.asarray(radius)) * np.asarray(grip)
    return bending, 2.0 * bending * np.asarray(shear_ratio)


def bundle_at(
    length: ArrayLike,
    natural: ArrayLike,
    turns: ArrayLike,
    radius: ArrayLike,
    strands: StrandSet,
) -> TwistedSpan:
    """A bundle of a length with some turns about its own axis.

    Parameters
    ----------
    length : array_like
        Length along the bundle [m]
    natural : array_like
        Natural length of its strands [m]
    turns : array_like
        Turns about its own axis, either hand [turn]
    radius : array_like
        Outside radius [m]
    strands : StrandSet
        Its strands.

    Returns
    -------
    TwistedSpan
        The bundle; the sum of its pulls is its tension.
    """
    length, natural, turns, radius = (
        np.asarray(v, dtype=float) for v in (length, natural, turns, radius)
    )
    return TwistedSpan(length, natural, turns, radius, strands)


def bundle_energy(span: TwistedSpan) -> FloatArray:
    """Energy of stretch in a bundle.

    Parameters
    ----------
    span : TwistedSpan
        The bundle.

    Returns
    -------
    ndarray
        Energy [J]

    Notes
    -----
    Tension and torque are its slopes for strands in place and for strands that share fully;
    between the two, strands that change their natural lengths rub, and it is not conserved.
    """
    stiffness, softening, limit = span.strands.law
    stiffness, softening = stiffness[..., None], softening[..., None]
    taut = np.maximum(span.strains, 0.0)
    over = np.maximum(taut / limit - 1.0, 0.0)
    bent = 0.5 * taut**2 + (softening - 1.0) * (taut**2 * (0.5 - taut / (3.0 * limit)))
    density = stiffness * (bent + (softening - 1.0) * limit**2 * over**3 / 3.0)
    return span.natural * (span.own * density).sum(axis=-1)
