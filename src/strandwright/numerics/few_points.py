"""A few points that stand for many: means of smooth functions over a cloud of points.

Every polynomial of degree less than the number of places has the same mean over the places, with
their weights, as over the cloud; and so has its mean over the points from some one on alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

#: Product of the distances from all places, over the half width of the cloud each, at which every
#: point has as good as a place of its own [-]
_NONE_LEFT = 1e-14


@dataclass(frozen=True)
class FewPoints:
    """Places that stand for a cloud of points.

    Attributes
    ----------
    places : ndarray
        Shape (m,), ascending; where they lie, among them the first and the last point [unit of
        the cloud]
    cloud : ndarray
        Shape (n,); the points themselves, ascending [unit of the cloud]
    onward : ndarray
        Shape (m, n + 1); the share that each stands for of the cloud without its first i points,
        over all points, i from 0 to n [-]
    """

    places: FloatArray
    cloud: FloatArray
    onward: FloatArray

    @property
    def weights(self) -> FloatArray:
        """Share of the cloud that each place stands for, shape (m,), 1 in all [-]."""
        return self.onward[:, 0]


def few_points(cloud: FloatArray, count: int) -> FewPoints:
    """Give a few points that stand for a cloud.

    Parameters
    ----------
    cloud : ndarray
        Shape (n,); the points, in any order [any unit]
    count : int
        Number of places wanted, >= 2 [-]

    Returns
    -------
    FewPoints
        So many of them, or fewer where the cloud has no more.

    Notes
    -----
    Leja's points: each next one is that of the cloud which lies furthest from those before, by
    the product of the distances. What is smooth lies between its values there as Lagrange's
    polynomials have it.
    """
    cloud = np.sort(cloud)
    places = _spread_out(cloud, count)
    shares = _shares_at(cloud, places) / len(cloud)
    onward = np.zeros((len(places), len(cloud) + 1))
    onward[:, :-1] = np.cumsum(shares[:, ::-1], axis=1)[:, ::-1]
    return FewPoints(places, cloud, onward)


def _spread_out(cloud: FloatArray, count: int) -> FloatArray:
    """Points of the cloud, at most so many, as far from each other as they may be; ascending."""
    half = 0.5 * (cloud[-1] - cloud[0])
    if half == 0.0:
        return cloud[:1]
    chosen = [0, len(cloud) - 1]
    apart = np.prod([(cloud - cloud[i]) / half for i in chosen], axis=0)
    while len(chosen) < count and np.abs(apart).max() > _NONE_LEFT:
        chosen.append(int(np.abs(apart).argmax()))
        apart = apart * ((cloud - cloud[chosen[-1]]) / half)
    return cloud[sorted(chosen)]


def _shares_at(cloud: FloatArray, places: FloatArray) -> FloatArray:
    """Lagrange's polynomials of the places at each point, shape (m, n)."""
    shares = np.ones((len(places), len(cloud)))
    for row, place in zip(shares, places, strict=True):
        for other in places[places != place]:
            row *= (cloud - other) / (place - other)
    return shares
