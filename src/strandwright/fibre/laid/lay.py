"""Lay of touching bundles of a size: pitch, lay angle, path, curvature and torsion."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from strandwright.fibre.laid.contact import touching, winding_at
from strandwright.fibre.strand_law import FloatArray


@dataclass(frozen=True)
class Lay:
    """The lay of touching bundles of a size.

    Attributes
    ----------
    pitch : ndarray
        Shape (...); length of rope for one turn of lay, negative for S [m]
    helix_radius : ndarray
        Shape (...); radius of the centrelines' helix [m]
    angle : ndarray
        Shape (...); lay angle to the axis, signed [rad]
    outside_radius : ndarray
        Shape (...); radius of the round that holds the rope [m]
    path : ndarray
        Shape (...); length of bundle in a length of rope, >= 1 [-]
    curvature : ndarray
        Shape (...); curvature of the centrelines [1/m]
    torsion : ndarray
        Shape (...); geometric torsion of the centrelines, signed [rad/m]
    """

    pitch: FloatArray
    helix_radius: FloatArray
    angle: FloatArray
    outside_radius: FloatArray
    path: FloatArray
    curvature: FloatArray
    torsion: FloatArray


def lay_of(radius: ArrayLike, pitch: ArrayLike, count: int, nesting: ArrayLike = 1.0) -> Lay:
    """Lay of touching bundles from their radius and the pitch.

    Parameters
    ----------
    radius : array_like
        Radius of a bundle, > 0 [m]
    pitch : array_like
        Length of rope for one turn, positive Z, infinite for no lay [m]
    count : int
        Number of bundles, 2 or 3 [-]
    nesting : array_like
        Helix radius over that of round bundles, in (0, 1] [-]

    Returns
    -------
    Lay
        The lay; NaN where bundles of that radius do not fit the pitch.
    """
    radius, pitch = np.asarray(radius, dtype=float), np.asarray(pitch, dtype=float)
    touch = touching(2.0 * np.pi * radius / pitch, count, nesting)
    helix = radius * touch.spread
    sine, cosine = np.sin(touch.angle), np.cos(touch.angle)
    return Lay(
        np.broadcast_to(pitch, helix.shape),
        helix,
        touch.angle,
        helix + radius,
        1.0 / cosine,
        sine * sine / helix,
        sine * cosine / helix,
    )


def lay_at(radius: ArrayLike, angle: ArrayLike, count: int, nesting: ArrayLike = 1.0) -> Lay:
    """Lay of touching bundles from their radius and the angle they are laid at.

    Parameters
    ----------
    radius : array_like
        Radius of a bundle, > 0 [m]
    angle : array_like
        Lay angle of the centrelines to the axis, positive Z, 0 for none [rad]
    count : int
        Number of bundles, 2 or 3 [-]
    nesting : array_like
        Helix radius over that of round bundles, in (0, 1] [-]

    Returns
    -------
    Lay
        The lay; its path over a length of rope is one over the cosine of the angle.
    """
    winding = winding_at(angle, count, nesting)
    with np.errstate(divide="ignore"):
        pitch = 2.0 * np.pi * np.asarray(radius, dtype=float) / winding
    return lay_of(radius, pitch, count, nesting)
