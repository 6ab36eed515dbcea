"""Twist of a bundle: what it takes up, who carries the load, what torque it holds.

A strand at radius *r* in a span of twisted length *L* with *N* turns runs on a helix of length
:math:`l = \\sqrt{L^2 + (2\\pi r N)^2}`. It carries :math:`T(l/l_0 - 1)` along itself and
:math:`T\\cos\\theta` along the line, and never pushes. How its natural length :math:`l_0`
compares with the others' depends on one **share** parameter: 0, strands stay where they lie
(all the same :math:`l_0`, the outer ones tight, the inner ones slack); 1, strands migrate and
slip until all are strained alike, and the closed area-mean formula is the limit.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.fibre.bundle_balance import Balance
from strandwright.fibre.bundle_length import Found, balanced, plainly_balanced
from strandwright.fibre.strand_law import FloatArray, strand_strain, strand_tension
from strandwright.fibre.strand_set import StrandSet

_TWO_PI = 2.0 * np.pi


@dataclass(frozen=True)
class TwistedSpan:
    """A twisted span of a length, as one in equilibrium with the load along it.

    Attributes
    ----------
    length : ndarray
        Shape (...); length along the line under load [m]
    natural : ndarray
        Natural length of the strands, broadcasts with the length [m]
    turns : ndarray
        Turns in the span, broadcasts with the length [turn]
    radius : ndarray
        Outside radius of the bundle, broadcasts with the length [m]
    strands : StrandSet
        The strands.
    known_torsion : ndarray or None
        Shape (...); torque over twist rate where that is known already, None where it is not
        [N m^2]
    """

    length: FloatArray
    natural: FloatArray
    turns: FloatArray
    radius: FloatArray
    strands: StrandSet
    known_torsion: FloatArray | None = None

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
        stiffness, softening, _ = self.strands.law
        strands = replace(
            self.strands,
            stiffness=_columns(stiffness, which),
            softening=_columns(softening, which),
            share=_columns(self.strands.share, which),
        )
        return TwistedSpan(
            self.length[:, which],
            _columns(self.natural, which),
            _columns(self.turns, which),
            _columns(self.radius, which),
            strands,
            None if self.known_torsion is None else self.known_torsion[:, which],
        )

    @cached_property
    def arms(self) -> FloatArray:
        """Square of each strand's radius about the axis, shape (..., n) or (n,) [m^2]."""
        return np.square(self.radius[..., None] * self.strands.radii)

    @cached_property
    def _path(self) -> FloatArray:
        """Path of each strand over length, shape (..., n)."""
        return np.sqrt(1.0 + np.square(_TWO_PI * self.turns / self.length)[..., None] * self.arms)

    @cached_property
    def own(self) -> FloatArray:
        """Natural length of each strand over that of the bundle, by how far they share.

        Shape (..., n); 1 where strands stay in place [-].
        """
        return self.strands.own_naturals(self._path)

    @cached_property
    def strains(self) -> FloatArray:
        """Strain of each strand, negative where slack, shape (..., n) [-]."""
        return (self.length / self.natural)[..., None] * self._path / self.own - 1.0

    @cached_property
    def pulls(self) -> FloatArray:
        """Each strand's share of the load, along the line, shape (..., n) [N]."""
        stiffness, softening, limit = self.strands.law
        law = (stiffness[..., None], softening[..., None], limit)
        return strand_tension(self.strains, *law) / self._path

    @property
    def slack_count(self) -> FloatArray:
        """Number of strands that carry nothing; shape (...) [-]."""
        return (self.strains <= 0.0).sum(axis=-1)

    @property
    def torsion(self) -> FloatArray:
        """Torque over twist rate, shape (...) [N m^2].

        Each strand gives its load along the line times r^2.
        """
        known = self.known_torsion
        return (self.pulls * self.arms).sum(axis=-1) if known is None else known

    @property
    def torque(self) -> FloatArray:
        """Torque the twisted strands need to stay twisted, shape (...) [N m]."""
        return _TWO_PI * self.turns / self.length * self.torsion


