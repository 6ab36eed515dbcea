"""String mass: what each gram on a string weighs as seen from the nocking point.

At release each half of the string turns about its end: its speed falls in a straight line from
that of the arrow at the nocking point to nothing at the tip. A mass at the fraction xi of the
half string from the nocking point then carries the energy of (1 - xi)^2 of itself on the arrow; a
uniform string carries a third.

Positions run from -1 at the lower end over 0 at the nocking point to 1 at the upper end.

References
----------
.. [1] Hickman, C. N., Effect of string weight on arrow velocity and efficiency of bows (1930s),
   in Archery: the Technical Side (1947): a third of the string's weight counts.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from strandwright.bow.entered import FloatArray, checked, not_negative, positive
from strandwright.errors import GeometryError


@dataclass(frozen=True)
class Item:
    """A mass on the string: the string itself, a serving, a peep, a silencer, a loop, a nock point.

    Attributes
    ----------
    name : str
        What it is, unique among the items of a string.
    mass : float
        Its mass, >= 0 [kg]
    start : float
        Where it starts, from -1 (lower end) over 0 (nocking point) to 1 (upper end) [-]
    stop : float or None
        Where it stops, >= start, spread evenly between; None for a point at ``start`` [-]
    mass_u : float
        Standard uncertainty of the mass, >= 0 [kg]
    """

    name: str
    mass: float
    start: float
    stop: float | None = None
    mass_u: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a mass below zero and a place off the string."""
        not_negative(f"{self.name}.mass", self.mass, "weigh it again")
        not_negative(f"{self.name}.mass_u", self.mass_u, "give 0 for what is known exactly")
        _on_string(f"{self.name}.start", self.start)
        if self.stop is not None:
            _on_string(f"{self.name}.stop", self.stop)
            if self.stop < self.start:
                raise GeometryError(
                    f"{self.name}.stop",
                    self.stop,
                    f"must not lie below its start, {self.start:g}",
                    "exchange start and stop",
                )

    @property
    def weight(self) -> float:
        """Share of its mass that counts on the arrow, 0 to 1 [-]."""
        stop = self.start if self.stop is None else self.stop
        return float(weight_at_nock(self.start, stop))


def weight_at_nock(start: ArrayLike, stop: ArrayLike) -> FloatArray:
    """Share of a mass, spread evenly over an interval of the string, that counts on the arrow.

    .. math:: \\frac{1}{b - a} \\int_a^b (1 - |\\xi|)^2 \\, d\\xi

    Parameters
    ----------
    start : array_like
        Where it starts, -1 to 1 [-]
    stop : array_like
        Where it stops, start to 1; the same as start for a point [-]

    Returns
    -------
    ndarray
        1 at the nocking point, 1/3 over a whole half, 0 at a tip [-]

    Raises
    ------
    GeometryError
        If an end lies off the string.

    Notes
    -----
    Integrated exactly, on each side of the nocking point by itself. An interval that reaches over
    it is even in metres only if both halves are equally long; cut it there if they are not.
    Neglects that the tips move, that the halves are bowed by their inertia, and the string's
    stretch.
    """
    a, b = _on_string("start", start), _on_string("stop", stop)
    below = _one_side(np.clip(-b, 0.0, None), np.clip(-a, 0.0, None))
    above = _one_side(np.clip(a, 0.0, None), np.clip(b, 0.0, None))
    down = np.clip(b, None, 0.0) - np.clip(a, None, 0.0)
    up = np.clip(b, 0.0, None) - np.clip(a, 0.0, None)
    across = (a < 0.0) & (b > 0.0)
    whole = np.where(across, down + up, 1.0)
    return np.where(across, (down * below + up * above) / whole, np.where(a < 0.0, below, above))


def fraction_along(distance: ArrayLike, half_string: ArrayLike) -> FloatArray:
    """Fraction of a half string at a distance from the nocking point.

    Parameters
    ----------
    distance : array_like
        Along the string from the nocking point, 0 to half_string [m]
    half_string : array_like
        Nocking point to the end of that half: the nock of the limb, or where the string leaves
        the wheel at rest; > 0 [m]

    Returns
    -------
    ndarray
        0 at the nocking point, 1 at the end [-]

    Raises
    ------
    GeometryError
        If the distance does not lie on the half string.
    """
    half = positive("half_string", half_string, "measure it", GeometryError)
    along = checked(
        "distance",
        distance,
        lambda v: (v >= 0.0) & (v <= half),
        "must lie between zero and the half string",
        "measure it from the nocking point along the string",
        GeometryError,
    )
    return along / half


def uniform_string(mass: float, mass_u: float = 0.0) -> Item:
    """Give the bare string as an item from end to end.

    Parameters
    ----------
    mass : float
        Of the string between its ends, >= 0 [kg]
    mass_u : float
        Its standard uncertainty, >= 0 [kg]

    Returns
    -------
    Item
        Counts a third.
    """
    return Item("string", mass, -1.0, 1.0, mass_u)


def effective_string_mass(items: Iterable[Item]) -> float:
    """Mass on the arrow that carries the same energy as everything on the string.

    Parameters
    ----------
    items : iterable of Item
        The string and all that is on it.

    Returns
    -------
    float
        Sum of the masses by their weights [kg]
    """
    return float(sum(item.mass * item.weight for item in items))


def effective_string_mass_u(items: Iterable[Item]) -> float:
    """Uncertainty of the effective string mass, the items' own +- being independent.

    Parameters
    ----------
    items : iterable of Item
        The string and all that is on it.

    Returns
    -------
    float
        Standard uncertainty [kg]
    """
    return math.hypot(*(item.mass_u * item.weight for item in items))


def _one_side(near: FloatArray, far: FloatArray) -> FloatArray:
    """Mean of (1 - xi)^2 between two fractions of one half, without cancellation."""
    u, w = 1.0 - near, 1.0 - far
    return (u * u + u * w + w * w) / 3.0


def _on_string(field: str, given: ArrayLike) -> FloatArray:
    """Refuse a position off the string."""
    return checked(
        field,
        given,
        lambda v: np.abs(v) <= 1.0,
        "must lie between -1 (lower end) and 1 (upper end), the nocking point being 0",
        "divide the distance from the nocking point by that half of the string",
        GeometryError,
    )
