"""The elastica: a limb as an inextensible beam of any taper, bent as far as it will go.

The coordinates are the coefficients of the *change* of curvature times length, on the elements
of :class:`~strandwright.bow.curvature.CurvatureBasis`. So the strain energy is a quadratic form
with a constant matrix, the angle is linear in the coordinates and exact, and only the place of
the tip needs a quadrature. Any set of coordinates is a shape that a limb can take: there is
nothing to constrain, and a force at the tip is the only load that is not linear.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.bow.curvature import CurvatureBasis, Quadrature
from strandwright.bow.limb import Tip
from strandwright.bow.taper import Profile, Stations, uniform
from strandwright.bow.tip_operators import TipOperators, tip_operators
from strandwright.errors import InputError

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class _Parts:
    """What is made once of a limb's description, per metre of length and N m of stiffness."""

    quadrature: Quadrature
    turns: Floats  # (n, points): angle at each Gauss point by coordinate
    moments: Floats  # (points, 1 + n + n * n): one, those angles, less their products
    unstrained: Floats  # (points,): angle there at rest
    tip_turns: Floats  # (n,)
    tip_unstrained: float
    weights: Floats  # (points,), or (batch, 1, points) [m]
    stiffness: Floats  # (n, n), or (batch, n, n) [N m]


@dataclass(frozen=True)
class ElasticaLimb:
    """An inextensible, unshearable limb, clamped at its root, its stiffness tapered.

    Attributes
    ----------
    length : array_like, () or (batch,)
        Root to tip along the limb, > 0 [m]
    root_stiffness : array_like, () or (batch,)
        Bending stiffness EI where the taper is 1, > 0 [N m^2]
    taper : callable
        Stiffness over ``root_stiffness``, of the fraction of the length; a function, or
        :class:`~strandwright.bow.taper.Stations`. Over zero but for the tip itself.
    unstrained : callable
        Curvature of the unstrained limb times its length, in the same way; zero for a straight
        limb, negative for a recurved one that bends counter-clockwise.
    elements : int
        Number of equal elements, >= 1 [-]
    degree : int
        Degree of the change of curvature on each element, >= 0 [-]

    Raises
    ------
    InputError
        If a number is out of its range or a profile gives a value that cannot be.

    Notes
    -----
    With one element the error falls exponentially with the degree while taper and unstrained
    curvature are smooth; kinks at stations cost accuracy, but not in the energy's matrix, whose
    integrals end at them. The elements of degree 0 are exact arcs and converge as 1/m^2.

    A limb that runs out to a point stays well posed without a floor to its stiffness: the
    curvature moment over stiffness is bounded for a *force* at the tip, and polynomials of the
    curvature, not of the moment, are integrated against the stiffness. A *moment* at such a tip
    is borne by no finite curvature: the angle would grow with every refinement, so give the tip
    the width it has (:func:`~strandwright.bow.taper.width_taper`) before it carries a wheel.
    """

    length: ArrayLike
    root_stiffness: ArrayLike
    taper: Profile = field(default_factory=uniform)
    unstrained: Profile = field(default_factory=lambda: uniform(0.0))
    elements: int = 1
    degree: int = 11
    _parts: _Parts = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        for name in ("length", "root_stiffness"):
            value = np.array(getattr(self, name), dtype=np.float64)
            if value.ndim > 1 or not np.all(np.isfinite(value) & (value > 0.0)):
                rule = "must be one number over 0, or one for each case"
                raise InputError(f"limb.{name}", getattr(self, name), rule, "check its unit")
            value.setflags(write=False)
            object.__setattr__(self, name, value)
        for name, least in (("elements", 1), ("degree", 0)):
            if getattr(self, name) < least:
                rule = f"must be {least} or more"
                raise InputError(f"limb.{name}", getattr(self, name), rule, "refine the limb")
        object.__setattr__(self, "_parts", _make(self))

    @property
    def basis(self) -> CurvatureBasis:
        """The polynomials whose coefficients are the coordinates."""
        return CurvatureBasis(self.elements, self.degree)

    @property
    def freedoms(self) -> int:
        """Number n of coordinates [-]."""
        return self.elements * (self.degree + 1)

    @property
    def bears_tip_moment(self) -> bool:
        """Whether there is stiffness at the tip to bear a moment."""
        return bool(self.taper(np.ones(1))[0] > 0.0)

    @property
    def shared(self) -> bool:
        """Whether all cases have the same length and stiffness."""
        return self._parts.weights.ndim == 1 and self._parts.stiffness.ndim == 2

    @cached_property
    def tip_operators(self) -> TipOperators:
        """What a limb under a load at its tip is evaluated with, if all cases share the limb."""
        parts = self._parts
        turned = (parts.turns, parts.unstrained, parts.tip_turns)
        return tip_operators(turned, parts.weights, parts.stiffness)

    def rest(self) -> Floats:
        """Coordinates of the unstrained shape: no change of curvature, (n,) [-]."""
        return np.zeros(self.freedoms)

    def tip(self, q: Floats) -> Tip:
        """Place and heading of the tip.

        Parameters
        ----------
        q : ndarray, shape (batch, n)
            Coefficients of the change of curvature times length [-]

        Returns
        -------
        Tip
            With first and second derivatives.
        """
        parts, n = self._parts, self.freedoms
        # Place, gradient and second derivatives are moments of the heading: one product.
        found = self._heading(q) @ parts.moments
        gradient = np.empty((len(q), 2, n))
        np.negative(found[:, 1, 1 : n + 1], out=gradient[:, 0])
        gradient[:, 1] = found[:, 0, 1 : n + 1]
        angle = q @ parts.tip_turns + parts.tip_unstrained
        hessian = found[:, :, n + 1 :].reshape(-1, 2, n, n)
        return Tip(found[:, :, 0], angle, gradient, parts.tip_turns, hessian)

    def energy(self, q: Floats) -> tuple[Floats, Floats, Floats]:
        """Energy of bending, 1/2 int EI (kappa - kappa_0)^2 ds, with its derivatives.

        Parameters
        ----------
        q : ndarray, shape (batch, n)
            Coefficients of the change of curvature times length [-]

        Returns
        -------
        tuple of ndarray
            Energy, shape (batch,); gradient, (batch, n); second derivatives, constant, (n, n) or
            (batch, n, n) where cases differ [J]
        """
        stiffness = self._parts.stiffness
        gradient = q @ stiffness if stiffness.ndim == 2 else (stiffness @ q[..., None])[..., 0]
        return 0.5 * np.vecdot(q, gradient), gradient, stiffness

    def moment(self, q: Floats, stations: Floats) -> Floats:
        """Bending moment along the limb, from the curvature.

        Parameters
        ----------
        q : ndarray, shape (batch, n)
            Coefficients of the change of curvature times length [-]
        stations : ndarray, shape (stations,)
            Fractions of the length from the root, 0 to 1 [-]

        Returns
        -------
        ndarray, shape (batch, stations)
            Positive where it bends counter-clockwise [N m]
        """
        scale = np.asarray(self.root_stiffness) / np.asarray(self.length)
        change = q @ self.basis.values(stations).T
        return scale[..., None] * self.taper(np.asarray(stations)) * change

    def shape(self, q: Floats, stations: Floats) -> Floats:
        """Points along the centreline, for drawing.

        Parameters
        ----------
        q : ndarray, shape (batch, n)
            Coefficients of the change of curvature times length [-]
        stations : ndarray, shape (stations,)
            Fractions of the length from the root, 0 to 1 [-]

        Returns
        -------
        ndarray, shape (batch, stations, 2)
            Places in the limb's frame [m]
        """
        parts, order = self._parts, self._parts.quadrature.order
        heading = self._heading(q)
        whole = heading.reshape(*heading.shape[:2], -1, order).sum(axis=-1)
        before = np.cumsum(whole, axis=-1) - whole
        interval, at, weight = parts.quadrature.up_to(np.asarray(stations))
        turned = np.einsum("bn,spn->bsp", q, self.basis.integrals(at))
        turned += parts.quadrature.integral(self.unstrained, at)
        length = np.asarray(self.length)[..., None]
        part = [length * (f(turned) * weight).sum(axis=-1) for f in (np.cos, np.sin)]
        return np.stack([before[:, k, interval] + part[k] for k in (0, 1)], axis=-1)

    def _heading(self, q: Floats) -> Floats:
        """Cosine and sine of the angle at each Gauss point by its weight, (batch, 2, points)."""
        parts = self._parts
        angle = q @ parts.turns
        angle += parts.unstrained
        heading = np.empty((len(angle), 2, angle.shape[-1]))
        np.cos(angle, out=heading[:, 0])
        np.sin(angle, out=heading[:, 1])
        heading *= parts.weights
        return heading


