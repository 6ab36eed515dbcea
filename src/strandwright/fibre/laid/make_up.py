"""Bundles of a rope from how many strands each has."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from strandwright.errors import InputError
from strandwright.fibre.bundle import filled_radii
from strandwright.fibre.laid.bundle import LaidBundles, bundle_stiffness
from strandwright.fibre.twist import StrandSet


def bundles_of(
    strand_counts: Sequence[int],
    single_radius: ArrayLike,
    stiffness: ArrayLike,
    softening: ArrayLike,
    break_strain: float,
    share: ArrayLike,
    grip: ArrayLike = 0.0,
    shear_ratio: ArrayLike = 0.05,
    nesting: ArrayLike = 1.0,
) -> LaidBundles:
    """Two or three bundles of a kind of strand.

    Parameters
    ----------
    strand_counts : sequence of int
        Strands of each bundle, two or three numbers that differ by one at most [-]
    single_radius : array_like
        Radius that one strand has at the packing of the bundles: half of the bundle diameter of
        a single strand [m]
    stiffness : array_like
        Secant stiffness of one strand [N]
    softening : array_like
        Slope at zero over secant, in [1, 2) [-]
    break_strain : float
        Strain at break [-]
    share : array_like
        0 strands fixed in place, 1 fully shared [-]
    grip : array_like
        0 filaments of a bundle slip, 1 they are glued to a rod [-]
    shear_ratio : array_like
        Shear over axial modulus of such a rod [-]
    nesting : array_like
        Helix radius over that of round bundles, in (0, 1] [-]

    Returns
    -------
    LaidBundles
        The bundles, all alike. Uneven ones are evened: the strands of the nearest whole number,
        as thick and stiff as the mean, which is right to the first order in how they differ.

    Raises
    ------
    InputError
        If there are not two or three, one has no strand, or they differ by more than one.
    """
    _check(strand_counts)
    mean = sum(strand_counts) / len(strand_counts)
    count = round(mean)
    soft, shared = (np.asarray(v, dtype=float) for v in (softening, share))
    stiff = np.asarray(stiffness, dtype=float) * (mean / count)
    strands = StrandSet(filled_radii(count), stiff, soft, break_strain, shared)
    radius = np.asarray(single_radius, dtype=float) * np.sqrt(mean)
    bending, torsion = bundle_stiffness(radius, strands, grip, shear_ratio)
    nested = np.asarray(nesting, dtype=float)
    return LaidBundles(len(strand_counts), radius, strands, bending, torsion, nested)


def _check(strand_counts: Sequence[int]) -> None:
    """Refuse bundles that the model does not hold for."""
    if len(strand_counts) not in (2, 3):
        raise InputError(
            "strand_counts", len(strand_counts), "must be 2 or 3 bundles", "lay two or three"
        )
    if min(strand_counts) < 1:
        raise InputError(
            "strand_counts", min(strand_counts), "must be 1 or more each", "give each its strands"
        )
    if max(strand_counts) - min(strand_counts) > 1:
        raise InputError(
            "strand_counts",
            max(strand_counts) - min(strand_counts),
            "must differ by 1 at most",
            "share the strands out evenly, as 7 and 8",
        )
