"""Subject: what is watched over the builds of a bench, and what people call its two sides."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Subject:
    """What is watched.

    Attributes
    ----------
    name : str
        Over the chart.
    things : str
        What the builds are.
    high, low : str
        How one lies that is above or below what was aimed at.
    higher, lower : str
        The same, of one against another.
    look_at_one : str
        What is looked at first where one alone lies off.
    look_at_all : str
        What is looked at first where all have moved.
    look_at_drift : str
        What is looked at first where they move on and on.
    """

    name: str
    things: str
    high: str
    low: str
    higher: str
    lower: str
    look_at_one: str
    look_at_all: str
    look_at_drift: str


#: Proving readings, less what was aimed at; what is looked at is common practice, no source.
FINISHED_LENGTHS = Subject(
    name="length over target",
    things="lines",
    high="long",
    low="short",
    higher="longer",
    lower="shorter",
    look_at_one="its load, and how it was read",
    look_at_all="the tape, the gauge, a new lot",
    look_at_drift="what wears or creeps: the posts, the strap, the gauge",
)