def _edges(limb: ElasticaLimb) -> Floats:
    """Ends of elements and stations: between them a limb is smooth."""
    kinks = [np.linspace(0.0, 1.0, limb.elements + 1)]
    kinks += [
        np.asarray(profile.fractions)
        for profile in (limb.taper, limb.unstrained)
        if isinstance(profile, Stations)
    ]
    return np.unique(np.concatenate(kinks))


def _make(limb: ElasticaLimb) -> _Parts:
    """Make once what every evaluation needs."""
    edges, basis = _edges(limb), limb.basis
    # Cosines of a polynomial: enough points that the widest interval reads them to rounding
    # up to a turn or so.
    share = float(np.diff(edges).max()) * limb.elements
    quadrature = Quadrature(edges, 6 + int(np.ceil(limb.degree * share)))
    at, weights = quadrature.points()
    turns = basis.integrals(at)
    products = (turns[:, :, None] * turns[:, None, :]).reshape(at.size, -1)
    moments = np.hstack([np.ones((at.size, 1)), turns, -products])
    unstrained = quadrature.integral(limb.unstrained, at)
    tip_unstrained = float(quadrature.integral(limb.unstrained, np.ones(())))
    if not np.all(np.isfinite(unstrained)):
        rule = "must be a finite curvature at every fraction of the length"
        raise InputError("limb.unstrained", limb.unstrained, rule, "check its values")
    length = np.asarray(limb.length)
    weights = weights * (length if length.ndim == 0 else length[:, None, None])
    tip_turns = basis.integrals(np.ones(()))
    stiffness = _stiffness(limb, edges)
    turns = np.ascontiguousarray(turns.T)
    return _Parts(
        quadrature, turns, moments, unstrained, tip_turns, tip_unstrained, weights, stiffness
    )


def _stiffness(limb: ElasticaLimb, edges: Floats) -> Floats:
    """Second derivatives of the energy: int EI P_j P_k, exact for a taper of straight lines."""
    at, weights = Quadrature(edges, limb.degree + 8).points()
    relative, inner = limb.taper(at), limb.taper(edges[:-1])
    if not all(np.all(np.isfinite(found) & (found > 0.0)) for found in (relative, inner)):
        rule = "must be over 0 at every fraction of the length short of the tip"
        raise InputError("limb.taper", limb.taper, rule, "give the limb a stiffness throughout")
    values = limb.basis.values(at)
    form = values.T @ ((relative * weights)[:, None] * values)
    scale = np.asarray(limb.root_stiffness) / np.asarray(limb.length)
    return scale[..., None, None] * form if scale.ndim else scale * form
