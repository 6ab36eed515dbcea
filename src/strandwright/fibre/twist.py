"""Twist of a bundle: what it takes up, who carries the load, what torque it holds.

A strand at radius *r* in a span of twisted length *L* with *N* turns runs on a helix of length
:math:`l = \\sqrt{L^2 + (2\\pi r N)^2}`. It carries :math:`T(l/l_0 - 1)` along itself and
:math:`T\\cos\\theta` along the line, and never pushes. How its natural length :math:`l_0`
compares with the others' depends on one **share** parameter: 0, strands stay where they lie
(all the same :math:`l_0`, the outer ones tight, the inner ones slack); 1, strands migrate and
slip until all are strained alike, and the closed area-mean formula is the limit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from strandwright.fibre.strand_law import (
    FloatArray,
    strand_slope,
    strand_strain,
    strand_tension,
)

_TWO_PI = 2.0 * np.pi
_ITERATIONS = 40
_RELATIVE = 1e-13


@dataclass(frozen=True)
class StrandSet:
    """The strands of a bundle as the twist sees them, one row per case of a batch.

    Attributes
    ----------
    radii : ndarray
        Shape (n,) or (..., n); each strand's radius about the axis over the bundle radius [-]
    stiffness : ndarray
        Shape (...); secant stiffness of one strand [N]
    softening : ndarray
        Shape (...); slope at zero over secant [-]
    break_strain : float
        Strain at break [-]
    share : ndarray
        Shape (...); 0 strands fixed in place, 1 fully shared [-]
    """

    radii: FloatArray
    stiffness: FloatArray
    softening: FloatArray
    break_strain: float
    share: FloatArray

    @property
    def count(self) -> int:
        """Number of strands."""
        return int(self.radii.shape[-1])


@dataclass(frozen=True)
class TwistedSpan:
    """A twisted span in equilibrium with the load along it.

    Attributes
    ----------
    length : ndarray
        Shape (...); length along the line under load [m]
    strains : ndarray
        Shape (..., n); strain of each strand, negative where slack [-]
    pulls : ndarray
        Shape (..., n); each strand's share of the load, along the line [N]
    arms : ndarray
        Shape (..., n); square of each strand's radius about the axis [m^2]
    turns : ndarray
        Shape (...); turns in the span [turn]
    """

    length: FloatArray
    strains: FloatArray
    pulls: FloatArray
    arms: FloatArray
    turns: FloatArray

    def columns(self, which: slice) -> TwistedSpan:
        """Give some columns of a batch of spans, the second axis of shape (B, columns).

        Parameters
        ----------
        which : slice
            The columns.

        Returns
        -------
        TwistedSpan
            Those spans.
        """
        return TwistedSpan(
            self.length[:, which],
            self.strains[:, which],
            self.pulls[:, which],
            self.arms[:, which],
            self.turns[:, which],
        )

    @property
    def slack_count(self) -> FloatArray:
        """Number of strands that carry nothing; shape (...) [-]."""
        return (self.strains <= 0.0).sum(axis=-1)

    @property
    def torque(self) -> FloatArray:
        """Torque the twisted strands need to stay twisted, shape (...) [N m].

        Each strand gives its load along the line times r^2 and the twist rate in radians.
        """
        rate = _TWO_PI * self.turns / self.length
        return rate * (self.pulls * self.arms).sum(axis=-1)


def area_mean_contraction(surface_angle: ArrayLike) -> FloatArray:
    """Contraction factor, untwisted over twisted length, of a uniform bundle fully shared.

    .. math:: c = \\frac{2(\\sec^3\\alpha - 1)}{3\\tan^2\\alpha}

    Parameters
    ----------
    surface_angle : array_like
        Helix angle of the bundle's surface to its axis, in [0, pi/2) [rad]

    Returns
    -------
    ndarray
        Contraction factor, >= 1 [-]

    Notes
    -----
    Mean over the section of the helix length of each element; strands at constant length.
    """
    square = np.tan(np.asarray(surface_angle, dtype=float)) ** 2
    series = 1.0 + square / 4.0 - square**2 / 24.0
    exact = 2.0 * ((1.0 + square) ** 1.5 - 1.0) / (3.0 * np.where(square > 0, square, 1.0))
    return np.where(square < 1e-4, series, exact)


def span_length(
    load: ArrayLike, natural: ArrayLike, turns: ArrayLike, radius: ArrayLike, strands: StrandSet
) -> TwistedSpan:
    """Length of a twisted span at a load: solves sum of T_i cos(theta_i) = F.

    Parameters
    ----------
    load : array_like
        Load along the line, > 0; broadcasts over the batch [N]
    natural : array_like
        Natural length of the strands in the span [m]
    turns : array_like
        Turns in the span, either hand [turn]
    radius : array_like
        Outside radius of the bundle [m]
    strands : StrandSet
        The strands.

    Returns
    -------
    TwistedSpan
        The span in equilibrium; its length is NaN where the load is over what the law carries.

    Notes
    -----
    Newton from the untwisted length, which lies above the root, kept between the longest length
    known to carry too little and the shortest known to carry enough: a softening law and slack
    strands bend the load both ways.
    """
    load, natural, turns, radius = (
        np.asarray(v, dtype=float) for v in (load, natural, turns, radius)
    )
    share, count = strands.share[..., None], strands.count
    law = (strands.stiffness[..., None], strands.softening[..., None], strands.break_strain)
    arms = np.square(radius[..., None] * strands.radii)
    pitch = np.square(_TWO_PI * turns)[..., None] * arms
    inverse = 1.0 / natural
    straight = strand_strain(
        load / count, strands.stiffness, strands.softening, strands.break_strain
    )
    length = natural * (1.0 + straight)
    path = np.sqrt(1.0 + pitch / np.square(length)[..., None])
    length = length * (count / path.sum(axis=-1))
    strain = pull = path
    low, high = 0.5 * length, natural * (1.0 + straight)
    # With a straight law the load bends upwards only, and steps from above never pass the root.
    guarded = bool((strands.softening > 1.0).any())
    for _ in range(_ITERATIONS):
        steep = pitch / np.square(length)[..., None]
        path = np.sqrt(1.0 + steep)
        relative = path * (count / path.sum(axis=-1))[..., None]
        shared = share * relative
        ratio = shared + (1.0 - share)
        stretch = (length * inverse)[..., None] * path / ratio
        strain = stretch - 1.0
        pull = strand_tension(strain, *law) / path
        # Slope along the line: paths shorten as the span lengthens, and with them the shares.
        fall = steep / (1.0 + steep)
        mean_fall = (relative * fall).sum(axis=-1)[..., None] / count
        change = 1.0 - fall + shared * (fall - mean_fall) / ratio
        slope = (strand_slope(strain, *law) * stretch * change / path + pull * fall).sum(axis=-1)
        miss = pull.sum(axis=-1) - load
        if guarded:
            low, high = np.where(miss < 0.0, length, low), np.where(miss > 0.0, length, high)
            new = _next_length(length, miss, slope, low, high)
        else:
            new = length * (1.0 - miss / slope)
        step = new / length - 1.0
        length = new
        if not (np.abs(step) > _RELATIVE).any():
            break
    shape = length.shape
    return TwistedSpan(
        length, strain, pull, np.broadcast_to(arms, strain.shape), np.broadcast_to(turns, shape)
    )


def _next_length(
    length: FloatArray, miss: FloatArray, slope: FloatArray, low: FloatArray, high: FloatArray
) -> FloatArray:
    """Newton's next length, or the middle of the bracket where a step cannot be trusted.

    A softening law makes steps too long: some land where every strand is slack.
    """
    trial = length * (1.0 - miss / np.where(slope > 0.0, slope, 1.0))
    trusted = (slope > 0.0) & (trial >= low) & (trial <= high)
    return np.where(trusted | (miss == 0.0), trial, 0.5 * (low + high))


def breaking_load(turns_per_length: ArrayLike, radius: ArrayLike, strands: StrandSet) -> FloatArray:
    """Load along the line at which its most strained strand reaches the break strain.

    Parameters
    ----------
    turns_per_length : array_like
        Turns over twisted length [turn/m]
    radius : array_like
        Outside radius of the bundle [m]
    strands : StrandSet
        The strands, all of one strength.

    Returns
    -------
    ndarray
        Load, before any allowance for unequal strands and for the ends [N]

    Notes
    -----
    Lower than the sum of the strands by the cosine of the helix where load is shared, and by
    the strain that inner strands still lack where it is not.
    """
    rate, radius = (np.asarray(v, dtype=float) for v in (turns_per_length, radius))
    share = strands.share[..., None]
    steep = np.square(_TWO_PI * rate)[..., None] * np.square(radius[..., None] * strands.radii)
    path = np.sqrt(1.0 + steep)
    ratio = (1.0 - share) + share * path / path.mean(axis=-1)[..., None]
    factor = path / ratio
    stretch = (1.0 + strands.break_strain) / factor.max(axis=-1)
    strain = stretch[..., None] * factor - 1.0
    law = (strands.stiffness[..., None], strands.softening[..., None], strands.break_strain)
    return (strand_tension(strain, *law) / path).sum(axis=-1)
