"""Happenings at a bench: what was done and read at the jig while a line is built."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from pydantic import Field

from strandwright.workshop.fields import Duration as Dwell
from strandwright.workshop.fields import Force, HandLetter, Length, Mass, Noun, Temperature
from strandwright.workshop.makings import BuildLegs
from strandwright.workshop.parts import BuildReading

#: More rounds than this in one event are a slip of the hand [half round]
MOST_HALVES = 400

Body = dict[str, Any]


class Started(Noun):
    """A build begins, by a stored plan."""

    plan: str = Field(max_length=40)


class PostsSet(Noun):
    """The posts stand, empty, at this distance outside to outside."""

    outside: Length


class RoundsLaid(Noun):
    """Strand was laid past the marked post; two halves make a round."""

    run: int = Field(ge=0, le=40, strict=True, description="colour, from 0 in winding order")
    halves: int = Field(ge=1, le=MOST_HALVES, strict=True)


class StepDone(Noun):
    """A step of the route was done."""

    step: str = Field(min_length=1, max_length=60)
    load: Force | None = None
    dwell: Dwell | None = None
    temperature: Temperature | None = None


class Watched(Noun):
    """The line was looked at while it stood under its load."""

    step: str = Field(min_length=1, max_length=60, description="the step it stands in")
    load: Force
    heard: bool = Field(default=False, strict=True, description="heard, not read on a gauge")
    posts: Length | None = Field(default=None, description="outside to outside of the posts, now")
    temperature: Temperature | None = None
    stood: Dwell | None = Field(default=None, description="how long the load had stood by then")


class EarChecked(Noun):
    """A load was heard on this line while a known one hung on it, or a gauge showed it."""

    step: str = Field(min_length=1, max_length=60, description="the step it stood in")
    heard: Force
    true: Force


class LengthRead(BuildReading):
    """A length was read; ``sure`` says that a surprising one was read again and stands."""

    sure: bool = Field(default=False, strict=True)


class DiameterRead(Noun):
    """A diameter was read by caliper: of the bare bundle, or over a serving."""

    of: str = Field(min_length=1, max_length=120, description="bare, or a serving's name")
    diameter: Length


class MassRead(Noun):
    """A spool was weighed before and after a colour was wound."""

    run: int = Field(ge=0, le=40, strict=True)
    lost: Mass


class LegsRead(BuildLegs):
    """Both legs of a yoke were read under load, before its throat was served."""


class StrandsCounted(Noun):
    """The strands of the skein were counted."""

    strands: int = Field(ge=2, le=200, strict=True)


class Turned(Noun):
    """The line now holds this many turns in all."""

    turns: float = Field(ge=0, le=300, strict=True)


class Locked(Noun):
    """The line is proved: its turns are locked and logged, and the build is done."""

    turns: float = Field(ge=0, le=300, strict=True)
    hand: HandLetter


class PutAside(Noun):
    """The build is given up."""

    why: str = Field(default="", max_length=400)


#: Each type of event at a bench with its body today.
BODIES: dict[str, type[Noun]] = {
    "started": Started,
    "posts-set": PostsSet,
    "rounds-laid": RoundsLaid,
    "step-done": StepDone,
    "watched": Watched,
    "ear-checked": EarChecked,
    "length-read": LengthRead,
    "diameter-read": DiameterRead,
    "mass-read": MassRead,
    "legs-read": LegsRead,
    "strands-counted": StrandsCounted,
    "turned": Turned,
    "locked": Locked,
    "put-aside": PutAside,
}
#: Today's version of each type that is not in its first.
VERSIONS: dict[str, int] = {"length-read": 2}
#: From (type, version) to the body one version on.
UPCASTERS: dict[tuple[str, int], Callable[[Body], Body]] = {
    # A length may now have been read at a load that was heard; before, none was.
    ("length-read", 1): lambda body: body,
}
