r"""Swung arms: the belt round the four posts of a jig whose two arms turn.

In line, the skein lies round the two outer posts; swung square, round all four::

       in line            o---x---o ============ o---x---o      x pivot
                       outer   inner          inner   outer

       swung square            o--------------------o  outer posts
                               x                    x  pivots stay on the beam
                               o--------------------o  inner posts

The outer posts go to the same side of the beam. Wherever the arms stand, a taut skein is the
convex hull of the four circles of its centreline, and the hull's length is the integral of its
support function; between two bitangents one circle carries it, so that integral is exact.

For equal posts and arms that turn together through the angle t, with the pivots D apart, an arm s
long and turning at the share p of it, counted from the outer post, the length is
:math:`2 (D + s) + 2 s (2 p - 1) \cos t + 2\pi R`: arms that turn about their middles keep it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.numerics.roots import newton_monotone

Floats = NDArray[np.float64]

#: Arms swung square [rad]
SQUARE = 0.5 * np.pi
#: Angles looked at on an arm's way from in line to square: every half degree [-]
_ANGLES = 181


@dataclass(frozen=True)
class Arms:
    """The two arms of a four-post jig, as the centreline of the skein sees them.

    Attributes
    ----------
    between : float
        Between the middles of the two posts of an arm, > 0 [m]
    pivot : float
        Where an arm turns: share of the way from the outer to the inner post, 0 to 1 [-]
    outer : tuple of float
        Radius of the centreline on the outer posts, zero and far, >= 0 [m]
    inner : tuple of float
        The same on the inner posts [m]
    """

    between: float
    pivot: float
    outer: tuple[float, float]
    inner: tuple[float, float]

    @property
    def radii(self) -> Floats:
        """Radii in the order zero outer, zero inner, far outer, far inner, shape (4,) [m]."""
        return np.array([self.outer[0], self.inner[0], self.outer[1], self.inner[1]])


def hull_length(centres: ArrayLike, radii: ArrayLike) -> Floats:
    """Length of the convex hull of circles: a taut skein round posts.

    Parameters
    ----------
    centres : array_like, shape (..., n, 2)
        Middles of the circles [m]
    radii : array_like, shape (..., n)
        Their radii, >= 0 [m]

    Returns
    -------
    ndarray, shape (...)
        Length of the hull's outline [m]

    Notes
    -----
    The perimeter of a convex set is the integral of its support function over all directions
    (Cauchy). Exact: the directions in which two circles reach equally far are found in closed
    form, and between two of them next to each other one circle reaches farthest.
    """
    placed, radius = np.asarray(centres, dtype=float), np.asarray(radii, dtype=float)
    radius = np.broadcast_to(radius, placed.shape[:-1])
    return _summed(placed, radius, np.zeros(placed.shape[-2], dtype=bool))[0]


def _summed(placed: Floats, radius: Floats, moved: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Hull length, and its slope when the moved circles go along x together."""
    edges = _breaks(placed, radius)
    first, last = edges[..., :-1], edges[..., 1:]
    middle = 0.5 * (first + last)
    reach = (
        placed[..., 0][..., None] * np.cos(middle)[..., None, :]
        + placed[..., 1][..., None] * np.sin(middle)[..., None, :]
        + radius[..., None]
    )
    carrier = np.argmax(reach, axis=-2)
    x, y, r = (
        np.take_along_axis(value, carrier, axis=-1)
        for value in (placed[..., 0], placed[..., 1], radius)
    )
    over = np.sin(last) - np.sin(first)
    length = (x * over - y * (np.cos(last) - np.cos(first)) + r * (last - first)).sum(axis=-1)
    return length, (over * moved[carrier]).sum(axis=-1)


def _breaks(placed: Floats, radius: Floats) -> Floats:
    """Directions in which two circles reach equally far, sorted between one turn's ends."""
    one, other = np.triu_indices(placed.shape[-2], 1)
    apart = placed[..., one, :] - placed[..., other, :]
    distance = np.hypot(apart[..., 0], apart[..., 1])
    share = (radius[..., other] - radius[..., one]) / np.maximum(distance, 1e-300)
    lean = np.arccos(np.clip(share, -1.0, 1.0))
    along = np.arctan2(apart[..., 1], apart[..., 0])
    found = np.concatenate([along + lean, along - lean], axis=-1) % (2.0 * np.pi)
    ends = np.zeros((*found.shape[:-1], 1))
    return np.concatenate([ends, np.sort(found, axis=-1), ends + 2.0 * np.pi], axis=-1)


