r"""The recurve and the longbow: limbs that bend all along, on a riser, and a string; no wheels.

The string runs from nock to nock. On a recurve it lies on the belly of the tips at brace and
lifts off as the bow is drawn; a tip is a rigid piece at the end of the limb, bent in an arc away
from the archer::

        archer (+x)
    ______________
    joint          \        string from the nock over the belly,
     \ limb         ) arc   then free to the other tip
      \            nock

From a string length to the brace: the limbs are bent by forces at their tips until the string
just reaches, and from there the bow comes to rest by itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NoReturn

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.bow.cantilever import cantilever
from strandwright.bow.elastica import ElasticaLimb
from strandwright.bow.equilibrium import Stand, Trouble, stand
from strandwright.bow.parts import UPRIGHT, Bow, BowLine, Mount, Reach
from strandwright.bow.rig import Rig
from strandwright.bow.strung import Strung
from strandwright.errors import SpecError
from strandwright.geometry.taut import Contact
from strandwright.geometry.track import Track, circle, point

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
_ONE = np.array(1.0)
#: Forces tried at the tips, over EI/L^2: from a limb hardly bent to one bent double.
_FORCES = np.geomspace(1e-3, 30.0, 60)
#: Their direction, along the limb's root and across: square to it a limb bends to 90 degrees only.
_ALONG, _ACROSS = -0.5, 1.0
#: Most corrections of that force.
_CLOSER = 50
#: How much shorter a string a bow is brought to its brace by where it must, and in how many steps.
_SHORTER, _STEPS = 0.05, 10


@dataclass(frozen=True)
class RecurvedTip:
    """A rigid tip bent in an arc away from the archer, on whose belly the string can lie.

    Attributes
    ----------
    length : array_like, () or (batch,)
        From its joint with the limb to the nock, along its middle, > 0 [m].
    turn : array_like, () or (batch,)
        By how much it is bent, > 0, under half a turn [rad].
    thickness : array_like, () or (batch,)
        Belly to back, >= 0 [m].

    Raises
    ------
    SpecError
        If a number is out of its range.
    """

    length: ArrayLike
    turn: ArrayLike
    thickness: ArrayLike = 0.0

    def __post_init__(self) -> None:
        for name, value, most in (
            ("length", self.length, np.inf),
            ("turn", self.turn, np.pi),
        ):
            if not np.all((np.asarray(value) > 0.0) & (np.asarray(value) < most)):
                rule = "must be over 0" if name == "length" else "must be over 0 and under 180 deg"
                raise SpecError(f"tip.{name}", value, rule, "measure the tip, or leave it out")
        if not np.all(np.asarray(self.thickness) >= 0.0):
            raise SpecError("tip.thickness", self.thickness, "must not be negative", "measure it")

    def contact(self, body: int, half: float, *, upper: bool) -> Contact:
        """Give the string's end on this tip: fastened at the nock, lying on the belly.

        Parameters
        ----------
        body : int
            Index of the limb's tip among the bodies [-]
        half : float
            Half the string's thickness [m]
        upper : bool
            Whether this is the end of the string on the upper limb; if not, its start.

        Returns
        -------
        Contact
            A round track whose centre lies on the back's side of the joint.
        """
        turn = np.asarray(self.turn, dtype=np.float64)
        radius = np.asarray(self.length) / turn
        belly: Track = circle(radius + 0.5 * np.asarray(self.thickness) + half, 0.0, -radius)
        peg = np.asarray(0.5 * np.pi - turn)
        near = float(np.mean(peg))
        if upper:
            return Contact(body, belly.mirrored(), 1, peg=-peg, near=-near)
        return Contact(body, belly, 1, peg=peg, near=near)


@dataclass(frozen=True)
class BentBow:
    """A recurve or longbow, unstrung.

    Attributes
    ----------
    upper, lower : ElasticaLimb
        Its limbs, from the end of the riser to the tip, or to the joint of a recurved tip.
    riser : array_like, () or (batch,)
        Between the roots of the limbs, >= 0 [m].
    above : float
        How far the middle of the riser lies over the pivot of the grip [m].
    set_forward : array_like, () or (batch,)
        How far the roots lie before the pivot, towards the target [m].
    lean : array_like, () or (batch,)
        Heading of the roots from upright, positive towards the archer [rad].
    tip : RecurvedTip or None
        What is at the end of each limb; None for a nock at the limb's own tip.
    string_stiffness : float
        EA of the string, > 0 [N].
    string_thickness : float
        Diameter of the string where it lies on the tips, >= 0 [m].
    nock_height : float
        Nocking point over the pivot, at brace [m].
    sides : (str, str)
        What the limb at +y and the other are called.
    """

    upper: ElasticaLimb
    lower: ElasticaLimb
    riser: ArrayLike = 0.0
    above: float = 0.0
    set_forward: ArrayLike = 0.0
    lean: ArrayLike = 0.0
    tip: RecurvedTip | None = None
    string_stiffness: float = 2e5
    string_thickness: float = 0.0
    nock_height: float = 0.0
    sides: tuple[str, str] = UPRIGHT

    def bow(self, lower: ArrayLike = _ONE, upper: ArrayLike = _ONE) -> Bow:
        """Give its parts, for a string of given length.

        Parameters
        ----------
        lower, upper : array_like, () or (batch,)
            Natural length of the string from the lower nock to the nocking point, and from there
            to the upper nock [m]

        Returns
        -------
        Bow
            With one line, the string, of two reaches.
        """
        mounts = tuple(
            Mount(
                f"{side} limb",
                limb,
                -np.asarray(self.set_forward, dtype=np.float64),
                self.above + up * 0.5 * np.asarray(self.riser, dtype=np.float64),
                up * (0.5 * np.pi - np.asarray(self.lean, dtype=np.float64)),
                mirrored=up > 0,
            )
            for side, limb, up in zip(
                self.sides, (self.upper, self.lower), (1.0, -1.0), strict=True
            )
        )
        nock, stiffness = Contact(3, point(0.0, 0.0)), np.array(self.string_stiffness)
        parts = (self._end(upper=False), nock), (nock, self._end(upper=True))
        lengths = (np.asarray(lower, dtype=np.float64), np.asarray(upper, dtype=np.float64))
        reaches = tuple(Reach(p, n, stiffness) for p, n in zip(parts, lengths, strict=True))
        return Bow(mounts, (), (BowLine("string", reaches),))

    def _end(self, *, upper: bool) -> Contact:
        body = 1 if upper else 2
        if self.tip is None:
            return Contact(body, point(0.0, 0.0))
        return self.tip.contact(body, 0.5 * self.string_thickness, upper=upper)


def string_up(unstrung: BentBow, string_length: ArrayLike) -> Strung:
    """String a bow: find how it stands at its brace.

    Parameters
    ----------
    unstrung : BentBow
        The bow.
    string_length : array_like, () or (batch,)
        The string from nock to nock without load, one or several to compare [m]

    Returns
    -------
    Strung
        The bow at brace, a row for each string.

    Raises
    ------
    SpecError
        If a string is as long as the unstrung bow, so short that the bow would fold, or the bow
        does not stand on it.
    """
    wanted = np.atleast_1d(np.asarray(string_length, dtype=np.float64))
    found, good = _braced(unstrung, wanted, *_just_reached(unstrung, wanted))
    q, ways = found.q, found.potential.spans.direction
    if not np.all(good):
        q[~good], ways[~good] = _by_shorter(unstrung, wanted[~good])
    return _nocked(unstrung, wanted, q, ways)


def _braced(
    unstrung: BentBow, length: Floats, start: Floats, directions: Floats
) -> tuple[Stand, Flags]:
    """Let the bow stand, and tell where it does with its limbs bent the right way."""
    # The nocking point is put in its place afterwards: a straight string pulls evenly.
    rig = Rig(unstrung.bow(0.5 * length, 0.5 * length))
    found = stand(rig, start, directions, hold_draw=False)
    good = np.array(found.ok)
    for limb, cut in zip((unstrung.upper, unstrung.lower), rig.limbs, strict=True):
        unbent = limb.tip(np.zeros((1, limb.freedoms))).position[0, 1]
        good &= limb.tip(found.value.q[:, cut]).position[:, 1] > unbent
    return found.value, good


def _by_shorter(unstrung: BentBow, wanted: Floats) -> tuple[Floats, Floats]:
    """Come by a shorter string, on which the limbs are held further over."""
    shorter = (1.0 - _SHORTER) * wanted
    found, fine = _braced(unstrung, shorter, *_just_reached(unstrung, shorter))
    for share in np.linspace(0.0, 1.0, _STEPS + 1)[1:]:
        length = shorter + share * (wanted - shorter)
        found, fine = _braced(unstrung, length, found.q, found.potential.spans.direction)
    if not np.all(fine):
        _refuse(found, fine, wanted)
    return found.q, found.potential.spans.direction


def _refuse(found: Stand, fine: Flags, wanted: Floats) -> NoReturn:
    first = int(np.argmin(fine))
    met = found.trouble[first]
    remedy = "check how the limbs are bent when unstrung" if met is Trouble.NONE else met.value
    rule = "must be a length the bow stands on"
    raise SpecError("string.length", f"{wanted[first]:.4g} m", rule, remedy)


def _just_reached(unstrung: BentBow, wanted: Floats) -> tuple[Floats, Floats]:
    """States in which limbs pushed at their tips let the string reach, about as tight as strung."""
    rig = Rig(unstrung.bow())
    tight = 2.0 * np.max(_scale(unstrung.lower)) / unstrung.string_stiffness
    target = wanted * (1.0 + tight)
    forces = np.concatenate([[0.0], _FORCES])
    reach = _pushed(unstrung, rig, forces)[2]
    if np.any(target >= reach[0]):
        rule = f"must be shorter than the unstrung bow, {reach[0]:.4g} m from nock to nock"
        raise SpecError("string.length", f"{wanted.max():.4g} m", rule, "measure bow and string")
    if np.any(target <= reach.min()):
        rule = "must leave the limbs a shape they can take"
        raise SpecError("string.length", f"{wanted.min():.4g} m", rule, "measure bow and string")
    after = np.argmax(reach <= target[:, None], axis=1)
    low, high = forces[after - 1], forces[after]
    over, under = reach[after - 1] - target, reach[after] - target
    q, ways = _pushed(unstrung, rig, 0.5 * (low + high))[:2]
    for _ in range(_CLOSER):
        force = low + (high - low) * over / (over - under)
        q, ways, reach = _pushed(unstrung, rig, force)
        off = reach - target
        if np.all(np.abs(off) <= 0.5 * tight * wanted):
            break
        longer = off > 0.0
        # The end that stays counts half, so that both close in.
        over, under = np.where(longer, off, 0.5 * over), np.where(longer, 0.5 * under, off)
        low, high = np.where(longer, force, low), np.where(longer, high, force)
    return q, ways


def _scale(limb: ElasticaLimb) -> Floats:
    return np.asarray(limb.root_stiffness) / np.asarray(limb.length) ** 2


def _pushed(unstrung: BentBow, rig: Rig, force: Floats) -> tuple[Floats, Floats, Floats]:
    """State, directions and length of the string for forces at the tips, over EI/L^2."""
    q = np.zeros((len(force), rig.freedoms))
    push = np.stack([_ALONG * force, _ACROSS * force], axis=-1)
    for limb, cut in zip((unstrung.upper, unstrung.lower), rig.limbs, strict=True):
        q[:, cut] = cantilever(limb, float(_scale(limb)) * push).value
    _straighten(rig, q)
    poses = rig.poses(q).at
    ways = rig.paths.guess(poses)
    return q, ways, rig.paths.spans(poses, ways).path_length.sum(axis=1)


def _straighten(rig: Rig, q: Floats) -> None:
    """Put the nocking point in the middle between the tips."""
    at = rig.poses(q).at
    middle = 0.5 * (at[:, 1, :2] + at[:, 2, :2])
    q[:, rig.draw] = np.hypot(middle[:, 0], middle[:, 1])
    q[:, rig.bearing] = np.arctan2(middle[:, 1], middle[:, 0])


def _nocked(unstrung: BentBow, wanted: Floats, q: Floats, directions: Floats) -> Strung:
    """Move the nocking point along the straight string to its height."""
    rig = Rig(unstrung.bow(0.5 * wanted, 0.5 * wanted))
    at = rig.potential(q, directions)
    tension = at.tension
    place = at.poses.at[:, rig.bow.nock, :2]
    way = at.spans.direction[:, 0]
    along = (unstrung.nock_height - place[:, 1]) / np.sin(way)
    place = place + along[:, None] * np.stack([np.cos(way), np.sin(way)], axis=-1)
    brace = np.array(q)
    brace[:, rig.draw] = np.hypot(place[:, 0], place[:, 1])
    brace[:, rig.bearing] = np.arctan2(place[:, 1], place[:, 0])
    moved = rig.paths.spans(rig.poses(brace).at, at.spans.direction)
    natural = moved.path_length / (1.0 + tension / rig.stiffness)
    bow = unstrung.bow(natural[:, 0], natural[:, 1])
    return Strung(bow, Rig(bow), brace, moved.direction, tension)
