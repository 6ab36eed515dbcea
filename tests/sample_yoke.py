"""A yoke cable for tests: invented, in inches and pounds."""

from __future__ import annotations

from dataclasses import replace

from sample_line import BLEND, INCH, LBF, THREAD
from strandwright.line.parts import Hand, Loop
from strandwright.line.yoke.model import YokeModel
from strandwright.line.yoke.parts import Body, Frame, Leg, ThroatServing, YokeCable

LOOP = Loop.from_size("leg", 0.9 * INCH, 0.075 * INCH, 0.0, THREAD)
CAM = Loop.from_size("cam", 1.0 * INCH, 0.1 * INCH, 0.0, THREAD)
#: Legs of 6 in over a span of 2.5 in; a body of 32 in
FRAME = Frame(2.5 * INCH, 0.25 * INCH, 0.25 * INCH)
BODY = Body(32 * INCH, CAM, 24, 18.0, Hand.Z)
THROAT = ThroatServing(30.5 * INCH, 32 * INCH, THREAD, Hand.S)


def leg(name: str = "left", length: float = 6 * INCH, turns: float = 6.0) -> Leg:
    """A leg of half the strands."""
    return Leg(name, length, LOOP, 12, turns, Hand.Z)


def cable(first: Leg | None = None, second: Leg | None = None, **changes: object) -> YokeCable:
    """The cable, some of it changed."""
    legs = (first or leg(), second or leg("right"))
    made = YokeCable(legs, BODY, THROAT, FRAME, 100 * LBF)
    return replace(made, **changes)  # pyright: ignore[reportArgumentType]


def model(**changes: object) -> YokeModel:
    """The model of the cable."""
    return YokeModel(BLEND, cable(**changes))  # pyright: ignore[reportArgumentType]
