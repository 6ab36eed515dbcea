"""The Y as drawn: where its throat lies, how long it is, and what statics says it pulls."""

from __future__ import annotations

import numpy as np

from strandwright.errors import SpecError
from strandwright.fibre.strand_law import FloatArray
from strandwright.line.parts import in_both_units
from strandwright.line.yoke.parts import Frame, YokeCable


def drawn_throat(cable: YokeCable) -> tuple[float, float]:
    """Place of the throat as drawn: the point both legs reach to.

    Parameters
    ----------
    cable : YokeCable
        The cable, checked.

    Returns
    -------
    tuple of float
        Across, from the middle of the span towards leg 1, and along, from the axle's line [m]
    """
    radius, span = 0.5 * cable.frame.leg_pin, cable.frame.span
    first, second = (leg.length - radius for leg in cable.legs)
    across = (second - first) * (second + first) / (2.0 * span) if span > 0.0 else 0.0
    square = 0.5 * (first * first + second * second) - across * across - 0.25 * span * span
    return across, max(square, 0.0) ** 0.5


def drawn_overall(cable: YokeCable) -> float:
    """Overall length as drawn: outside to outside of axle and body's pin, along the pull.

    Parameters
    ----------
    cable : YokeCable
        The cable, checked.

    Returns
    -------
    float
        Overall length [m]
    """
    across, along = drawn_throat(cable)
    frame = cable.frame
    body = cable.body.length - 0.5 * frame.body_pin
    aside = frame.aside - across
    straight = max(body * body - aside * aside, 0.0) ** 0.5
    return along + straight + 0.5 * (frame.leg_pin + frame.body_pin)


def leg_length_for(overall: float, body_length: float, frame: Frame) -> float:
    """Length of two equal legs that bring a body to an overall length.

    Parameters
    ----------
    overall : float
        Wanted, outside to outside of axle and body's pin, along the pull [m]
    body_length : float
        Outside of the body's pin to the throat [m]
    frame : Frame
        The pins, the body's in the middle.

    Returns
    -------
    float
        Throat to the outside of the leg's pin [m]

    Raises
    ------
    SpecError
        If the body is as long as the cable, or its pin stands aside.
    """
    if frame.aside != 0.0:
        rule = "must be 0 for equal legs"
        raise SpecError("yoke.frame aside", frame.aside, rule, "stand the pin in the middle")
    run = overall - body_length - 0.5 * frame.leg_pin
    if run <= 0.0:
        rule = f"must leave a body shorter than the cable of {in_both_units(overall)}"
        raise SpecError("line.yoke.leg", in_both_units(body_length), rule, "check the throat")
    return float((run * run + 0.25 * frame.span**2) ** 0.5) + 0.5 * frame.leg_pin


def drawn_pulls(cable: YokeCable) -> tuple[FloatArray, FloatArray]:
    """Pulls and distances of the members as drawn: statics of the drawn Y at its load.

    Parameters
    ----------
    cable : YokeCable
        The cable, checked.

    Returns
    -------
    tuple of ndarray
        Pulls [N] and centre-to-throat distances [m] of leg 1, leg 2, body; shape (3,)
    """
    frame = cable.frame
    far = drawn_overall(cable) - 0.5 * (frame.leg_pin + frame.body_pin)
    throat = np.array([drawn_throat(cable)])
    pulls, distances = pulls_at(throat, np.array([far]), cable.measuring_load, cable)
    return pulls[0], distances[0]


def pulls_at(
    throat: FloatArray, far: FloatArray, load: float | FloatArray, cable: YokeCable
) -> tuple[FloatArray, FloatArray]:
    """Pulls that keep a throat in its place under a load: statics alone.

    Parameters
    ----------
    throat : ndarray
        Across and along, shape (B, 2) [m]
    far : ndarray
        The body's pin, along, shape (B,) [m]
    load : float or ndarray
        Load along z [N]
    cable : YokeCable
        For its pins; lean is none.

    Returns
    -------
    tuple of ndarray
        Pulls [N] and centre-to-throat distances [m] of leg 1, leg 2, body; shape (B, 3)

    Notes
    -----
    Legs side by side on one pin share the load alike: statics does not tell them apart. A leg
    that would have to push is given as negative.
    """
    frame = cable.frame
    half = 0.5 * frame.span
    pins = np.zeros((len(far), 3, 2))
    pins[:, 0, 0], pins[:, 1, 0], pins[:, 2, 0] = half, -half, frame.aside
    pins[:, 2, 1] = far
    away = pins - throat[:, None]
    distances = np.sqrt((away * away).sum(axis=2))
    toward = away / distances[..., None]
    body = np.asarray(load) / toward[:, 2, 1]
    against = -body[:, None] * toward[:, 2]
    legs = np.linalg.pinv(np.swapaxes(toward[:, :2], 1, 2), rcond=1e-9) @ against[..., None]
    return np.column_stack([legs[..., 0], body]), distances
