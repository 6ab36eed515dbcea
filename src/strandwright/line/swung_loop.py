r"""The swung loop: where a loop's serving lies on an arm that is swung square.

The skein goes round the two posts of the arm: the short side between them, an arc on each post,
the long sides that run down the beam. The loop's middle lies where both ways to the middle of the
other loop are equally long; for posts of one size that is the middle of the short side. The
serving reaches half its length to either hand from there, as far as it goes round the corner::

          long side      | x |<- past the outside of the posts
        =================o----.
                              |  short side
                              + middle of the loop
                              |
        =================o----'
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


class Place(StrEnum):
    """Which part of the skein on an arm a spot lies on."""

    SHORT = "short side"
    POST = "post"
    LONG = "long side"


@dataclass(frozen=True)
class Spot:
    """A spot on the skein, to one hand of the loop's middle.

    Attributes
    ----------
    place : Place
        Which part of the skein it lies on.
    distance : float
        On the short side from the middle of the arm; on a post round it from where the short
        side ends; on a long side from the outside of the arm's posts, along the beam [m]
    """

    place: Place
    distance: float


@dataclass(frozen=True)
class Corner:
    """One post of a swung arm, from the middle of the short side to the long side.

    Attributes
    ----------
    straight : float
        From the middle of the loop along the short side to where the skein meets the post [m]
    from_middle : float
        From the middle of the loop to the middle of the short side, above zero where that lies
        towards this post [m]
    arc : float
        Along the centreline round the post [m]
    face : float
        From the middle of the post to the outside of the arm's posts, along the beam [m]
    """

    straight: float
    from_middle: float
    arc: float
    face: float

    def spot(self, reach: float) -> Spot:
        """Give the spot so far from the loop's middle along the skein.

        Parameters
        ----------
        reach : float
            From the loop's middle, >= 0 [m]

        Returns
        -------
        Spot
            Where it lies.
        """
        past = reach - self.straight
        if past <= 0.0:
            return Spot(Place.SHORT, reach - self.from_middle)
        if past <= self.arc:
            return Spot(Place.POST, past)
        return Spot(Place.LONG, past - self.arc + self.face)


@dataclass(frozen=True)
class ArmSide:
    """The short side of a skein on a swung arm, with the corner at either hand.

    Attributes
    ----------
    free : float
        Free skein between the two posts [m]
    outer, inner : Corner
        At the post that is the outer one in line, and at the other.
    """

    free: float
    outer: Corner
    inner: Corner


def arm_side(between: float, posts: tuple[float, float], offset: float) -> ArmSide:
    """Lay a skein round the two posts of a square arm.

    Parameters
    ----------
    between : float
        Between the middles of the two posts [m]
    posts : tuple of float
        Diameter of the outer and the inner post [m]
    offset : float
        Mean distance of the strands' centreline from the posts' surface [m]

    Returns
    -------
    ArmSide
        The short side and its corners.

    Notes
    -----
    The long sides are taken to run along the beam. Between outer posts of unequal size they lean
    by the difference of the radii over the distance, some thousandths, and an arc is longer or
    shorter by that share of a post's radius.
    """
    outer, inner = (0.5 * post + offset for post in posts)
    lean = math.asin((outer - inner) / between)
    free = between * math.cos(lean)
    arcs = outer * (0.5 * math.pi + lean), inner * (0.5 * math.pi - lean)
    # Both ways round to the other loop's middle are equally long.
    to_outer = 0.5 * (free + arcs[1] - arcs[0])
    face = 0.5 * max(posts)
    off = to_outer - 0.5 * free
    return ArmSide(
        free,
        Corner(to_outer, off, arcs[0], face),
        Corner(free - to_outer, -off, arcs[1], face),
    )


def least_between(served: float, beyond: float, room: float) -> float:
    """Least free short side on which a loop can be served.

    What lies on a post cannot be wrapped. The skein is slid along to serve one half and then the
    other; each half must then lie free between the posts, with room for the tool.

    Parameters
    ----------
    served : float
        Served between the marks [m]
    beyond : float
        Served past each mark [m]
    room : float
        Room for the tool at each post [m]

    Returns
    -------
    float
        Free skein between the posts [m]
    """
    return 0.5 * served + beyond + 2.0 * room


def throat_from_outside(served: float, post: float, offset: float) -> float:
    """Where the two ends of a loop's serving lie level, the arms back in line.

    Parameters
    ----------
    served : float
        Served between the marks, at that load [m]
    post : float
        Diameter of the outer post [m]
    offset : float
        Mean distance of the strands' centreline from the post's surface [m]

    Returns
    -------
    float
        From the outside of the outer post, along the beam; below half the post where the ends
        still lie on the post [m]
    """
    return 0.5 * post + 0.5 * served - 0.5 * math.pi * (0.5 * post + offset)


def uneven_share(off: ArrayLike, body: ArrayLike, strain: ArrayLike) -> Floats:
    """How unevenly the two sides of a skein carry when a loop is served off its middle.

    Served off by e, the loop still closes level; between the loops one side is then longer by e
    and the other shorter by e than their mean, 2 e apart.

    Parameters
    ----------
    off : array_like
        Off the middle, along the skein, >= 0 [m]
    body : array_like
        Between the two throats [m]
    strain : array_like
        Mean strain at the load, > 0 [-]

    Returns
    -------
    ndarray
        Load of the tighter side over the mean, less one, before any twist; 1 and more where the
        other side is slack [-]

    Notes
    -----
    For strands of one stiffness. Twist lays both sides round each other and shares some of it
    out: before the twist is the safe side.
    """
    return np.asarray(off, dtype=float) / (np.asarray(body) * np.asarray(strain))


def off_allowed(share: ArrayLike, body: ArrayLike, strain: ArrayLike) -> Floats:
    """How far off its middle a loop may be served: the inverse of the above.

    Parameters
    ----------
    share : array_like
        Load of the tighter side over the mean, less one [-]
    body : array_like
        Between the two throats [m]
    strain : array_like
        Mean strain at the load, > 0 [-]

    Returns
    -------
    ndarray
        Off the middle, along the skein [m]
    """
    return np.asarray(share, dtype=float) * np.asarray(body) * np.asarray(strain)
