"""How a line is made other than as one skein with a loop at each end: split, or laid in."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from strandwright.workshop.fields import Length, Noun, TurnRate


class SplitYoke(Noun):
    """The far end of a cable as two legs, each of half its strands.

    A serving with the use ``throat`` ties the place where they part.
    """

    leg: Length = Field(description="where the legs part to the outside of a leg's pin")
    turns: float | None = Field(
        default=None, ge=0, le=300, strict=True, description="turns in each leg when it is made"
    )
    twist: TurnRate | None = Field(default=None, description="the same over the leg's length")
    span: Length | None = Field(
        default=None, description="between the middles of the two leg loops on the axle"
    )


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
