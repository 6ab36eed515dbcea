r"""A track: the convex outline a line runs on, as a support function about its own origin.

The support :math:`h(\psi)` is the distance from the origin to the tangent whose outward normal
stands at :math:`\psi`. It is kept as a Fourier series, in which a point is the first harmonic
alone, and a circle off its origin a mean and a first harmonic::

        tangent
    -------+---------        contact = h n + h' t
        h  |  .  h'          n = (cos psi, sin psi),  t = (-sin psi, cos psi)
           | /               radius of curvature = h + h''
           o origin          arc = integral of (h + h'')

A line of half thickness :math:`\tau` on the track has its centre on the track of support
:math:`h + \tau`, whatever the outline: only the mean changes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import GeometryError

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Track:
    """Support function of a convex outline, or of a batch of them.

    Attributes
    ----------
    mean : ndarray, shape (...)
        Mean of the support over a turn [m].
    cosine, sine : ndarray, shape (..., harmonics)
        Coefficients of cos(k psi) and sin(k psi), k from 1 [m].
    """

    mean: Floats
    cosine: Floats
    sine: Floats

    @property
    def harmonics(self) -> int:
        """Harmonics kept [-]."""
        return int(self.cosine.shape[-1])

    def support(self, psi: ArrayLike) -> Floats:
        """Distance from the origin to the tangent with this outward normal.

        Parameters
        ----------
        psi : array_like, broadcast with the batch
            Angle of the outward normal from the track's own axis, counter-clockwise [rad]

        Returns
        -------
        ndarray
            Support h [m]
        """
        return self._series(np.asarray(psi, dtype=np.float64), 0)

    def tangential(self, psi: ArrayLike) -> Floats:
        """How far along its tangent the point of contact lies from the foot of the normal.

        Parameters
        ----------
        psi : array_like, broadcast with the batch
            Angle of the outward normal [rad]

        Returns
        -------
        ndarray
            Slope h' of the support, positive counter-clockwise [m/rad]
        """
        return self._series(np.asarray(psi, dtype=np.float64), 1)

    def curvature_radius(self, psi: ArrayLike) -> Floats:
        """Radius of curvature at the contact; zero or below where the outline is not convex.

        Parameters
        ----------
        psi : array_like, broadcast with the batch
            Angle of the outward normal [rad]

        Returns
        -------
        ndarray
            Radius h + h'' [m]
        """
        at = np.asarray(psi, dtype=np.float64)
        return self._series(at, 0) + self._series(at, 2)

    def contact(self, psi: ArrayLike) -> Floats:
        """Point of contact in the track's own axes.

        Parameters
        ----------
        psi : array_like, broadcast with the batch
            Angle of the outward normal [rad]

        Returns
        -------
        ndarray, shape (..., 2)
            Point [m]
        """
        at = np.asarray(psi, dtype=np.float64)
        h, slope = self.support(at), self.tangential(at)
        c, s = np.cos(at), np.sin(at)
        return np.stack([h * c - slope * s, h * s + slope * c], axis=-1)

    def arc(self, start: ArrayLike, stop: ArrayLike) -> Floats:
        """Length of the outline between two normals.

        Parameters
        ----------
        start, stop : array_like, broadcast with the batch
            Angles of the outward normals; may lie more than a turn apart [rad]

        Returns
        -------
        ndarray
            Arc, positive where ``stop`` lies counter-clockwise of ``start`` [m]
        """
        a, b = np.asarray(start, dtype=np.float64), np.asarray(stop, dtype=np.float64)
        swept = self._integral(b) - self._integral(a)
        return swept + self.tangential(b) - self.tangential(a)

    def offset(self, distance: ArrayLike) -> Track:
        """Give the track that runs a fixed distance outside this one.

        Parameters
        ----------
        distance : array_like, broadcast with the batch
            Distance along the outward normal, such as half a line's thickness [m]

        Returns
        -------
        Track
            The parallel track.
        """
        return Track(self.mean + np.asarray(distance, dtype=np.float64), self.cosine, self.sine)

    def turned(self, angle: float) -> Track:
        """Give the same outline turned about its origin.

        Parameters
        ----------
        angle : float
            Counter-clockwise [rad]

        Returns
        -------
        Track
            The turned track.
        """
        k = np.arange(1, self.harmonics + 1) * angle
        cosine = self.cosine * np.cos(k) - self.sine * np.sin(k)
        sine = self.cosine * np.sin(k) + self.sine * np.cos(k)
        return Track(self.mean, cosine, sine)

    def mirrored(self) -> Track:
        """Give the outline mirrored in its own first axis.

        Returns
        -------
        Track
            Track of support h(-psi).
        """
        return Track(self.mean, self.cosine, -self.sine)

    def _series(self, psi: Floats, order: int) -> Floats:
        k = np.arange(1, self.harmonics + 1)
        at = k * psi[..., None]
        c, s = np.cos(at), np.sin(at)
        if order == 0:
            return self.mean + np.sum(self.cosine * c + self.sine * s, axis=-1)
        if order == 1:
            return np.sum(k * (self.sine * c - self.cosine * s), axis=-1)
        return -np.sum(k * k * (self.cosine * c + self.sine * s), axis=-1)

    def _integral(self, psi: Floats) -> Floats:
        k = np.arange(1, self.harmonics + 1)
        at = k * psi[..., None]
        waves = (self.cosine * np.sin(at) - self.sine * np.cos(at)) / k
        return self.mean * psi + np.sum(waves, axis=-1)


def point(x: ArrayLike, y: ArrayLike) -> Track:
    """Give the track that is one point of a body: a peg of no size, an anchor, a nock.

    Parameters
    ----------
    x, y : array_like, shape (...)
        Place in the body's own axes [m]

    Returns
    -------
    Track
        Track of no curvature anywhere.
    """
    return circle(0.0, x, y)


def circle(radius: ArrayLike, x: ArrayLike = 0.0, y: ArrayLike = 0.0) -> Track:
    """Give a round track, on the axle or off it.

    Parameters
    ----------
    radius : array_like, shape (...)
        Radius, >= 0 [m]
    x, y : array_like, shape (...)
        Its centre in the body's own axes [m]

    Returns
    -------
    Track
        The round track.

    Raises
    ------
    GeometryError
        If the radius is negative.
    """
    r, cx, cy = np.broadcast_arrays(*(np.asarray(v, dtype=np.float64) for v in (radius, x, y)))
    if np.any(r < 0):
        raise GeometryError("radius", float(np.min(r)), "must not be negative", "mend the radius")
    return Track(r.copy(), cx[..., None].copy(), cy[..., None].copy())


@dataclass(frozen=True)
class HulledTrack:
    """A track made from a traced outline, and how far the outline bent inward.

    Attributes
    ----------
    track : Track
        The track.
    deepest_hollow : float
        How far a traced point lies inside the convex hull; a line bridges it [m].
    misfit : float
        Largest difference between the hull's support and the track's [m].
    """

    track: Track
    deepest_hollow: float
    misfit: float


def from_outline(points: ArrayLike, harmonics: int = 12) -> HulledTrack:
    """Make a track from an outline traced or measured point by point.

    Parameters
    ----------
    points : array_like, shape (count, 2)
        Points round the outline, in order, in the body's own axes [m]
    harmonics : int
        Harmonics to keep, 1 to 60; a sharp corner wants more [-]

    Returns
    -------
    HulledTrack
        The track of the convex hull. A line cannot follow a hollow: it bridges it.

    Raises
    ------
    GeometryError
        If there are fewer than three points, or they lie on one line.
    """
    traced = np.asarray(points, dtype=np.float64)
    if traced.ndim != 2 or traced.shape[-1] != 2 or len(traced) < 3:
        rule = "needs at least three points, each with x and y"
        raise GeometryError("outline", f"{traced.shape}", rule, "trace more points")
    psi = 2 * np.pi * np.arange(720) / 720
    normals = np.stack([np.cos(psi), np.sin(psi)], axis=-1)
    support = np.max(normals @ traced.T, axis=1)
    if np.max(support + np.roll(support, 360)) < 1e-9 or np.min(
        support + np.roll(support, 360)
    ) < 1e-9 * np.max(np.abs(support)):
        raise GeometryError("outline", "flat", "must enclose an area", "trace the whole outline")
    spectrum = np.fft.rfft(support) / len(psi)
    kept = slice(1, min(harmonics, 60) + 1)
    track = Track(np.asarray(spectrum[0].real), 2 * spectrum[kept].real, -2 * spectrum[kept].imag)
    misfit = float(np.max(np.abs(track.support(psi) - support)))
    return HulledTrack(track, _deepest(traced, normals), misfit)


def _deepest(traced: Floats, normals: Floats) -> float:
    """How far a traced point lies inside the sides of the hull."""
    corners = traced[np.argmax(normals @ traced.T, axis=1)]
    side = np.roll(corners, -1, axis=0) - corners
    real = np.hypot(side[:, 0], side[:, 1]) > 0.0
    corners, side = corners[real], side[real]
    outward = np.stack([side[:, 1], -side[:, 0]], axis=-1) / np.linalg.norm(side, axis=1)[:, None]
    depth = np.sum(corners * outward, axis=1) - traced @ outward.T
    return max(0.0, float(np.max(np.min(depth, axis=1))))
