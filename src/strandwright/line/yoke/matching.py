"""Matching: the two legs of a yoke, read under load, and the turns that make them alike.

The bound of 1/32 in is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.unknowns import Unknowns
from strandwright.line.yoke.drawn import pulls_at
from strandwright.line.yoke.making import natural_for
from strandwright.line.yoke.member import Member
from strandwright.line.yoke.model import YokeModel
from strandwright.numerics.roots import newton_monotone
from strandwright.units import INCH

#: Legs of a yoke match within this, common practice, no source [m]
LEGS_MATCH = INCH / 32.0

#: Turns over natural length to which the twist's law is good [turn/m]
MOST_TWIST = 2.0 / INCH
_CLOSE = 1e-9

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class LegMatch:
    """How two legs compare, and what makes them equal.

    Attributes
    ----------
    difference : ndarray
        Shape (B,); leg 1 less leg 2 at an equal pull, positive where leg 1 is longer [m]
    matched : ndarray of bool
        Shape (B,); where the difference is within the bound.
    longer : ndarray
        Shape (B,); index of the longer leg, which takes turns: 0 leg 1, 1 leg 2 [-]
    turns : ndarray
        Shape (B,); turns into the longer leg that make it as short as the other [turn]
    exchanged : ndarray
        Shape (B,); turns into the longer and the same out of the shorter leg that do it and leave
        the overall length as it is but for their square; NaN where the shorter has too few [turn]
    """

    difference: FloatArray
    matched: Bools
    longer: FloatArray
    turns: FloatArray
    exchanged: FloatArray


def match_alone(
    model: YokeModel,
    q: Unknowns,
    readings: FloatArray,
    load: FloatArray,
    turns: FloatArray | None = None,
    bound: float = LEGS_MATCH,
) -> LegMatch:
    """Compare two legs of as many strands from lengths read with each hung by itself.

    Parameters
    ----------
    model : YokeModel
        The cable.
    q : mapping
        Unknowns, arrays of shape (B,).
    readings : ndarray
        Overall length to the pin of leg 1 and of leg 2, the other leg hanging free, shape
        (B, 2) [m]
    load : ndarray
        Load on the one leg, shape (B,) [N]
    turns : ndarray or None
        Turns in the legs as they were read, shape (B, 2); None takes those of the cable [turn]
    bound : float
        Difference within which legs match [m]

    Returns
    -------
    LegMatch
        The comparison, at that load.

    Notes
    -----
    Before the throat is served each leg draws mostly on its own half of the body; after it the
    body is common to both. Either way the body and its error drop out of the difference.
    """
    legs = _legs(model, q, turns)
    apart = readings[:, 0] - readings[:, 1]
    middle = 0.5 * (legs[0].length(load) + legs[1].length(load))
    spans = np.stack([middle + 0.5 * apart, middle - 0.5 * apart], axis=1)
    return _match(legs, spans, np.stack([load, load], axis=1), load, bound)


def match_together(
    model: YokeModel,
    q: Unknowns,
    legs_read: FloatArray,
    overall: FloatArray,
    load: FloatArray,
    turns: FloatArray | None = None,
    bound: float = LEGS_MATCH,
) -> LegMatch:
    """Compare two legs of as many strands from lengths read while they share the load.

    Parameters
    ----------
    model : YokeModel
        The cable, with the pins it hangs on.
    q : mapping
        Unknowns, arrays of shape (B,).
    legs_read : ndarray
        Throat to the outside of the pin of leg 1 and of leg 2, shape (B, 2) [m]
    overall : ndarray
        Outside to outside along the pull, shape (B,) [m]
    load : ndarray
        Load along the pull, shape (B,) [N]
    turns : ndarray or None
        Turns in the legs as they were read, shape (B, 2); None takes those of the cable [turn]
    bound : float
        Difference within which legs match [m]

    Returns
    -------
    LegMatch
        The comparison at half the load; NaN where a leg could not carry its part by pulling.

    Notes
    -----
    Both lengths and the span place the throat, and statics gives the pulls; the shorter leg pulls
    more and is stretched more, which hides a part of the difference. Legs on one pin, or nearly,
    do not tell their pulls apart by where the throat lies: hang them one by one.
    """
    frame = model.cable.frame
    reach = legs_read - 0.5 * frame.leg_pin
    total = reach[:, 0] + reach[:, 1]
    span = max(frame.span, 1e-12)
    across = (reach[:, 1] - reach[:, 0]) * total / (2.0 * span)
    square = 0.5 * (reach * reach).sum(axis=1) - across * across - 0.25 * frame.span**2
    along = np.sqrt(np.where(square > 0.0, square, np.nan))
    far = overall - 0.5 * (frame.leg_pin + frame.body_pin)
    throat = np.stack([across, np.nan_to_num(along, nan=1e-3)], axis=1)
    pulls, _ = pulls_at(throat, far, load, model.cable)
    pulls = np.where(np.isfinite(along)[:, None] & (pulls > 0.0), pulls, np.nan)
    return _match(_legs(model, q, turns), reach, pulls[:, :2], 0.5 * load, bound)


def _legs(model: YokeModel, q: Unknowns, turns: FloatArray | None) -> tuple[Member, Member]:
    """The legs as drawn, with the turns they were read with."""
    naturals = model.naturals(q)
    put = np.tile(model.turns, (len(naturals), 1))
    drawn = model.tripod(q, naturals).legs
    if turns is None:
        return drawn
    put[:, :2] = turns
    return model.tripod(q, naturals, put).legs


def _match(
    legs: tuple[Member, Member],
    spans: FloatArray,
    pulls: FloatArray,
    equal: FloatArray,
    bound: float,
) -> LegMatch:
    """Compare legs of known spans and pulls at an equal pull, and find the turns."""
    usable: Bools = np.logical_and.reduce(np.isfinite(pulls), axis=1)
    safe = np.where(usable[:, None], pulls, equal[:, None])
    read = [
        replace(leg, natural=natural_for(leg, spans[:, i], safe[:, i]))
        for i, leg in enumerate(legs)
    ]
    usable &= np.isfinite(read[0].natural) & np.isfinite(read[1].natural)
    read = [replace(leg, natural=np.where(usable, leg.natural, 1.0)) for leg in read]
    lengths = [leg.length(equal) for leg in read]
    apart = np.where(usable, lengths[0] - lengths[1], np.nan)
    longer = np.where(apart >= 0.0, 0.0, 1.0)
    first = longer == 0.0
    long_leg, short_leg = _sorted(read, first)
    turns = _turns_between(long_leg, short_leg, equal, moved=0.0)
    exchanged = _turns_between(long_leg, short_leg, equal, moved=1.0)
    nan = np.where(usable, 0.0, np.nan)
    return LegMatch(apart, np.abs(apart) <= bound, longer, turns + nan, exchanged + nan)


def _sorted(legs: list[Member], first: Bools) -> tuple[Member, Member]:
    """Give the longer and the shorter leg of each case; both are of as many strands."""

    def chosen(this: Member, other: Member) -> Member:
        eye, another = this.eyes[0], other.eyes[0]
        return replace(
            this,
            natural=np.where(first, this.natural, other.natural),
            turns=np.where(first, this.turns, other.turns),
            radius=np.where(first, this.radius, other.radius),
            eyes=(
                replace(
                    eye,
                    perimeter=np.where(first, eye.perimeter, another.perimeter),
                    thickness=np.where(first, eye.thickness, another.thickness),
                ),
            ),
        )

    return chosen(legs[0], legs[1]), chosen(legs[1], legs[0])


def _turns_between(longer: Member, shorter: Member, pull: FloatArray, moved: float) -> FloatArray:
    """Turns into the longer leg, and as many times ``moved`` out of the shorter, to be alike."""

    def lengths(more: FloatArray) -> FloatArray:
        down = replace(longer, turns=longer.turns + more).length(pull)
        up = replace(shorter, turns=shorter.turns - moved * more).length(pull)
        return up - down

    def miss(more: FloatArray) -> tuple[FloatArray, FloatArray]:
        here = lengths(more)
        step = 1e-4 * (1.0 + more)
        return here, (lengths(more + step) - here) / step

    most = room_for_turns(longer)
    if moved > 0.0:
        most = np.minimum(most, shorter.turns / moved)
    found = newton_monotone(miss, np.zeros_like(pull), 0.0, most, tol=_CLOSE)
    return np.where(found.ok, found.value, np.nan)


def room_for_turns(member: Member) -> FloatArray:
    """Turns that a member can still take before the law of twist no longer holds.

    Parameters
    ----------
    member : Member
        The member.

    Returns
    -------
    ndarray
        Turns more, >= 0, shape (B,) [turn]
    """
    return np.maximum(MOST_TWIST * member.natural - member.turns, 0.0)
