"""Curvature in Legendre polynomials on elements, and integrals along a limb.

Everything runs over the fraction of the length from the root, 0 to 1. An element carries the
polynomials P_0 .. P_p of its own coordinate -1 .. 1; they are not joined across elements, since
a curvature may jump. Their integral, the angle, is exact and continuous.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.polynomial.legendre import leggauss, legvander
from numpy.typing import NDArray

from strandwright.bow.taper import Profile

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class CurvatureBasis:
    """Polynomials on equal elements, element by element, lowest degree first.

    Attributes
    ----------
    elements : int
        Number of elements m, >= 1 [-]
    degree : int
        Highest degree p on each, >= 0 [-]
    """

    elements: int
    degree: int

    @property
    def size(self) -> int:
        """Number of polynomials, m (p + 1) [-]."""
        return self.elements * (self.degree + 1)

    def values(self, fractions: Floats) -> Floats:
        """Give every polynomial's value.

        Parameters
        ----------
        fractions : ndarray, shape (...)
            Where, 0 to 1; at a joint the element on the tip's side counts [-]

        Returns
        -------
        ndarray, shape (..., size)
            Zero off the polynomial's own element [-]
        """
        element, local = self._local(fractions)
        own: Floats = np.asarray(legvander(local, self.degree), dtype=np.float64)
        return self._spread(element, own, np.zeros(self.degree + 1))

    def integrals(self, fractions: Floats) -> Floats:
        """Give every polynomial's integral from the root.

        Parameters
        ----------
        fractions : ndarray, shape (...)
            Where, 0 to 1 [-]

        Returns
        -------
        ndarray, shape (..., size)
            Beyond its own element, the whole of it: nothing but for P_0 [-]
        """
        element, local = self._local(fractions)
        p = legvander(local, self.degree + 1)
        own = np.empty((*local.shape, self.degree + 1))
        own[..., 0] = local + 1.0
        odd = 2.0 * np.arange(1, self.degree + 1) + 1.0
        own[..., 1:] = (p[..., 2:] - p[..., :-2]) / odd
        whole = np.zeros(self.degree + 1)
        whole[0] = 2.0
        return self._spread(element, own, whole) / (2.0 * self.elements)

    def _local(self, fractions: Floats) -> tuple[NDArray[np.intp], Floats]:
        """Element of each place, and its coordinate there, -1 to 1."""
        scaled = np.asarray(fractions) * self.elements
        element = np.clip(scaled.astype(np.intp), 0, self.elements - 1)
        return element, 2.0 * (scaled - element) - 1.0

    def _spread(self, element: NDArray[np.intp], own: Floats, whole: Floats) -> Floats:
        """Lay own values at each place's element, ``whole`` before it and zero after it."""
        numbers = np.arange(self.elements)
        here = (element[..., None] == numbers)[..., None]
        passed = (element[..., None] > numbers)[..., None]
        laid = np.where(here, own[..., None, :], np.where(passed, whole, 0.0))
        return laid.reshape(*element.shape, self.size)


@dataclass(frozen=True)
class Quadrature:
    """Gauss points on intervals that cover the length.

    Attributes
    ----------
    edges : ndarray, shape (intervals + 1,)
        Ends of the intervals, from 0 to 1; integrands are smooth between them [-]
    order : int
        Points on each interval, >= 1 [-]
    """

    edges: Floats
    order: int

    def points(self) -> tuple[Floats, Floats]:
        """Places and weights over the whole length, interval by interval, (points,) each [-]."""
        node, weight = _gauss(self.order)
        half = 0.5 * np.diff(self.edges)
        middle = 0.5 * (self.edges[1:] + self.edges[:-1])
        at = middle[:, None] + half[:, None] * node
        return at.ravel(), (half[:, None] * weight).ravel()

    def up_to(self, fractions: Floats) -> tuple[NDArray[np.intp], Floats, Floats]:
        """Give the points between each place and the edge before it.

        Parameters
        ----------
        fractions : ndarray, shape (...)
            Places, 0 to 1 [-]

        Returns
        -------
        tuple of ndarray
            Interval of each place, shape (...); points and weights, shape (..., order) [-]
        """
        node, weight = _gauss(self.order)
        last = self.edges.size - 2
        interval = np.clip(np.searchsorted(self.edges, fractions, side="right") - 1, 0, last)
        start = self.edges[interval]
        half = 0.5 * (np.asarray(fractions) - start)[..., None]
        return interval, start[..., None] + half * (1.0 + node), half * weight

    def integral(self, profile: Profile, fractions: Floats) -> Floats:
        """Integrate a profile from the root.

        Parameters
        ----------
        profile : callable
            Of the fraction of the length.
        fractions : ndarray, shape (...)
            Upper ends, 0 to 1 [-]

        Returns
        -------
        ndarray, shape (...)
            Integrals over the fraction, in the profile's unit [unit]
        """
        at, weight = self.points()
        whole = (profile(at) * weight).reshape(-1, self.order).sum(axis=-1)
        before = np.concatenate([[0.0], np.cumsum(whole)[:-1]])
        interval, part_at, part_weight = self.up_to(fractions)
        return before[interval] + (profile(part_at) * part_weight).sum(axis=-1)


@cache
def _gauss(order: int) -> tuple[Floats, Floats]:
    """Gauss points and weights on -1 .. 1; making them costs more than a limb's other parts."""
    node, weight = leggauss(order)
    node.setflags(write=False)
    weight.setflags(write=False)
    return node, weight
