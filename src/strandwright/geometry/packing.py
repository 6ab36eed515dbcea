"""The packed bundle: n equal circles in the smallest circle round them.

Up to :data:`LAST_TABULATED` the centres come from a table of best packings found; beyond that a
hexagonal cluster stands in, which is a true packing but not the tightest
(:func:`is_tabulated`). Circles are rigid here: how much real strand is squeezed below the rigid
diameter is for the fibre layer to say.
"""

from __future__ import annotations

import base64
import zlib
from functools import cache

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import GeometryError
from strandwright.geometry import packing_table

Floats = NDArray[np.float64]

LAST_TABULATED = packing_table.LAST
"""Largest number of circles in the table [-]."""

MOST = 200
"""Largest number of circles served [-]."""


def is_tabulated(n: int) -> bool:
    """Tell whether n circles have a best-found packing rather than a hexagonal stand-in.

    Parameters
    ----------
    n : int
        Number of circles, 1 to 200 [-]

    Returns
    -------
    bool
        True up to 61.

    Raises
    ------
    GeometryError
        If n is out of range.
    """
    return _checked(n) <= LAST_TABULATED


def unit_centres(n: int) -> Floats:
    """Centres of n equal circles packed in a container of radius one.

    Parameters
    ----------
    n : int
        Number of circles, 1 to 200 [-]

    Returns
    -------
    ndarray, shape (n, 2)
        Centres from the middle outwards, the container's centre at the origin; read-only. In
        fractions of the container's radius [-]

    Raises
    ------
    GeometryError
        If n is out of range.

    Notes
    -----
    Optimality is proved for a few n only (n <= 13 and n = 19 among them); the others are best
    found. Gaps can leave a circle loose ("rattler", as in n = 18), whose place is then one
    of many. Beyond 61 the n lattice points nearest to the best of the three symmetric centres
    of the hexagonal lattice are taken; their outline is ragged, which makes the bundle up to a
    few per cent too thick and the mean square radius about a tenth too small.

    References
    ----------
    .. [1] R. L. Graham, B. D. Lubachevsky, K. J. Nurmela, P. R. J. Ostergard, "Dense packings
       of congruent circles in a circle", Discrete Mathematics 181 (1998) 139-154,
       doi:10.1016/S0012-365X(97)00050-2.
    """
    return _centres(_checked(n))[0]


def enclosing_ratio(n: int) -> float:
    """Bundle diameter over strand diameter, D/d, of n rigid round strands.

    Parameters
    ----------
    n : int
        Number of strands, 1 to 200 [-]

    Returns
    -------
    float
        Ratio of the container's radius to a circle's, >= 1 [-]

    Raises
    ------
    GeometryError
        If n is out of range.
    """
    return _centres(_checked(n))[1]


def _checked(n: int) -> int:
    """Refuse a count which is not a whole number in range."""
    if n != int(n) or not 1 <= n <= MOST:
        raise GeometryError(
            "strands", n, f"must be a whole number from 1 to {MOST}", "correct the strand count"
        )
    return int(n)


@cache
def _centres(n: int) -> tuple[Floats, float]:
    """Centres in a unit container and the ratio R/r, whichever way they are made."""
    points = _table()[n * (n - 1) // 2 : n * (n + 1) // 2] if is_tabulated(n) else _hexagonal(n)
    centres, ratio = _into_unit_circle(points)
    centres.flags.writeable = False
    return centres, ratio


@cache
def _table() -> Floats:
    """Centres of every tabulated packing, one after the other, shape (1 + 2 + ... + LAST, 2)."""
    raw = zlib.decompress(base64.b85decode("".join(packing_table.PACKED.split())))
    return np.frombuffer(raw, dtype="<i4").reshape(-1, 2) / packing_table.SCALE


def _into_unit_circle(points: Floats) -> tuple[Floats, float]:
    """Scale points so that equal circles about them, grown till they touch, just fit.

    Recomputing the ratio from the points themselves makes rounded centres an exact packing.
    """
    if len(points) == 1:
        return np.zeros((1, 2)), 1.0
    first, second = np.triu_indices(len(points), 1)
    spread = float(np.hypot(*(points[first] - points[second]).T).min())
    reach = float(np.hypot(*points.T).max())
    container = reach + 0.5 * spread
    return points / container, 2.0 * container / spread


def _hexagonal(n: int) -> Floats:
    """Best of the clusters round a lattice point, an edge's middle and a triangle's middle."""
    a, b = np.meshgrid(np.arange(-12, 13), np.arange(-12, 13))
    lattice = np.stack([a + 0.5 * b, 0.5 * np.sqrt(3.0) * b], axis=-1).reshape(-1, 2)
    best, best_reach = lattice[:n], np.inf
    for centre in ((0.0, 0.0), (0.5, 0.0), (0.5, 0.5 / np.sqrt(3.0))):
        shifted = lattice - np.asarray(centre)
        # Rounding makes the order, and so the cluster, the same on every machine.
        x, y = np.round(shifted[:, 0], 6), np.round(shifted[:, 1], 6)
        order = np.lexsort((x, y, np.round(x * x + y * y, 4)))
        reach = float(np.hypot(*shifted[order[n - 1]]))
        if reach < best_reach - 1e-9:
            best, best_reach = shifted[order[:n]], reach
    return best
