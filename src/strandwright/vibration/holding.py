r"""Holding: how far friction holds a loop on its pin when the line swings, and a skein on posts.

What :mod:`strandwright.vibration.ends` says of an end is for small swings. Here is how small: up
to which slope of the line a loop stays where it lies, and how far the line works loose from the
pin along its axis.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.vibration.ends import LoopOnPin

Floats = NDArray[np.float64]


def sliding_slope(
    loop: LoopOnPin, tension: ArrayLike, friction: ArrayLike, wrap_angle: ArrayLike
) -> Floats:
    r"""Largest slope of a line at the throat, sideways, at which its loop stays on the pin.

    Parameters
    ----------
    loop : LoopOnPin
        The loop; its post is taken as firm.
    tension : array_like, () or (batch,)
        Of the line, > 0 [N]
    friction : array_like, () or (batch,)
        Of the loop on the pin, >= 0 [-]
    wrap_angle : array_like, () or (batch,)
        Over which the loop touches the pin, > 0 [rad]

    Returns
    -------
    ndarray, shape () or (batch,)
        Slope at the throat; infinite where the legs are parallel [-]

    Notes
    -----
    One leg holds S + D and the other S - D; rope friction allows a ratio of
    :math:`e^{\mu\varphi}`, so D/S up to :math:`\tanh(\mu\varphi/2)`, and D follows from the
    throat's movement. A mode of swing a and length L has a slope of about pi a/L at its ends.
    """
    pull, angle = np.asarray(tension, np.float64), np.asarray(loop.half_angle, np.float64)
    stretch = np.asarray(loop.leg_stretch_stiffness, np.float64)
    most = np.tanh(0.5 * np.asarray(friction, np.float64) * np.asarray(wrap_angle, np.float64))
    sine, cosine = np.sin(angle), np.cos(angle)
    by_slope = 2.0 * stretch * sine * cosine / (2.0 * stretch * sine**2 + pull * cosine)
    with np.errstate(divide="ignore"):
        return np.asarray(most / by_slope)


def loosened_length(slope: ArrayLike, pin_radius: ArrayLike, friction: ArrayLike) -> Floats:
    """Length by which a leg works loose from the pin as it swings along the pin's axis.

    Parameters
    ----------
    slope : array_like, () or (batch,)
        Of the leg along the pin's axis, at the largest of a swing [-]
    pin_radius : array_like, () or (batch,)
        To the middle of the leg on the pin, > 0 [m]
    friction : array_like, () or (batch,)
        Of the leg on the pin, > 0 [-]

    Returns
    -------
    ndarray, shape () or (batch,)
        By which the line is longer at the height of the swing [m]

    Notes
    -----
    The leg presses on the pin with S/R for each length and can turn aside by friction/R for each
    length: a slope is taken up over slope R/friction. It goes with the swing, so it is
    gone at small swings, as the stretch of the line is.
    """
    steep = np.abs(np.asarray(slope, np.float64))
    return np.asarray(steep * np.asarray(pin_radius, np.float64) / np.asarray(friction, np.float64))


@dataclass(frozen=True)
class SkeinBundle:
    """One of the two bundles of a skein wound round two posts, as a line of its own.

    Attributes
    ----------
    length : ndarray, shape () or (batch,)
        Between the places where it touches the posts [m].
    share : float
        Of the skein's load and of its strands that the bundle has [-].
    together_spring : ndarray, shape () or (batch,)
        Stiffness across, at a post, against the bundle when both swing sideways the same way
        [N/m].
    opposed_spring : float
        The same when they swing against each other: their forces cancel, and the end is fixed
        [N/m].
    """

    length: Floats
    share: float
    together_spring: Floats
    opposed_spring: float


def skein_bundle(
    between_posts: ArrayLike,
    start_radius: ArrayLike,
    end_radius: ArrayLike,
    post_sideways: ArrayLike = np.inf,
) -> SkeinBundle:
    """Give one bundle of an endless skein round two round posts.

    Parameters
    ----------
    between_posts : array_like, () or (batch,)
        From the middle of a post to that of the other, > 0 [m]
    start_radius, end_radius : array_like, () or (batch,)
        From a post's middle to that of the bundle on it, > 0 [m]
    post_sideways : array_like, () or (batch,)
        Force across that bends a post by a length, > 0 [N/m]

    Returns
    -------
    SkeinBundle
        The bundle. Two pitches are heard where posts give: the bundles together and opposed.

    Notes
    -----
    A bundle rolls on its posts sideways, so that to first order it turns about where it touches
    and is not clamped. Along the posts' axes friction holds it: clamped, if it resists bending.
    """
    apart = np.asarray(start_radius, np.float64) - np.asarray(end_radius, np.float64)
    reach = np.sqrt(np.asarray(between_posts, np.float64) ** 2 - apart**2)
    post = np.asarray(post_sideways, np.float64)
    return SkeinBundle(np.asarray(reach), 0.5, np.asarray(0.5 * post), np.inf)
