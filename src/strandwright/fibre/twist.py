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
#: Plain steps are tried so often
_PLAIN = 12
#: Step over which length, strains and pulls are carried by their slopes; what that leaves is its
#: square times some fifty: 1e-12 of the length at most
_CARRIED = 1e-7


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

    @property
    def law(self) -> tuple[FloatArray, FloatArray, float]:
        """Stiffness [N], softening [-] and break strain [-], as a strand's law takes them."""
        return self.stiffness, self.softening, self.break_strain


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
    load: ArrayLike,
    natural: ArrayLike,
    turns: ArrayLike,
    radius: ArrayLike,
    strands: StrandSet,
    start: FloatArray | None = None,
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
    start : ndarray or None
        Lengths to begin from, of the span's shape; they do not change what is found [m]

    Returns
    -------
    TwistedSpan
        The span in equilibrium; its length is NaN where the load is over what the law carries.

    Notes
    -----
    Newton from the fully shared length, which is near, or from where it is told to begin. A
    softening law and slack strands bend the load both ways: where that does not close in a few
    steps, it starts again between the longest length known to carry too little and the shortest
    known to carry enough.
    """
    load, natural, turns, radius = (
        np.asarray(v, dtype=float) for v in (load, natural, turns, radius)
    )
    straight = natural * (1.0 + strand_strain(load / strands.count, *strands.law))
    bundle = _Bundle.twisted(natural, turns, radius, strands, straight.ndim)
    first = bundle.shared_length(straight) if start is None else start
    length, strain, pull = _newton(bundle, load, first) or _bounded(bundle, load, straight)
    arms = bundle.arms
    return TwistedSpan(
        length,
        _strands_last(strain),
        _strands_last(pull),
        _strands_last(arms if arms.shape == strain.shape else np.broadcast_to(arms, strain.shape)),
        turns if turns.shape == length.shape else np.broadcast_to(turns, length.shape),
    )


def _strands_last(values: FloatArray) -> FloatArray:
    """Give values with their first axis last."""
    return values.transpose((*range(1, values.ndim), 0))


@dataclass(frozen=True)
class _Bundle:
    """What the strands of a batch of spans do at a length; the strands stand on the first axis.

    With :math:`c_i` the cosine of a strand's helix angle and m the mean of :math:`1/c_i`, the
    ratio of path to natural length is :math:`(L/l_0)/g_i`, :math:`g_i = (1-s)c_i + s/m`.
    """

    natural: FloatArray
    pitch: FloatArray
    arms: FloatArray
    strands: StrandSet

    @classmethod
    def twisted(
        cls,
        natural: FloatArray,
        turns: FloatArray,
        radius: FloatArray,
        strands: StrandSet,
        axes: int,
    ) -> _Bundle:
        """Give a bundle of a batch with at least that many axes."""
        radii = strands.radii
        if radii.ndim == 1:
            axes = max(axes, turns.ndim, radius.ndim, strands.share.ndim)
            square = (radii * radii).reshape((-1,) + (1,) * axes)
        else:
            square = np.moveaxis(radii * radii, -1, 0)
        arms = radius * radius * square
        rate = _TWO_PI * turns
        return cls(natural, rate * rate * arms, arms, strands)

    def shared_length(self, straight: FloatArray) -> FloatArray:
        """Length if the strands share, near the straight length.

        They carry more along themselves than along the line, as much more as their paths are
        longer, and stretch the more for it.
        """
        path = np.sqrt(1.0 + self.pitch * (1.0 / (straight * straight)))
        longer = np.add.reduce(path) / self.strands.count
        return (straight + (straight - self.natural) * (longer - 1.0)) / longer

    def at(
        self, length: FloatArray
    ) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, FloatArray, FloatArray]:
        """Load, and strain and pull of each strand; their slopes with the length's logarithm."""
        share, count = self.strands.share, self.strands.count
        steep = self.pitch * (1.0 / (length * length))
        steep += 1.0
        path = np.sqrt(steep)
        cosine = 1.0 / path
        mean = np.add.reduce(path) / count
        even = share / mean
        # Slope of g: paths shorten as the span lengthens, and with them the shares.
        even_slope = even * (np.add.reduce(cosine) / (count * mean))
        own = (1.0 - share) * cosine
        divisor = own + even
        stretch = (length / self.natural) / divisor
        own /= steep
        own += even_slope
        own *= stretch
        own /= divisor
        stretch -= 1.0
        tension, slope = _law(stretch, self.strands)
        pull = tension * cosine
        # The pull's slope: by the strain, and by the cosine that grows as the helix opens.
        slope *= own
        tension /= steep
        slope -= tension
        slope *= cosine
        slope += pull
        return np.add.reduce(pull), np.add.reduce(slope), stretch, pull, own, slope


def _law(strain: FloatArray, strands: StrandSet) -> tuple[FloatArray, FloatArray]:
    """Tension and slope of the law, written out for strains short of the break."""
    # A strain that is no number takes the general way.
    if not strain.max() <= strands.break_strain:
        return strand_tension(strain, *strands.law), strand_slope(strain, *strands.law)
    bend = strands.stiffness * ((strands.softening - 1.0) / strands.break_strain)
    is_taut = strain.min() > 0.0
    taut = strain if is_taut else np.maximum(strain, 0.0)
    bent = bend * taut
    tension = strands.stiffness * strands.softening - bent
    slope = tension - bent
    tension *= taut
    if not is_taut:
        slope *= strain > 0.0
    return tension, slope


def _newton(
    bundle: _Bundle, load: FloatArray, length: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray] | None:
    """Length, strains and pulls by Newton's plain steps; None where these do not close.

    The last step is so small that strains and pulls are carried over it by their slopes.
    """
    for _ in range(_PLAIN):
        carried, slope, strain, pull, strain_slope, pull_slope = bundle.at(length)
        if not slope.min() > 0.0:
            return None
        step = (load - carried) / slope
        length = length * (1.0 + step)
        if not np.abs(step).max() > _CARRIED:
            return length, strain + step * strain_slope, pull + step * pull_slope
    return None


def _bounded(
    bundle: _Bundle, load: FloatArray, straight: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Do it by Newton between the longest length known too short and the shortest too long."""
    length = bundle.shared_length(straight)
    low, high = 0.5 * length, straight
    strain = pull = length
    for _ in range(_ITERATIONS):
        carried, slope, strain, pull, _, _ = bundle.at(length)
        miss = carried - load
        low, high = np.where(miss < 0.0, length, low), np.where(miss > 0.0, length, high)
        new = _next_length(length, miss, slope, low, high)
        step = new / length - 1.0
        length = new
        if not (np.abs(step) > _RELATIVE).any():
            break
    return length, strain, pull


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
