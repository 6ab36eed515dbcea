"""The nouns of a bow's riser: cable guard, string stop, limb bolts."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from strandwright.workshop.fields import Length, Noun, Offset, TurnRate


class CableGuard(Noun):
    """What holds a bow's cables aside from the arrow's path."""

    kind: Literal["slide", "rollers"] = "slide"
    aside: Offset = Field(description="to the archer's right; below zero to the left")
    height: Offset | None = Field(
        default=None, description="over the pivot of the grip; below zero under it"
    )
    behind: Length | None = Field(
        default=None, description="of rollers that push the cables: axle behind the grip's pivot"
    )
    diameter: Length | None = Field(default=None, description="of such rollers, in the groove")
    passed: Literal["before", "behind"] = Field(
        default="before", description="cables pass such rollers on the riser's side, or behind them"
    )


class StringStop(Noun):
    """A rubber on the riser that the string rests on at brace."""

    height: Offset = Field(description="of its middle over the pivot of the grip")
    face: Length | None = Field(default=None, description="its length along the string")


class LimbBolts(Noun):
    """The bolts that hold the limbs in their pockets; turns count from the bottom."""

    out: float | None = Field(
        default=None, ge=0, le=30, strict=True, description="turns both are out"
    )
    upper: float | None = Field(default=None, ge=0, le=30, strict=True)
    lower: float | None = Field(default=None, ge=0, le=30, strict=True)
    most: float | None = Field(
        default=None, ge=0, le=30, strict=True, description="turns out that the maker allows"
    )
    thread: TurnRate | None = Field(default=None, description="threads per length of the bolt")
    arm: Length | None = Field(
        default=None, description="bolt to where the limb rocks in its pocket"
    )
