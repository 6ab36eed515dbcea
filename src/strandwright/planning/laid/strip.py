"""A laid-in line on its strip: where its strands lie, and how turns and thickness run along it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from strandwright.drawing.picture import EyePicture, StrandPicture
from strandwright.planning.result import Plan
from strandwright.planning.result.laid import CutBundle, LaidIn
from strandwright.planning.winding.colours import lay_colours

#: Shorter stretches are none [m]
_SHORTEST = 1e-5


def laid_strands(laid: LaidIn) -> tuple[StrandPicture, ...]:
    """Lay the strands of every bundle side by side, each bundle round.

    Parameters
    ----------
    laid : LaidIn
        The line.

    Returns
    -------
    tuple of StrandPicture
        Bundle by bundle, about the axis of the line.
    """
    packed = [_packed(bundle) for bundle in laid.cut.bundles]
    radius = max(_radius(strands) for strands in packed)
    count = len(packed)
    out = radius if count == 2 else 2.0 / math.sqrt(3.0) * radius
    placed: list[StrandPicture] = []
    for number, strands in enumerate(packed):
        turn = 2.0 * math.pi * number / count
        x, y = out * math.sin(turn), out * math.cos(turn)
        placed += [replace(one, x=one.x + x, y=one.y + y) for one in strands]
    return tuple(placed)


def _packed(bundle: CutBundle) -> tuple[StrandPicture, ...]:
    colours = tuple((one.name, one.colour, one.strands) for one in bundle.shares)
    return lay_colours(colours, "free")


def _radius(strands: tuple[StrandPicture, ...]) -> float:
    """Radius of a bundle, in the unit of its strands' places."""
    places = np.array([(one.x, one.y) for one in strands])
    if len(places) == 1:
        return 1.0
    gaps = np.hypot(*(places[:, None] - places).transpose(2, 0, 1))
    np.fill_diagonal(gaps, np.inf)
    return float(np.hypot(*places.T).max() + 0.5 * gaps.min())


@dataclass(frozen=True)
class LaidTwist:
    """Turns and thickness along a laid-in line, from throat to throat.

    Attributes
    ----------
    plan : Plan
        The plan.
    laid : LaidIn
        How it is laid in.
    first, last : float
        The throats, from the zero end [m]
    """

    plan: Plan
    laid: LaidIn
    first: float
    last: float

    @property
    def breaks(self) -> tuple[float, ...]:
        """Where the married parts end [m]."""
        zero, far = self.laid.ends
        return (self.first + zero.married, self.last - far.married)

    def turns(self, at: float) -> float:
        """Turns of lay between the zero throat and there, those by hand and those of the line.

        Parameters
        ----------
        at : float
            From the zero end [m]

        Returns
        -------
        float
            Turns [turn]
        """
        start, stop = self.breaks
        married = min(at, start) - self.first + max(at - stop, 0.0)
        share = (at - self.first) / (self.last - self.first)
        return self.plan.twist.turns * share + self.laid.married.lay * married

    def bare(self, stop: float) -> float:
        """Diameter of the stretch that stops there.

        Parameters
        ----------
        stop : float
            From the zero end [m]

        Returns
        -------
        float
            Diameter [m]
        """
        start, end = self.breaks
        inside = start + _SHORTEST < stop <= end + _SHORTEST
        return self.laid.body_diameter if inside else self.laid.married.diameter.value


def laid_eye(plan: Plan, laid: LaidIn, *, is_far: bool) -> EyePicture:
    """Give the laid loop at one end.

    Parameters
    ----------
    plan : Plan
        The plan.
    laid : LaidIn
        How it is laid in.
    is_far : bool
        Which end.

    Returns
    -------
    EyePicture
        All bundles lead round it.
    """
    most = [max(b.shares, key=lambda one: one.strands).colour for b in laid.cut.bundles]
    return EyePicture(
        plan.throats[1 if is_far else 0],
        plan.target.pin_diameter,
        laid.loop.diameter.value,
        most[0],
        served=False,
        laid=tuple(most),
    )