def post_places(
    arms: Arms, pivots_apart: ArrayLike, zero_angle: ArrayLike, far_angle: ArrayLike
) -> Floats:
    """Give where the middles of the four posts stand.

    Parameters
    ----------
    arms : Arms
        The arms.
    pivots_apart : array_like
        Between the two pivots, along the beam [m]
    zero_angle, far_angle : array_like
        How far each arm is swung out of line, its outer post to the same side [rad]

    Returns
    -------
    ndarray, shape (..., 4, 2)
        Zero outer, zero inner, far outer, far inner; x along the beam from the zero pivot, y to
        the side that the outer posts go to [m]
    """
    apart, zero, far = np.broadcast_arrays(
        *(np.asarray(v, dtype=float) for v in (pivots_apart, zero_angle, far_angle))
    )
    out, inward = arms.pivot * arms.between, (1.0 - arms.pivot) * arms.between
    x = [
        -out * np.cos(zero),
        inward * np.cos(zero),
        apart + out * np.cos(far),
        apart - inward * np.cos(far),
    ]
    y = [out * np.sin(zero), -inward * np.sin(zero), out * np.sin(far), -inward * np.sin(far)]
    return np.stack([np.stack(x, axis=-1), np.stack(y, axis=-1)], axis=-1)


def swung_length(
    arms: Arms, pivots_apart: ArrayLike, zero_angle: ArrayLike, far_angle: ArrayLike
) -> Floats:
    """Length of the belt with the arms at any two angles.

    Parameters
    ----------
    arms : Arms
        The arms.
    pivots_apart : array_like
        Between the two pivots, along the beam [m]
    zero_angle, far_angle : array_like
        How far each arm is swung out of line [rad]

    Returns
    -------
    ndarray
        Length of the belt [m]
    """
    return hull_length(post_places(arms, pivots_apart, zero_angle, far_angle), arms.radii)


def pivots_for(arms: Arms, belt: ArrayLike, zero_angle: ArrayLike, far_angle: ArrayLike) -> Floats:
    """Distance between the pivots at which a belt of given length lies taut: the inverse.

    Parameters
    ----------
    arms : Arms
        The arms.
    belt : array_like
        Length of the belt [m]
    zero_angle, far_angle : array_like
        How far each arm is swung out of line [rad]

    Returns
    -------
    ndarray
        Between the two pivots; NaN where the belt is too short for the arms themselves [m]

    Notes
    -----
    The length is convex in the distance and grows by at most twice as much, so Newton's method
    comes down from half the belt.
    """
    length, zero, far = np.broadcast_arrays(
        *(np.asarray(v, dtype=float) for v in (belt, zero_angle, far_angle))
    )
    moved = np.array([False, False, True, True])

    def excess(apart: Floats) -> tuple[Floats, Floats]:
        placed = post_places(arms, apart, zero.ravel(), far.ravel())
        now, slope = _summed(placed, np.broadcast_to(arms.radii, placed.shape[:-1]), moved)
        return now - length.ravel(), slope

    most = 0.5 * length.ravel() + arms.between
    found = newton_monotone(excess, most, 0.0, most, tol=1e-15)
    return np.where(found.ok, found.value, np.nan).reshape(length.shape)


def greatest_on_the_way(arms: Arms, pivots_apart: float, *, together: bool) -> float:
    """Longest belt that the posts ask for while the arms go from in line to square.

    Parameters
    ----------
    arms : Arms
        The arms.
    pivots_apart : float
        Between the two pivots, held [m]
    together : bool
        True where both arms go at once by the same angle; False for one after the other.

    Returns
    -------
    float
        Length of the belt where it is longest [m]
    """
    angles = np.linspace(0.0, SQUARE, _ANGLES)
    if together:
        return float(swung_length(arms, pivots_apart, angles, angles).max())
    ways = [
        swung_length(arms, pivots_apart, *pair)
        for pair in ((angles, 0.0), (0.0, angles), (SQUARE, angles), (angles, SQUARE))
    ]
    # The other arm's turn is taken first or last, as whoever swings them likes: count the worse.
    return float(max(way.max() for way in ways))


def arm_moment(arms: Arms, pivots_apart: float, tension: ArrayLike, angle: float) -> Floats:
    """Moment with which a taut skein turns an arm back, both arms at one angle.

    Parameters
    ----------
    arms : Arms
        The arms.
    pivots_apart : float
        Between the two pivots [m]
    tension : array_like
        Tension in the skein's belt, half the load on the strap [N]
    angle : float
        How far both arms are swung out of line [rad]

    Returns
    -------
    ndarray
        On one arm, above zero where it would swing back into line [N m]

    Notes
    -----
    By virtual work: the tension times the slope of the belt's length, half of it for each arm of
    an even pair.
    """
    step = 1e-6
    longer, shorter = (
        float(swung_length(arms, pivots_apart, angle + way * step, angle + way * step))
        for way in (1.0, -1.0)
    )
    return 0.5 * np.asarray(tension, dtype=float) * (longer - shorter) / (2.0 * step)
