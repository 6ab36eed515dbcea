"""Two or three round bundles that touch: where their centrelines lie at a lay.

Bundles of radius *r* on helices of radius *a* and pitch *p* touch where the least distance of
neighbouring centrelines is 2 *r*. With the **winding** :math:`q = 2\\pi r/p` and the angle *w*
about the axis by which the nearest point of the neighbour lags behind,

.. math::
    q^2 &= \\tfrac14 w\\,(2\\tan\\tfrac u2 + w), \\qquad u = 2\\pi/m - w, \\\\
    (a/r)^2 &= 4 / (2(1-\\cos u) + w\\sin u), \\qquad \\tan\\beta = q\\,a/r .

Two bundles touch on the axis (w = 0, a = r) until the lay angle reaches 45 deg; there the one
contact parts into two and the bundles move outward. Three move outward from the start. Windings
are signed, positive Z (:mod:`~strandwright.fibre.laid.hands`).

Soft bundles flatten against each other and come nearer: **nesting** is the helix radius over that
of round ones. At :math:`1/\\sqrt2` for two and :math:`\\sqrt3/2` for three the strands lie as far
from the rope's axis, in the mean square, as those of one round bundle of them all.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from strandwright.errors import InputError
from strandwright.fibre.strand_law import FloatArray
from strandwright.numerics.roots import newton_monotone

_TINY = 1e-30


@dataclass(frozen=True)
class Touch:
    """Touching bundles at a winding, in bundle radii.

    Attributes
    ----------
    winding : ndarray
        Shape (...); bundle circumference over pitch of the lay, 2 pi r / p, signed [-]
    angle : ndarray
        Shape (...); lay angle of the centrelines to the axis, signed as the winding [rad]
    spread : ndarray
        Shape (...); radius of the centrelines' helix over bundle radius [-]
    opening : ndarray
        Shape (...); how fast the helix widens: slope of ln(spread) with ln(tan(angle)), which is
        0 where bundles touch on the axis [-]
    """

    winding: FloatArray
    angle: FloatArray
    spread: FloatArray
    opening: FloatArray

    @property
    def turning_slope(self) -> FloatArray:
        """Slope of the lay angle with the winding, shape (...) [rad]."""
        return np.cos(self.angle) ** 2 * self.spread / (1.0 - self.opening)

    @property
    def stand(self) -> FloatArray:
        """Slope of bundle length with rope length at held turns, shape (...) [-].

        Falls from 1 at no lay to 0 at the steepest lay that a pull can hold.
        """
        return (1.0 - np.sin(self.angle) ** 2 / (1.0 - self.opening)) / np.cos(self.angle)


def touching(winding: ArrayLike, count: int, nesting: ArrayLike = 1.0) -> Touch:
    """Touching bundles at a winding.

    Parameters
    ----------
    winding : array_like
        Bundle circumference over pitch of the lay, signed; over pi / count there is no such
        rope and all is NaN [-]
    count : int
        Number of bundles, 2 or 3 [-]
    nesting : array_like
        Helix radius over that of round bundles, in (0, 1] [-]

    Returns
    -------
    Touch
        Angle, spread and opening.
    """
    wind = np.asarray(winding, dtype=float)
    lag = _lag(np.abs(wind), count)
    _, opening, spread = _shape(lag, count)
    spread = np.where(np.abs(wind) <= np.pi / count, spread * np.asarray(nesting), np.nan)
    return Touch(wind, np.arctan(wind * spread), spread, opening)


def winding_at(angle: ArrayLike, count: int, nesting: ArrayLike = 1.0) -> FloatArray:
    """Winding of touching bundles from their lay angle.

    Parameters
    ----------
    angle : array_like
        Lay angle to the axis, signed, within a right angle [rad]
    count : int
        Number of bundles, 2 or 3 [-]
    nesting : array_like
        Helix radius over that of round bundles, in (0, 1] [-]

    Returns
    -------
    ndarray
        Bundle circumference over pitch, 2 pi r / p, signed [-]
    """
    tangent = np.tan(np.asarray(angle, dtype=float)) / np.asarray(nesting)
    square, step = tangent * tangent, _step(count)

    def miss(lag: FloatArray) -> tuple[FloatArray, FloatArray]:
        sine, cosine = np.sin(step - lag), np.cos(step - lag)
        lag = np.maximum(lag, _TINY)
        return lag - square * sine, 1.0 + square * cosine

    if count == 2:
        # The lag w of two bundles solves w = tan^2(b) sin(w), of which w = 0 is always a root.
        steep = square > 1.0
        first = np.sqrt(6.0 * (1.0 - 1.0 / np.maximum(square, 1.0)))
        found = newton_monotone(miss, first, 0.5 * first, np.pi)
        lag = np.where(steep, found.value, 0.0)
    else:
        lag = newton_monotone(miss, np.minimum(square, 1.0), 0.0, step).value
    return tangent / _shape(lag, count)[2]


@lru_cache(maxsize=64)
def steepest(count: int, nesting: float = 1.0) -> Touch:
    """The steepest lay that a pull can hold: no more turns go into bundles of a length.

    Parameters
    ----------
    count : int
        Number of bundles, 2 or 3 [-]
    nesting : float
        Helix radius over that of round bundles, in (0, 1] [-]

    Returns
    -------
    Touch
        Scalars. Past it a rope that is pulled takes up turns instead of giving them back. Round
        bundles stand at 39.4 deg to the plane across the axis there, three at 42.8 deg.
    """
    low, high = 0.5 * np.pi / count, np.pi / count
    for _ in range(80):
        middle = 0.5 * (low + high)
        if float(touching(middle, count, nesting).stand) > 0.0:
            low = middle
        else:
            high = middle
    return touching(low, count, nesting)


def _step(count: int) -> float:
    """Angle about the axis from one bundle to the next."""
    if count not in (2, 3):
        raise InputError("count", count, "must be 2 or 3", "lay two or three bundles")
    return 2.0 * np.pi / count


def _lag(wind: FloatArray, count: int) -> FloatArray:
    """Lag of the nearest point of the neighbour at a winding, from 0 to the angle between them."""
    step, square = _step(count), wind * wind
    if count == 2:
        if not wind.max() > 1.0:
            return np.zeros_like(wind)
        first = np.sqrt(6.0 * np.maximum(square - 1.0, 0.0))
    else:
        first = 2.0 * square / np.sqrt(3.0)

    def miss(lag: FloatArray) -> tuple[FloatArray, FloatArray]:
        lead, _, _ = _shape(lag, count)
        return lead - square, _lead_slope(lag, count)

    found = newton_monotone(miss, np.minimum(first, step), 0.0, step).value
    return np.where(square > 1.0, found, 0.0) if count == 2 else found


def _shape(lag: FloatArray, count: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Squared winding, opening and spread at a lag."""
    step = _step(count)
    lag = np.clip(lag, _TINY, step)
    lead = 0.25 * lag * (2.0 * _half_tangent(lag, count) + lag)
    rest = step - lag
    with np.errstate(divide="ignore"):
        spread = 2.0 / np.sqrt(2.0 * (1.0 - np.cos(rest)) + lag * np.sin(rest))
    return lead, 0.25 * lag * lag / lead, spread


def _half_tangent(lag: FloatArray, count: int) -> FloatArray:
    """Tangent of half the angle that is left, written so that two bundles keep their digits."""
    cotangent = 0.0 if count == 2 else 1.0 / np.sqrt(3.0)
    half = np.tan(0.5 * lag)
    return (1.0 - cotangent * half) / (cotangent + half)


def _lead_slope(lag: FloatArray, count: int) -> FloatArray:
    """Slope of the squared winding with the lag."""
    lag = np.maximum(lag, _TINY)
    tangent = _half_tangent(lag, count)
    # Near no lag the two large terms of two bundles cancel: their series stands in.
    exact = 0.25 * (2.0 * tangent + lag - lag * tangent * tangent)
    return np.where(lag < 1e-3, lag / 3.0, exact) if count == 2 else exact