def _columns(values: FloatArray, which: slice) -> FloatArray:
    """Columns of values that may be the same in all of them."""
    return values[:, which] if values.ndim > 1 and values.shape[1] > 1 else values


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
    known to carry enough. A few strands stand for all wherever none is slack.
    """
    return _solved(load, natural, turns, radius, strands, start)[0]


@dataclass(frozen=True)
class TurnSlopes:
    """What more turns do to a span under its load.

    Attributes
    ----------
    length : ndarray
        Shape (...); slope of the logarithm of the length with that of the turns [-]
    torsion : ndarray
        Shape (...); slope of the logarithm of torsion over length, torque for each turn, with
        that of the turns [-]
    """

    length: FloatArray
    torsion: FloatArray


def span_with_slopes(
    load: ArrayLike,
    natural: ArrayLike,
    turns: ArrayLike,
    radius: ArrayLike,
    strands: StrandSet,
    start: FloatArray | None = None,
) -> tuple[TwistedSpan, TurnSlopes]:
    """Length of a twisted span at a load, and what more turns do to it.

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
    tuple
        The span as :func:`span_length` gives it, and the slopes.
    """
    span, found, again, which = _solved(load, natural, turns, radius, strands, start)
    shorter, moment = found.slopes()
    if again is not None:
        shorter, moment = np.asarray(shorter), np.asarray(moment)
        shorter[which], moment[which] = again.slopes()
    return span, TurnSlopes(shorter, moment - shorter)


def _solved(
    load: ArrayLike,
    natural: ArrayLike,
    turns: ArrayLike,
    radius: ArrayLike,
    strands: StrandSet,
    start: FloatArray | None,
) -> tuple[TwistedSpan, Found, Found | None, NDArray[np.bool_] | None]:
    """The span; what was found; and what every strand by itself gives for some of its cases."""
    load, natural, turns, radius = (
        np.asarray(v, dtype=float) for v in (load, natural, turns, radius)
    )
    straight = natural * (1.0 + strand_strain(load / strands.count, *strands.law))
    around = np.square(_TWO_PI * turns * radius)
    few = Balance.few(natural, around, strands, straight)
    found = None if few is None else plainly_balanced(few, load, straight, start)
    again = which = None
    if found is None:
        whole = Balance.whole(natural, around, strands, straight.ndim)
        found = balanced(whole, load, straight, start)
        length, moment = found.length, found.moment
    else:
        length, moment, which = found.length, found.moment, found.beyond_few()
        if which.any():
            length, moment = np.asarray(length), np.asarray(moment)
            again = _one_by_one(load, natural, around, strands, which)
            length[which], moment[which] = again.length, again.moment
    span = TwistedSpan(length, natural, turns, radius, strands, moment * (radius * radius))
    return span, found, again, which


def _one_by_one(
    load: FloatArray,
    natural: FloatArray,
    around: FloatArray,
    strands: StrandSet,
    which: NDArray[np.bool_],
) -> Found:
    """What every strand by itself gives, for some cases of a batch."""
    load, natural, around, stiffness, softening, share = (
        np.broadcast_to(values, which.shape)[which]
        for values in (load, natural, around, *strands.law[:2], strands.share)
    )
    some = StrandSet(strands.radii, stiffness, softening, strands.break_strain, share)
    straight = natural * (1.0 + strand_strain(load / strands.count, *some.law))
    return balanced(Balance.whole(natural, around, some, 1), load, straight, None)


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
    steep = np.square(_TWO_PI * rate)[..., None] * np.square(radius[..., None] * strands.radii)
    path = np.sqrt(1.0 + steep)
    factor = path / strands.own_naturals(path)
    stretch = (1.0 + strands.break_strain) / factor.max(axis=-1)
    strain = stretch[..., None] * factor - 1.0
    law = (strands.stiffness[..., None], strands.softening[..., None], strands.break_strain)
    return (strand_tension(strain, *law) / path).sum(axis=-1)
