"""Happenings of a fit: proved lines go on their bow, and the bow is brought back and shot in."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from pydantic import Field

from strandwright.workshop.fields import Noun
from strandwright.workshop.happenings.order import Baseline, DocumentName, EventName
from strandwright.workshop.parts import BowKind, CrossbowKind

Body = dict[str, Any]
Shots = Annotated[int, Field(ge=0, le=1_000_000, strict=True)]


class FittedLine(Noun):
    """A line that goes on the bow."""

    job: DocumentName
    build: EventName


class FitBegun(Noun):
    """Lines that are proved go on their bow."""

    lines: tuple[FittedLine, ...] = Field(min_length=1, max_length=6)
    bow: BowKind
    crossbow: CrossbowKind | None = None
    order: EventName | None = None
    before: Baseline | None = Field(
        default=None, description="what the bow measured as it came, or is wanted at"
    )


class FitStepDone(Noun):
    """An act of the walk was done."""

    step: str = Field(min_length=1, max_length=40)
    said: str = Field(default="", max_length=2000, description="what was seen")


class FitMeasured(Noun):
    """The bow was measured with its new lines on."""

    figures: Baseline
    shots: Shots = 0


class FitTurned(Noun):
    """Turns were put into a line on the bow, or taken out where negative."""

    build: EventName
    turns: float = Field(ge=-100, le=100, strict=True, allow_inf_nan=False)
    shots: Shots = 0


class FitEnded(Noun):
    """The walk is over: the bow is as it is wanted, or was given up."""

    is_right: bool = Field(strict=True, description="it is as wanted")
    said: str = Field(default="", max_length=2000)


#: Each type of event of a fit with its body today.
BODIES: dict[str, type[Noun]] = {
    "fit-begun": FitBegun,
    "fit-step-done": FitStepDone,
    "fit-measured": FitMeasured,
    "fit-turned": FitTurned,
    "fit-ended": FitEnded,
}
#: Today's version of each type that is not in its first.
VERSIONS: dict[str, int] = {}
#: From (type, version) to the body one version on.
UPCASTERS: dict[tuple[str, int], Callable[[Body], Body]] = {}
