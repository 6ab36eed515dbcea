"""The parts of a yoke cable as the physics sees them: legs, strap, body, throat serving.

Everything here is plain numbers in SI, as drawn at the measuring load. Along the body, places
run from the outside of the body's pin; a leg runs from the throat to the outside of its own pin::

    body's pin                          throat        leg 1      pin of leg 1  (x > 0)
       (o)===[loop]=========[serving]====<  ------------------------(o)   ^
                                           ------------------------(o)   | span
                                                      leg 2      pin of leg 2  (x < 0)
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from strandwright.errors import SpecError
from strandwright.line.layout import throat_distance
from strandwright.line.parts import Hand, Loop, ServingThread, in_both_units


@dataclass(frozen=True)
class Leg:
    """One leg: from the throat to its pin, served as a loop of its own and twisted by itself.

    Attributes
    ----------
    name : str
        Which leg: left, right.
    length : float
        Throat to the outside of its pin, along the leg [m]
    loop : Loop
        The loop on the axle's end.
    strand_count : int
        Strands in the leg [-]
    turns : float
        Turns throat to throat, >= 0 [turn]
    hand : Hand
        Hand of the twist.
    """

    name: str
    length: float
    loop: Loop
    strand_count: int
    turns: float
    hand: Hand


@dataclass(frozen=True)
class Strap:
    """A short line with two loops that hangs by its middle in the eye of a body.

    Attributes
    ----------
    length : float
        Outside to outside of the pins, pulled straight at half the measuring load [m]
    first, second : Loop
        The loops on the axle's two ends.
    strand_count : int
        Strands in the strap; one side carries about half the load on all of them [-]
    turns : float
        Turns throat to throat, >= 0; they run on through the eye [turn]
    hand : Hand
        Hand of the twist.
    friction : float
        Coefficient of the strap in the eye, >= 0 [-]
    """

    length: float
    first: Loop
    second: Loop
    strand_count: int
    turns: float
    hand: Hand
    friction: float


@dataclass(frozen=True)
class Body:
    """The single part of the cable, from its own pin to the throat.

    Attributes
    ----------
    length : float
        Outside of its pin to the throat; on a strap, to the middle of the strap in the eye [m]
    loop : Loop
        The loop on the cam's post.
    strand_count : int
        Strands in the body [-]
    turns : float
        Turns between its two ends, >= 0 [turn]
    hand : Hand
        Hand of the twist.
    """

    length: float
    loop: Loop
    strand_count: int
    turns: float
    hand: Hand


@dataclass(frozen=True)
class ThroatServing:
    """The serving that ties the throat: it stops where the legs part.

    Attributes
    ----------
    start, stop : float
        Edges on the body, from the outside of its pin; the throat is at the stop [m]
    thread : ServingThread
        The thread.
    hand : Hand
        Hand in which the thread is wound.
    """

    start: float
    stop: float
    thread: ServingThread
    hand: Hand

    @property
    def length(self) -> float:
        """Served length [m]."""
        return self.stop - self.start


@dataclass(frozen=True)
class Frame:
    """Where the pins of a yoke cable stand: on a jig, or on a bow at rest.

    Attributes
    ----------
    span : float
        Between the middles of the two loops on the leg pins, or on the axle, >= 0 [m]
    leg_pin : float
        Diameter of the leg pins or of the axle [m]
    body_pin : float
        Diameter of the body's pin or post [m]
    aside : float
        How far the body's pin stands off the middle of the span, towards leg 1 [m]
    """

    span: float
    leg_pin: float
    body_pin: float
    aside: float = 0.0


@dataclass(frozen=True)
class YokeCable:
    """A finished yoke cable of one skein: each leg is half its strands.

    Attributes
    ----------
    legs : tuple of Leg
        Leg 1 and leg 2.
    body : Body
        The body.
    throat : ThroatServing
        The serving at the throat.
    frame : Frame
        The pins at which the lengths are stated.
    measuring_load : float
        Load along the body's pull at which they are stated [N]
    """

    legs: tuple[Leg, Leg]
    body: Body
    throat: ThroatServing
    frame: Frame
    measuring_load: float

    def swapped(self) -> YokeCable:
        """Give the same cable seen from its other face: leg 1 is called leg 2."""
        frame = replace(self.frame, aside=-self.frame.aside)
        return replace(self, legs=(self.legs[1], self.legs[0]), frame=frame)


@dataclass(frozen=True)
class FloatingYoke:
    """A yoke whose legs are the two sides of a strap in a served eye of the body.

    Attributes
    ----------
    strap : Strap
        The strap.
    body : Body
        The body.
    eye : Loop
        The body's served eye that the strap hangs in.
    frame : Frame
        The pins at which the lengths are stated.
    measuring_load : float
        Load along the body's pull at which they are stated [N]
    """

    strap: Strap
    body: Body
    eye: Loop
    frame: Frame
    measuring_load: float


def check_yoke(cable: YokeCable) -> None:
    """Refuse a yoke cable of one skein whose parts contradict each other.

    Parameters
    ----------
    cable : YokeCable
        The cable.

    Raises
    ------
    SpecError
        For legs whose strands are not those of the body, legs that cannot span the pins, a
        throat serving that is empty, lies on the loop or does not stop at the throat, turns
        below none.
    """
    counts = [leg.strand_count for leg in cable.legs]
    if sum(counts) != cable.body.strand_count or min(counts) < 2:
        raise SpecError(
            "makeup.strands", counts, f"must add up to the body's {cable.body.strand_count}",
            "count again, or make it with a strap",
        )  # fmt: skip
    throat, given = cable.throat, in_both_units(cable.throat.start, cable.throat.stop)
    if throat.length <= 0.0:
        rule = "must let the throat start before it stops"
        raise SpecError("line.servings.start", given, rule, "swap its edges")
    if abs(throat.stop - cable.body.length) > 1e-6:
        rule = f"must let the throat stop where the body ends, {in_both_units(cable.body.length)}"
        remedy = "move the stop, or measure the body again"
        raise SpecError("line.servings.stop", given, rule, remedy)
    loop = throat_distance(cable.body.loop, cable.frame.body_pin)
    if not throat.start > loop:
        rule = f"must let the throat start past the body's loop, {in_both_units(loop)}"
        remedy = "move the start, or check the loop's size"
        raise SpecError("line.servings.start", given, rule, remedy)
    for part in (*cable.legs, cable.body):
        if part.turns < 0.0:
            remedy = "name the other hand"
            raise SpecError("line.yoke.turns", part.turns, "must be 0 or more", remedy)
    _refuse_short_legs(cable)


def _refuse_short_legs(cable: YokeCable) -> None:
    """Refuse legs that do not reach from pin to pin, or of which one cannot come taut."""
    radius = 0.5 * cable.frame.leg_pin
    reach = [leg.length - radius for leg in cable.legs]
    given = in_both_units(*(leg.length for leg in cable.legs))
    if sum(reach) <= cable.frame.span:
        rule = f"must reach over the span of {in_both_units(cable.frame.span)}"
        raise SpecError("line.yoke.leg", given, rule, "check span and lengths of the legs")
    if abs(reach[0] - reach[1]) > cable.frame.span + 1e-9:
        rule = "must differ by less than the span, or one of them hangs slack"
        raise SpecError("line.yoke.leg", given, rule, "read both legs again under load")
