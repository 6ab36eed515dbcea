"""A serving as a thread wound on a core: wraps, thickness, thread, grip, hold, mass.

The thread runs as one start of a helix with its turns touching. Laid under tension it flattens
from diameter *d* to thickness *a* and width *b*, with :math:`a\\,b = d^2` (volume kept).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from strandwright.fibre.strand_law import FloatArray

#: Share of the thread's strain that the core does not give way to when twist tightens it.
CORE_RESISTANCE = 0.5


@dataclass(frozen=True)
class ServedSpan:
    """What a serving of a given thread on a given core comes to.

    Attributes
    ----------
    core_diameter : ndarray
        Shape (...); diameter of the bundle inside the serving [m]
    outside_diameter : ndarray
        Shape (...); diameter over the thread [m]
    pitch : ndarray
        Shape (...); width of one wrap along the line [m]
    thread_per_length : ndarray
        Shape (...); thread used per served length [-]
    angle_sine : ndarray
        Shape (...); sine of the wrap's angle to the line's axis [-]
    pressure : ndarray
        Shape (...); mean pressure of the wraps on the core's surface [Pa]
    """

    core_diameter: FloatArray
    outside_diameter: FloatArray
    pitch: FloatArray
    thread_per_length: FloatArray
    angle_sine: FloatArray
    pressure: FloatArray

    @property
    def radius(self) -> FloatArray:
        """Radius of the thread's centreline [m]."""
        return 0.25 * (self.core_diameter + self.outside_diameter)


def served_span(
    core_diameter: ArrayLike, thread_diameter: ArrayLike, flattening: ArrayLike, tension: ArrayLike
) -> ServedSpan:
    """Geometry and pressure of a serving.

    Parameters
    ----------
    core_diameter : array_like
        Diameter of the squeezed bundle [m]
    thread_diameter : array_like
        Nominal diameter of the thread [m]
    flattening : array_like
        Laid thickness over nominal diameter, in (0, 1] [-]
    tension : array_like
        Tension in the laid thread [N]

    Returns
    -------
    ServedSpan
        The serving.

    Notes
    -----
    Single start, wraps touching, no second layer; pressure :math:`t\\sin\\beta/(r_c b)` on the
    core's surface. The outside diameter with a round thread is an upper limit.
    """
    core = np.asarray(core_diameter, dtype=float)
    thickness = np.asarray(flattening) * np.asarray(thread_diameter)
    pitch = np.asarray(thread_diameter) ** 2 / thickness
    radius = 0.5 * (core + thickness)
    along = 2.0 * np.pi * radius / pitch
    per_length = np.sqrt(along**2 + 1.0)
    sine = along / per_length
    return ServedSpan(
        core_diameter=core,
        outside_diameter=core + 2.0 * thickness,
        pitch=pitch,
        thread_per_length=per_length,
        angle_sine=sine,
        pressure=np.asarray(tension) * sine / (0.5 * core * pitch),
    )


def slip_force(
    span: ServedSpan, length: ArrayLike, tension: ArrayLike, friction: ArrayLike
) -> FloatArray:
    """Force along the line at which a serving slides on its core.

    .. math:: F = 2\\pi\\mu\\,t\\sin\\beta\\,\\ell/b

    Parameters
    ----------
    span : ServedSpan
        The serving.
    length : array_like
        Served length [m]
    tension : array_like
        Tension in the laid thread, >= 0 [N]
    friction : array_like
        Friction of thread on strands [-]

    Returns
    -------
    ndarray
        Slip force; independent of the radius to first order [N]
    """
    wraps = np.asarray(length) / span.pitch
    return 2.0 * np.pi * np.asarray(friction) * np.asarray(tension) * span.angle_sine * wraps


def tension_after_twist(
    tension: ArrayLike, thread_stiffness: ArrayLike, span: ServedSpan, turns_per_length: ArrayLike
) -> FloatArray:
    """Tension left in a serving when the line under it is twisted.

    A turn of twist adds a wrap (same hand) or takes one off (opposite hand) without adding
    thread: the thread's strain changes by turns per length times pitch. The core gives way to
    part of it.

    Parameters
    ----------
    tension : array_like
        Tension it was laid with [N]
    thread_stiffness : array_like
        Axial stiffness EA of the thread [N]
    span : ServedSpan
        The serving.
    turns_per_length : array_like
        Twist put in after serving, > 0 in the serving's own hand, < 0 against it [turn/m]

    Returns
    -------
    ndarray
        Tension, not below zero (loose) [N]

    Notes
    -----
    ``CORE_RESISTANCE`` (0.5, an estimate without source) stands for the core's give.
    """
    rate = np.asarray(turns_per_length, dtype=float)
    change = CORE_RESISTANCE * np.asarray(thread_stiffness, dtype=float) * rate * span.pitch
    return np.maximum(np.asarray(tension) + change, 0.0)


def torsion_stiffness(span: ServedSpan, thread_stiffness: ArrayLike) -> FloatArray:
    """Torsional stiffness that a gripping serving adds to the core.

    .. math:: k = E_t A_t\\,b\\,r/(2\\pi)

    Parameters
    ----------
    span : ServedSpan
        The serving.
    thread_stiffness : array_like
        Axial stiffness EA of the thread [N]

    Returns
    -------
    ndarray
        Torque per twist rate in radians per length [N m^2]

    Notes
    -----
    From the thread's strain energy when it follows the core: strain :math:`\\tau b/2\\pi`,
    thread per length :math:`2\\pi r/b`.
    """
    return np.asarray(thread_stiffness) * span.pitch * span.radius / (2.0 * np.pi)


def tail_length_to_hold(
    span: ServedSpan,
    pull: ArrayLike,
    tail_width: ArrayLike,
    friction_inside: ArrayLike,
    friction_thread: ArrayLike,
) -> FloatArray:
    """Length of a tail under a serving that holds a pull by friction on both its faces.

    .. math:: \\ell = F / ((\\mu_1 + \\mu_2)\\,p\\,w)

    Parameters
    ----------
    span : ServedSpan
        The serving over the tail.
    pull : array_like
        Tension in the strand whose tail it is [N]
    tail_width : array_like
        Width of the tail as it lies [m]
    friction_inside : array_like
        Friction strand on strand [-]
    friction_thread : array_like
        Friction strand on thread [-]

    Returns
    -------
    ndarray
        Length that just holds, before any margin [m]

    Notes
    -----
    Pressure of the wraps taken as carried by the tail over its whole width; the capstan effect
    of a twisted core, which would add hold, is left out.
    """
    inside, outside, width, held = (
        np.asarray(v, dtype=float)
        for v in (friction_inside, friction_thread, tail_width, pull)
    )
    return held / ((inside + outside) * span.pressure * width)
