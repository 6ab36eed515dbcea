r"""The eye: a served loop closed at its throat, seated on a round pin.

A closed eye is not a belt. Its centreline, from the throat round the pin and back, keeps one
perimeter; on a thicker pin it must open wider at the throat, so it loses more length than a
bare ring does::

              ,---.        tangent           leg
             /     \______________________
            |   o   |______________________>=====  throat, legs meet
             \     /
              `---'
              pin |<----- throat distance ---->|

The legs are taken as thin beams without bending stiffness, lying straight from the throat to the
tangent point, then round the pin at radius rho = (pin diameter + leg thickness)/2.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
_MAX_STEPS = 60
#: Share of the half perimeter under which a step is the last; what it leaves is its square
_CLOSE = 1e-9


@dataclass(frozen=True)
class EyeFit:
    """How an eye of fixed perimeter sits on a pin.

    Attributes
    ----------
    throat_distance : ndarray, shape (batch,)
        From the pin's centre to the throat, along the line [m].
    half_angle : ndarray, shape (batch,)
        Between a leg and the line's axis at the throat, positive when the legs spread towards
        the pin [rad].
    wrap_angle : ndarray, shape (batch,)
        Arc over which the eye touches the pin, both legs together [rad].
    ok : ndarray of bool, shape (batch,)
        Where the eye closes round the pin; elsewhere the other values are NaN [-].
    """

    throat_distance: Floats
    half_angle: Floats
    wrap_angle: Floats
    ok: NDArray[np.bool_]


def fit_eye(
    perimeter: ArrayLike,
    leg_thickness: ArrayLike,
    pin_diameter: ArrayLike,
    throat_offset: ArrayLike = 0.0,
) -> EyeFit:
    r"""Seat eyes of fixed centreline perimeter on pins.

    With the throat at (x, h) from the pin's centre and :math:`s = \sqrt{x^2 + h^2}`, half the
    perimeter is :math:`\sqrt{s^2 - \rho^2} + \rho(\pi - \arctan(h/x) - \arccos(\rho/s))`. Its
    slope in x is the cosine of the half angle, so Newton's method needs no further derivative.

    Parameters
    ----------
    perimeter : array_like
        Centreline length from throat point to throat point round the pin, > 0 [m]
    leg_thickness : array_like
        Thickness of the leg (bundle and serving), >= 0 [m]
    pin_diameter : array_like
        Diameter of the pin, > 0 [m]
    throat_offset : array_like
        Distance of each leg's centreline from the line's axis at the throat, >= 0: 0 where the
        legs meet on the axis, half a thickness where they lie side by side [m]

    Returns
    -------
    EyeFit
        In the broadcast shape; NaN and ``ok`` false where the eye is too short to close.

    Notes
    -----
    Ignores the legs' bending stiffness, flattening on the pin, and movement of the throat.
    The legs may not cross: for h = 0 the shortest eye has its throat at the pin (x = rho).
    """
    sizes = (perimeter, leg_thickness, pin_diameter, throat_offset)
    p, d, pin, h = (np.asarray(v, dtype=np.float64) for v in sizes)
    rho = 0.5 * (pin + d)
    nearest = np.sqrt(np.maximum(rho * rho - h * h, 0.0))
    least = _half_perimeter(nearest, h, rho)
    sane = (rho > 0.0) & (d >= 0.0) & (h >= 0.0) & np.isfinite(p)
    ok = sane & (p >= 2.0 * least)
    half = np.where(ok, 0.5 * p, least)
    # To the second order in rho/x the leg is x + (rho - h)^2 / 2x; where that has no root, or
    # goes wrong near the pin, the far side of the pin bounds the throat.
    flat = half - 0.5 * np.pi * rho
    under = flat * flat - 2.0 * np.square(rho - h)
    start = np.where(under > 0.0, 0.5 * (flat + np.sqrt(np.maximum(under, 0.0))), half - rho)
    # The slope grows with x: one step from either side lands beyond the root, none after passes it.
    x = np.maximum(start, nearest)
    close = _CLOSE * half
    for _ in range(_MAX_STEPS):
        cosine, angle, reach = _leg(x, h, rho)
        step = (reach + rho * (0.5 * np.pi + angle) - half) / np.maximum(cosine, 1e-9)
        x = np.maximum(x - step, nearest)
        if not (np.abs(step) > close).any():
            break
    x = np.where(ok, x, np.nan)
    half_angle = _leg(x, h, rho)[1]
    return EyeFit(x, half_angle, np.pi + 2.0 * half_angle, ok)


def _leg(x: Floats, h: Floats, rho: Floats) -> tuple[Floats, Floats, Floats]:
    """Cosine and angle of a leg to the axis, and its straight part."""
    square = x * x + (h * h - rho * rho)
    reach = np.sqrt(np.maximum(square, 0.0))
    along = reach * x + rho * h
    angle = np.arctan2(rho * x - h * reach, along)
    return along / np.maximum(x * x + h * h, 1e-300), angle, reach


def _half_perimeter(x: Floats, h: Floats, rho: Floats) -> Floats:
    """Length of one leg from the throat to the far side of the pin."""
    _, angle, reach = _leg(x, h, rho)
    return reach + rho * (0.5 * np.pi + angle)


def shortest_perimeter(
    leg_thickness: ArrayLike, pin_diameter: ArrayLike, throat_offset: ArrayLike = 0.0
) -> Floats:
    """Least centreline perimeter of an eye that still closes round a pin.

    Parameters
    ----------
    leg_thickness : array_like
        Thickness of the leg, >= 0 [m]
    pin_diameter : array_like
        Diameter of the pin, > 0 [m]
    throat_offset : array_like
        Distance of each leg's centreline from the axis at the throat, >= 0 [m]

    Returns
    -------
    ndarray
        2 pi rho where the legs meet on the axis, less where the throat is open [m]
    """
    d, pin, h = (
        np.asarray(v, dtype=np.float64) for v in (leg_thickness, pin_diameter, throat_offset)
    )
    rho = 0.5 * (pin + d)
    nearest = np.sqrt(np.maximum(rho * rho - h * h, 0.0))
    return 2.0 * _half_perimeter(nearest, h, rho)


def outside_offset(
    perimeter: ArrayLike,
    leg_thickness: ArrayLike,
    pin_diameter: ArrayLike,
    throat_offset: ArrayLike = 0.0,
) -> Floats:
    """Distance from the throat to the outside of the pin, where a length is measured from.

    Parameters
    ----------
    perimeter : array_like
        Centreline length from throat point to throat point round the pin, > 0 [m]
    leg_thickness : array_like
        Thickness of the leg, >= 0 [m]
    pin_diameter : array_like
        Diameter of the pin, > 0 [m]
    throat_offset : array_like
        Distance of each leg's centreline from the axis at the throat, >= 0 [m]

    Returns
    -------
    ndarray
        Throat distance plus half the pin; the outside of the *pin*, not of the leg upon it. NaN
        where the eye does not close [m]
    """
    fit = fit_eye(perimeter, leg_thickness, pin_diameter, throat_offset)
    return fit.throat_distance + 0.5 * np.asarray(pin_diameter, dtype=np.float64)


def perimeter_from_loop_size(loop_size: ArrayLike, leg_thickness: ArrayLike) -> Floats:
    """Centreline perimeter of a loop known by its size laid flat.

    The two legs lie against each other from the throat to the fold, where the centreline turns
    half round at radius d/2: p = 2 size + pi d/2.

    Parameters
    ----------
    loop_size : array_like
        Inside length of the closed loop laid flat, throat to fold, >= 0 [m]
    leg_thickness : array_like
        Thickness d of the leg, >= 0 [m]

    Returns
    -------
    ndarray
        Centreline perimeter [m]
    """
    d = np.asarray(leg_thickness, dtype=np.float64)
    return 2.0 * np.asarray(loop_size, dtype=np.float64) + 0.5 * np.pi * d


def passes_over(
    perimeter: ArrayLike, leg_thickness: ArrayLike, peg_diameter: ArrayLike
) -> NDArray[np.bool_]:
    """Tell whether a loop can be put over a peg or a knob.

    Its inside perimeter, p - pi d, must not be less than the peg's circumference. The throat is
    taken as closed on the axis, and the loop as inextensible: the safe side.

    Parameters
    ----------
    perimeter : array_like
        Centreline length of the loop, throat to throat, > 0 [m]
    leg_thickness : array_like
        Thickness d of the leg, >= 0 [m]
    peg_diameter : array_like
        Largest diameter that must pass through the loop, > 0 [m]

    Returns
    -------
    ndarray of bool
        Where the loop passes [-]
    """
    return np.asarray(
        np.asarray(perimeter, dtype=np.float64) >= shortest_perimeter(leg_thickness, peg_diameter)
    )
