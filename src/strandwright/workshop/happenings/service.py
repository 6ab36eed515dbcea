"""Happenings of a line's service: what became of it on its bow, with the shots until then."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import Field, create_model

from strandwright.workshop.fields import Force, Length, Noun, Temperature

Body = dict[str, Any]

#: More shots than any line lives [-]
MOST_SHOTS = 1_000_000
Shots = Annotated[int, Field(ge=0, le=MOST_SHOTS, strict=True)]
Measure = Literal["brace height", "axle to axle"]
Wear = Literal[
    "nothing", "fuzzy strand", "loose serving", "separated serving", "cut strand", "peep turned"
]


class OnBow(Noun):
    """The line came onto its bow; shots and days count from here."""


class LengthOff(Noun):
    """The line was taken down and its length read over pins at a load."""

    length: Length
    load: Force | None = Field(default=None, description="if not the measuring load")
    zero_pin: Length | None = Field(default=None, description="if not the measuring pin")
    far_pin: Length | None = None
    temperature: Temperature | None = None


class FigureOn(Noun):
    """A figure of the bow that moves with the line's length was read, the line on it."""

    figure: Measure
    read: Length
    per_length: float | None = Field(
        default=None, ge=-20, le=20, strict=True, allow_inf_nan=False,
        description="change of the figure by lengthening the line, if not the bow model's",
    )  # fmt: skip


class TurnsChanged(Noun):
    """Turns were put in on the bow, or taken out where negative."""

    turns: float = Field(ge=-100, le=100, strict=True, allow_inf_nan=False)


class OffAndOn(Noun):
    """The line was off the bow and on again."""


class SetAsWanted(Noun):
    """The bow is as it is wanted: from here the line is held to the length it has now."""


class Waxed(Noun):
    """The bare string was waxed."""


class LookedOver(Noun):
    """The line was looked over."""

    seen: tuple[Wear, ...] = Field(max_length=6)
    where: str = Field(default="", max_length=200)


class DryFired(Noun):
    """The bow was shot without an arrow, or a line jumped off its wheel."""


class ReplaceBy(Noun):
    """When this shop replaces this line, whatever others say."""

    months: int | None = Field(default=None, ge=1, le=240, strict=True)
    shots: int | None = Field(default=None, ge=10, le=MOST_SHOTS, strict=True)


class Retired(Noun):
    """The line is off for good."""

    why: str = Field(default="", max_length=400)


class TakenBack(Noun):
    """An earlier entry was a slip and counts no more."""

    entry: str = Field(pattern=r"^[0-9a-f]{32}$")


#: Each type of entry with what it says, its shots beside it.
ENTRIES: dict[str, type[Noun]] = {
    "on-bow": OnBow,
    "length-off": LengthOff,
    "figure-on": FigureOn,
    "turns-changed": TurnsChanged,
    "off-and-on": OffAndOn,
    "set-as-wanted": SetAsWanted,
    "waxed": Waxed,
    "looked-over": LookedOver,
    "dry-fired": DryFired,
    "replace-by": ReplaceBy,
    "retired": Retired,
    "taken-back": TakenBack,
}


def _with_shots(noun: type[Noun]) -> type[Noun]:
    """Give what an event of the log says: the entry, and the shots since the line went on."""
    made = create_model(f"{noun.__name__}AfterShots", __base__=noun, after_shots=(Shots, 0))
    made.__doc__ = noun.__doc__
    return made


#: Each type of event of a line's service with its body today.
BODIES: dict[str, type[Noun]] = {name: _with_shots(noun) for name, noun in ENTRIES.items()}
#: Today's version of each type that is not in its first.
VERSIONS: dict[str, int] = {}
#: From (type, version) to the body one version on.
UPCASTERS: dict[tuple[str, int], Callable[[Body], Body]] = {}
