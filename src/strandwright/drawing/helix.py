"""Twisted strands: where each lies along the line, and which part of it is seen.

Axes of a picture: x along the line from the zero end, y up, z towards the viewer; x, y, z are
right-handed.  A strand at radius rho and angle theta from y towards z lies at
``y = rho cos(theta)``, ``z = rho sin(theta)`` and is seen where z > 0, 0 < theta < pi.  With
``theta = phi + 2 pi n`` the helix is right-handed, which is Z by ISO 2: with the axis vertical
the strand seen slopes like the central stroke of the letter Z; with the axis level, drawn by
turning that picture a quarter round, it falls from left to right.  S is the mirror image.

ISO 2:1973, Textiles - Designation of the direction of twist in yarns and related products
(the definition is quoted from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from strandwright.drawing.picture import StrandPicture
from strandwright.errors import GeometryError

Array = NDArray[np.float64]

_RAYS = 360
_LEAST_RAYS = 5


@dataclass(frozen=True)
class SurfaceRun:
    """A sector of the bundle's surface in one colour.

    Attributes
    ----------
    start, stop : float
        Angles phi from y towards z, start < stop, stop - start <= 2 pi [rad].
    colour : str
        ``#rrggbb``.
    """

    start: float
    stop: float
    colour: str


def hand_sign(hand: str) -> float:
    """Give the sign of a sense of twist.

    Parameters
    ----------
    hand : str
        ``S`` or ``Z``.

    Returns
    -------
    float
        +1 for Z (right-handed), -1 for S (left-handed) [-].
    """
    return 1.0 if hand == "Z" else -1.0


def helix_point(radius: Array, phi: Array, turns: Array, hand: str) -> tuple[Array, Array]:
    """Locate strands after some turns.

    Parameters
    ----------
    radius : array, shape "(...)"
        Of each strand's centre, in any unit of length, >= 0 [unit].
    phi : array, shape "(...)"
        Angle without twist, from y towards z [rad].
    turns : array, shape "(...)"
        Turns between the zero end and there [-].
    hand : str
        ``S`` or ``Z``.

    Returns
    -------
    height, depth : array, shape "(...)"
        y up and z towards the viewer, in the unit of ``radius`` [unit].
    """
    theta = phi + hand_sign(hand) * 2.0 * np.pi * turns
    return radius * np.cos(theta), radius * np.sin(theta)


def packed_circle(strands: Sequence[StrandPicture]) -> tuple[Array, Array, float]:
    """Scale packed centres to a bundle of radius one.

    Parameters
    ----------
    strands : sequence of StrandPicture, n >= 1
        Equal strands, at least two touching.

    Returns
    -------
    radius, phi : array, shape "(n,)"
        Polar centres; radius in bundle radii [-], phi from y towards z [rad].
    strand_radius : float
        In bundle radii [-].

    Raises
    ------
    GeometryError
        If two strands have one centre.
    """
    x = np.array([strand.x for strand in strands], dtype=np.float64)
    y = np.array([strand.y for strand in strands], dtype=np.float64)
    radius = np.hypot(x, y)
    phi = np.arctan2(x, y)
    if len(x) == 1:
        return np.zeros(1), phi, 1.0
    gaps = np.hypot(x[:, None] - x, y[:, None] - y)
    np.fill_diagonal(gaps, np.inf)
    half = float(gaps.min()) / 2.0
    if half <= 0.0:
        raise GeometryError(
            "strands", "one centre for two", "strands lie beside each other", "pack them again"
        )
    bundle = float(radius.max()) + half
    return radius / bundle, phi, half / bundle


def surface_owners(strands: Sequence[StrandPicture]) -> NDArray[np.intp]:
    """Find the strand that forms the surface in each direction.

    Parameters
    ----------
    strands : sequence of StrandPicture, n >= 1
        The packed strands.

    Returns
    -------
    array of int, shape "(360,)"
        Index of the strand met last along a ray at phi = 0, 1, ... 359 degrees.
    """
    radius, phi, strand_radius = packed_circle(strands)
    rays = np.arange(_RAYS) * (2.0 * np.pi / _RAYS)
    turned = rays[:, None] - phi
    along = radius * np.cos(turned)
    aside = strand_radius**2 - (radius * np.sin(turned)) ** 2
    reach = np.where(aside >= 0.0, along + np.sqrt(np.maximum(aside, 0.0)), -np.inf)
    return np.argmax(reach, axis=1)


@lru_cache(maxsize=64)
def surface_runs(
    strands: tuple[StrandPicture, ...],
) -> tuple[tuple[SurfaceRun, ...], tuple[float, ...]]:
    """Divide the bundle's surface into sectors of one colour.

    Parameters
    ----------
    strands : tuple of StrandPicture, n >= 1
        The packed strands; the last few bundles are remembered, as a line is drawn often
        while its strands stay.

    Returns
    -------
    runs : tuple of SurfaceRun
        Round the surface in order of phi, covering it once.
    seams : tuple of float
        Angles phi where one strand gives way to the next [rad].

    Notes
    -----
    Slivers under five degrees, an inner strand glimpsed between two outer ones, are given to
    the neighbour.
    """
    owners = surface_owners(strands).tolist()
    step = 2.0 * math.pi / _RAYS
    edges = [i for i in range(_RAYS) if owners[i] != owners[i - 1]]
    broad = [
        edge
        for i, edge in enumerate(edges)
        if (edges[(i + 1) % len(edges)] - edge) % _RAYS >= _LEAST_RAYS
    ]
    edges = broad or edges
    if not edges:
        return (SurfaceRun(0.0, 2.0 * math.pi, strands[owners[0]].colour),), ()
    seams = tuple(edge * step for edge in edges)
    colours = [strands[owners[edge]].colour for edge in edges]
    starts = [i for i in range(len(edges)) if colours[i] != colours[i - 1]]
    if not starts:
        return (SurfaceRun(0.0, 2.0 * math.pi, colours[0]),), seams
    runs: list[SurfaceRun] = []
    for i, at in enumerate(starts):
        start = edges[at]
        stop = edges[starts[(i + 1) % len(starts)]]
        span = (stop - start) % _RAYS or _RAYS
        runs.append(SurfaceRun(start * step, (start + span) * step, colours[at]))
    return tuple(runs), seams


def top_crossings(
    phi: float, turns_at_start: float, turns_at_stop: float, hand: str, reach: float
) -> Array:
    """Find where a helix on the surface passes the top of the picture.

    Parameters
    ----------
    phi : float
        Its angle without twist [rad].
    turns_at_start, turns_at_stop : float
        Turns at both ends of the stretch, start < stop [-].
    hand : str
        ``S`` or ``Z``.
    reach : float
        How far beyond the ends to look, >= 0 [turns].

    Returns
    -------
    array, shape "(m,)"
        Turns at which theta is a whole number of rounds, rising [-].
    """
    offset = -hand_sign(hand) * phi / (2.0 * math.pi)
    first = math.ceil(turns_at_start - reach - offset)
    last = math.floor(turns_at_stop + reach - offset)
    return np.arange(first, last + 1, dtype=np.float64) + offset
