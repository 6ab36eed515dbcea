"""The limb: what bends, and where its tip is; and the simplest one, a link on a pivot.

A limb lives in a frame of its own. Its root is the origin and its root heads along +x; angles
and bending are positive counter-clockwise. Where the frame lies in a bow is the rigging's
business. Its state is a few dimensionless coordinates q; energy and tip come with their exact
first and second derivatives, so that bodies of any kind can be stacked in one Newton solve.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Tip:
    """Where the tip of a limb is, and how that changes with the limb's coordinates.

    Attributes
    ----------
    position : ndarray, shape (batch, 2)
        Place of the tip in the limb's frame [m]
    angle : ndarray, shape (batch,)
        Heading at the tip, zero along the root's heading, positive counter-clockwise; it counts
        whole turns and is linear in q, so it has no second derivative [rad]
    position_gradient : ndarray, shape (batch, 2, n)
        Derivative of the place by each coordinate [m]
    angle_gradient : ndarray, shape (n,)
        Derivative of the heading by each coordinate, the same for every case [rad]
    position_hessian : ndarray, shape (batch, 2, n, n)
        Second derivatives of the place [m]
    """

    position: Floats
    angle: Floats
    position_gradient: Floats
    angle_gradient: Floats
    position_hessian: Floats


class Limb(Protocol):
    """What a bow asks of a limb, whatever it is made of."""

    @property
    def freedoms(self) -> int:
        """Number n of coordinates [-]."""
        ...

    def tip(self, q: Floats) -> Tip:
        """Place and heading of the tip.

        Parameters
        ----------
        q : ndarray, shape (batch, n)
            Coordinates, one row for each case [-]

        Returns
        -------
        Tip
            With first and second derivatives.
        """
        ...

    def energy(self, q: Floats) -> tuple[Floats, Floats, Floats]:
        """Strain energy with its first and second derivatives.

        Parameters
        ----------
        q : ndarray, shape (batch, n)
            Coordinates, one row for each case [-]

        Returns
        -------
        tuple of ndarray
            Energy, shape (batch,), zero at rest; gradient, (batch, n); second derivatives,
            (batch, n, n) or broadcasting to it [J]
        """
        ...

    def rest(self) -> Floats:
        """Coordinates of the unstrained shape, (n,), or (batch, n) where cases differ [-]."""
        ...

    def shape(self, q: Floats, stations: Floats) -> Floats:
        """Points along the centreline, for drawing.

        Parameters
        ----------
        q : ndarray, shape (batch, n)
            Coordinates, one row for each case [-]
        stations : ndarray, shape (stations,)
            Fractions of the length from the root, 0 to 1 [-]

        Returns
        -------
        ndarray, shape (batch, stations, 2)
            Places in the limb's frame [m]
        """
        ...


@dataclass(frozen=True)
class PivotLimb:
    """A rigid link on a virtual pivot: the root is the pivot, q is the link's angle.

    The spring turns with the energy k/2 (q - rest)^2 + k3/4 (q - rest)^4. Each number may be one
    for all cases or one for each case, so that a family of bows is solved at once.

    Attributes
    ----------
    length : array_like, () or (batch,)
        Pivot to tip, > 0 [m]
    stiffness : array_like, () or (batch,)
        Spring rate k at rest, > 0 [N m/rad]
    rest_angle : array_like, () or (batch,)
        Angle at which the spring is slack; turning a limb bolt in shifts it [rad]
    hardening : array_like, () or (batch,)
        Cubic spring rate k3, >= 0 [N m/rad^3]

    Raises
    ------
    InputError
        If a number is out of its range or not finite.

    Notes
    -----
    Stands for a flexible limb whose tip path is nearly a circle: three quarters of the limb's
    length for one that bends in an arc, five sixths for a uniform one, both for small bending.
    The heading of the tip is the link's own, while that of a bent limb turns by about 4/3 to
    3/2 as much.
    """

    length: ArrayLike
    stiffness: ArrayLike
    rest_angle: ArrayLike = 0.0
    hardening: ArrayLike = 0.0

    def __post_init__(self) -> None:
        least = {"length": 0.0, "stiffness": 0.0, "rest_angle": -np.inf, "hardening": 0.0}
        for name, bound in least.items():
            value = np.array(getattr(self, name), dtype=np.float64)
            strict = name in ("length", "stiffness")
            good = np.isfinite(value) & ((value > bound) if strict else (value >= bound))
            if value.ndim > 1 or not bool(np.all(good)):
                given, rule = getattr(self, name), f"must be {_RULES[name]}"
                raise InputError(f"limb.{name}", given, rule, "check the limb's numbers")
            value.setflags(write=False)
            object.__setattr__(self, name, value)

    @property
    def freedoms(self) -> int:
        """One coordinate: the link's angle [-]."""
        return 1

    def tip(self, q: Floats) -> Tip:
        """Place and heading of the tip.

        Parameters
        ----------
        q : ndarray, shape (batch, 1)
            Angle of the link from +x [rad]

        Returns
        -------
        Tip
            With first and second derivatives.
        """
        angle = q[:, 0]
        length = np.asarray(self.length)
        along, across = length * np.cos(angle), length * np.sin(angle)
        position = np.stack([along, across], axis=-1)
        gradient = np.stack([-across, along], axis=-1)[..., None]
        return Tip(position, angle, gradient, np.ones(1), -position[..., None, None])

    def energy(self, q: Floats) -> tuple[Floats, Floats, Floats]:
        """Energy of the spring with its first and second derivatives.

        Parameters
        ----------
        q : ndarray, shape (batch, 1)
            Angle of the link from +x [rad]

        Returns
        -------
        tuple of ndarray
            Energy, shape (batch,); gradient, (batch, 1); second derivative, (batch, 1, 1) [J]
        """
        k, k3 = np.asarray(self.stiffness), np.asarray(self.hardening)
        turn = q[:, 0] - np.asarray(self.rest_angle)
        square = turn * turn
        energy = square * (0.5 * k + 0.25 * k3 * square)
        slope = turn * (k + k3 * square)
        return energy, slope[:, None], (k + 3.0 * k3 * square)[:, None, None]

    def rest(self) -> Floats:
        """Angle at which the spring is slack, (1,) or (batch, 1) [rad]."""
        return np.asarray(self.rest_angle)[..., None]

    def shape(self, q: Floats, stations: Floats) -> Floats:
        """Points along the link, for drawing.

        Parameters
        ----------
        q : ndarray, shape (batch, 1)
            Angle of the link from +x [rad]
        stations : ndarray, shape (stations,)
            Fractions of the length from the pivot, 0 to 1 [-]

        Returns
        -------
        ndarray, shape (batch, stations, 2)
            Places in the limb's frame [m]
        """
        return np.asarray(stations)[:, None] * self.tip(q).position[:, None, :]


_RULES = {
    "length": "one length or one for each case, over 0 m",
    "stiffness": "one rate or one for each case, over 0 N m/rad",
    "rest_angle": "one finite angle or one for each case",
    "hardening": "one rate or one for each case, 0 N m/rad^3 or more",
}
