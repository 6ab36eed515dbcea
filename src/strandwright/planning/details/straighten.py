"""Straighten: which half turns at which ends, or which strands, bring a peep straight."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product

from strandwright.planning.details.peep import PeepTurn
from strandwright.reference import practice

#: Half turns that are tried at each end, in and out, and by how many the line may change.
_MOST_HALVES, _MOST_CHANGED = 4, 2


@dataclass(frozen=True)
class Remedy:
    """What brings a peep straight at full draw.

    Attributes
    ----------
    zero_end, far_end : float
        Turns put in at each end; taken out where negative [turn]
    leaves : float
        What the peep is still off by then, in the sense of :class:`PeepTurn` [turn]
    longer : float
        Change of the line's length, negative when shorter [m]
    strands : int
        Strands of each group to take over to the other instead, those that lie beside the split
        [-]
    """

    zero_end: float
    far_end: float
    leaves: float
    longer: float
    strands: int

    @property
    def is_nothing(self) -> bool:
        """True where nothing has to be done."""
        return self.zero_end == 0.0 and self.far_end == 0.0


def off_straight(turns: float) -> float:
    """How far a peep is off, whole turns left out.

    Parameters
    ----------
    turns : float
        How far it has turned [turn]

    Returns
    -------
    float
        From -1/2 to 1/2 [turn]
    """
    return turns - round(turns)


def straight_within() -> float:
    """How near to straight a peep has to stand.

    Returns
    -------
    float
        Angle either way [turn]
    """
    return practice("peep.straight").value / (2.0 * math.pi)


def straighten(turns: float, turned: PeepTurn, strand_count: int, turn_effect: float) -> Remedy:
    """Find what brings a peep straight.

    Parameters
    ----------
    turns : float
        How far it is off, as reckoned or as seen, in the sense of :class:`PeepTurn` [turn]
    turned : PeepTurn
        What half a turn at each end does.
    strand_count : int
        Strands in the line [-]
    turn_effect : float
        Change of its length by one turn more [m]

    Returns
    -------
    Remedy
        Of those that bring it as near as it has to be, or else of the nearest, the one that takes
        the fewest half turns and then changes the length least. None takes more than a turn
        in or out of the line as a whole.

    Notes
    -----
    A loop goes back on its peg after half a turn or a whole one. Half a turn in at one end and
    half a turn out at the other leave the length as it was and turn the whole line, peep and all,
    by half a turn. The split between two groups of strands turns by one strand's share of a round
    for each strand that is taken over from either group to the other.
    """
    within, off = straight_within(), off_straight(turns)
    halves = range(-_MOST_HALVES, _MOST_HALVES + 1)
    zero, far = turned.by_zero_end.value, turned.by_far_end.value
    tried = [(a, b, off_straight(off + a * zero + b * far)) for a, b in product(halves, halves)]
    tried = [t for t in tried if abs(t[0] + t[1]) <= _MOST_CHANGED]
    near = [t for t in tried if abs(t[2]) <= within]
    least = min(abs(t[2]) for t in tried)
    # Whole degrees: what is nearer by less is not worth another half turn.
    good = near or [t for t in tried if abs(t[2]) <= least + 1.0 / 360.0]
    a, b, left = min(good, key=lambda t: (abs(t[0]) + abs(t[1]), abs(t[0] + t[1]), abs(t[2])))
    return Remedy(
        0.5 * a,
        0.5 * b,
        left,
        0.5 * (a + b) * turn_effect,
        round(strand_count * abs(off)) if abs(off) > within else 0,
    )


def sense_said(turns: float, hand: str, zero_end: str, far_end: str) -> str:
    """Say which way a peep turns.

    Parameters
    ----------
    turns : float
        How far, in the sense of the line's helix seen along it from its zero end [turn]
    hand : str
        S or Z.
    zero_end, far_end : str
        Names of the line's ends.

    Returns
    -------
    str
        Clockwise or not, seen from which end; and to which side of the archer its near face goes,
        where the names tell which end is the upper one.
    """
    clockwise = (turns > 0.0) == (hand == "Z")
    said = f"{'clockwise' if clockwise else 'anticlockwise'} seen along it from {zero_end}"
    lower = is_lower_end(zero_end, far_end)
    if lower is None:
        return said
    # From below, clockwise takes the face towards the archer to the archer's right.
    side = "right" if clockwise == lower else "left"
    return f"{said}: the face towards the archer goes to the {side}"


def is_lower_end(zero_end: str, far_end: str) -> bool | None:
    """Tell whether the zero end is the lower one.

    Parameters
    ----------
    zero_end, far_end : str
        Names of the line's ends.

    Returns
    -------
    bool or None
        None where the names do not tell.
    """
    for name, lower in ((zero_end.lower(), True), (far_end.lower(), False)):
        if any(word in name for word in ("lower", "bottom", "below")):
            return lower
        if any(word in name for word in ("upper", "top", "above")):
            return not lower
    return None
