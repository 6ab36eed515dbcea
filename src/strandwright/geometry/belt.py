"""The belt: a closed strand run round two posts without crossing.

Radii are those of the strand's centreline: the post's radius, plus half a strand, plus the mean
build-up of the layers beneath (:func:`layer_build_up`).
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.numerics.roots import newton_monotone

Floats = NDArray[np.float64]

LAYER_RISE = {"nested": 0.5 * np.sqrt(3.0), "square": 1.0}
"""Rise of one layer on the next, in strand diameters [-]."""


def belt_length(centre_distance: ArrayLike, radius_1: ArrayLike, radius_2: ArrayLike) -> Floats:
    r"""Length of the closed centreline round two posts.

    With :math:`\sin b = (R_1 - R_2)/C`,
    :math:`P = 2 C \cos b + \pi (R_1 + R_2) + 2 b (R_1 - R_2)`.

    Parameters
    ----------
    centre_distance : array_like
        Distance C between the post centres, >= abs(R1 - R2) [m]
    radius_1, radius_2 : array_like
        Radii R1, R2 of the centreline on the posts, >= 0, in either order [m]

    Returns
    -------
    ndarray
        Length P of the belt, in the broadcast shape; NaN where one post's belt lies wholly inside
        the other's [m]

    Notes
    -----
    The open-belt formula of elementary mechanics; exact for a thin belt without sag.
    """
    c, r1, r2 = (np.asarray(v, dtype=np.float64) for v in (centre_distance, radius_1, radius_2))
    offset = r1 - r2
    straight = np.sqrt(np.where(c >= np.abs(offset), c * c - offset * offset, np.nan))
    # atan2 keeps b accurate when the posts almost touch, and gives 0 for C = 0, R1 = R2.
    lean = np.arctan2(offset, straight)
    return np.asarray(2.0 * straight + np.pi * (r1 + r2) + 2.0 * lean * offset)


def centre_distance(length: ArrayLike, radius_1: ArrayLike, radius_2: ArrayLike) -> Floats:
    """Distance between post centres that gives a belt its length.

    The inverse of :func:`belt_length`: exact for equal radii, otherwise by Newton's method, which
    descends monotonically because dP/dC = 2 cos b grows with C.

    Parameters
    ----------
    length : array_like
        Length P of the closed centreline, >= 2 pi max(R1, R2) [m]
    radius_1, radius_2 : array_like
        Radii R1, R2 of the centreline on the posts, >= 0, in either order [m]

    Returns
    -------
    ndarray
        Distance C, in the broadcast shape; NaN where the belt is too short to go round both [m]
    """
    p, r1, r2 = np.broadcast_arrays(
        *(np.asarray(v, dtype=np.float64) for v in (length, radius_1, radius_2))
    )
    offset = np.abs(r1 - r2)
    equal = 0.5 * (p - np.pi * (r1 + r2))
    possible = p >= 2.0 * np.pi * np.maximum(r1, r2)
    if not bool(np.any(possible & (offset > 0.0))):
        return np.where(possible, equal, np.nan)
    upper = np.where(possible, np.maximum(equal, offset), offset)
    target = np.where(possible, p, belt_length(offset, r1, r2))

    def excess(c: Floats) -> tuple[Floats, Floats]:
        cosine = np.sqrt(np.maximum(1.0 - (offset / np.where(c > 0.0, c, np.inf)) ** 2, 0.0))
        return belt_length(c, r1, r2) - target, 2.0 * cosine

    found = newton_monotone(excess, upper, offset, upper, tol=1e-15 * p)
    distance = np.where(offset > 0.0, found.value, equal)
    return np.where(possible & (found.ok | (offset == 0.0)), distance, np.nan)


def layer_build_up(
    layers: ArrayLike,
    strand_diameter: ArrayLike,
    stacking: Literal["nested", "square"] = "nested",
) -> Floats:
    """Mean radial offset of a strand wound several layers deep on a post.

    Layer k = 0, 1, ... lies k rises further out; with equally many turns to a layer the mean is
    (layers - 1)/2 rises. Nested strands lie in the grooves of the layer beneath and rise by
    sqrt(3)/2 diameters; square stacking, one strand on top of the other, by a whole diameter.
    Strand nests when laid neatly; square stacking bounds it from above.

    Parameters
    ----------
    layers : array_like
        Number of layers, >= 1; a fraction stands for a mean between whole numbers [-]
    strand_diameter : array_like
        Diameter of the strand, >= 0 [m]
    stacking : {"nested", "square"}
        How the layers lie on each other.

    Returns
    -------
    ndarray
        Offset to add to the radius of the first layer's centreline [m]
    """
    depth = 0.5 * (np.asarray(layers, dtype=np.float64) - 1.0)
    return depth * LAYER_RISE[stacking] * np.asarray(strand_diameter, dtype=np.float64)
