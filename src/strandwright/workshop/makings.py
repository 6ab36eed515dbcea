"""How a line is made other than as one skein with a loop at each end: split, or laid in."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from strandwright.workshop.fields import Force, Length, Noun, Ratio, TurnRate


class YokeStrap(Noun):
    """A short line with a loop at each end that hangs by its middle in the eye of a cable."""

    strands: int | None = Field(
        default=None, ge=2, le=200, strict=True,
        description="half of the cable's where left out, for each side carries half the load",
    )  # fmt: skip
    loop: Length | None = Field(
        default=None, description="size of its loops; as the cable's far loop where left out"
    )
    thread: str | None = Field(
        default=None, description="thread of its loops; as the cable's far loop where left out"
    )
    friction: Ratio | None = Field(
        default=None, description="coefficient of the strap in the eye"
    )


class SplitYoke(Noun):
    """The far end of a cable as two legs, each of half its strands, or as a strap in its eye.

    A serving with the use ``throat`` ties the place where legs of half the strands part.
    """

    made: Literal["halves", "strap"] = Field(
        default="halves",
        description="each leg of half the strands, or both of a strap that hangs in the far loop",
    )
    leg: Length = Field(
        description="where the legs part to the outside of a leg's pin; of a strap from its middle"
    )
    turns: float | None = Field(
        default=None, ge=0, le=300, strict=True, description="turns in each leg when it is made"
    )
    twist: TurnRate | None = Field(default=None, description="the same over the leg's length")
    span: Length | None = Field(
        default=None, description="between the middles of the two leg loops on the axle"
    )
    strap: YokeStrap | None = Field(default=None, description="of a yoke made with a strap")


class BuildLegs(Noun):
    """Both legs of a yoke, read under load before its throat is served."""

    left: Length = Field(
        description="outside to outside: over the whole cable hung one by one, of the leg from "
        "the throat hung together"
    )
    right: Length
    load: Force | None = Field(default=None, description="load on the gauge, if not the step's")
    heard: bool = Field(
        default=False, strict=True, description="the load was told by the pluck of the line"
    )
    hung: Literal["one by one", "together"] = Field(
        default="one by one", description="each leg by itself, or both on two pins"
    )
    span: Length | None = Field(
        default=None, description="between the middles of the two pins, hung together"
    )
    overall: Length | None = Field(
        default=None, description="outside to outside along the pull, hung together"
    )
    left_turns: float | None = Field(
        default=None, ge=0, le=300, strict=True, description="turns in it, if not as planned"
    )
    right_turns: float | None = Field(default=None, ge=0, le=300, strict=True)


class LaidIn(Noun):
    """A line of bundles laid about each other, its loops laid in at the ends."""

    bundles: Literal[2, 3] = 2
    married: Length | None = Field(
        default=None, description="how far each tail is laid in with the standing bundles"
    )
    board: Literal["stepped", "two nails"] = Field(
        default="stepped",
        description="strands cut on a stepped board, or all alike between two nails and shifted",
    )
    step: Length | None = Field(
        default=None, description="step by which one strand ends before the next in a tail"
    )
    angle: float | None = Field(
        default=None, gt=0, le=40, strict=True,
        description="angle of the bundles to the line's axis in loop and married part, degrees",
    )  # fmt: skip
