"""Happenings that any log may hold: a slip taken back, something worth remembering."""

from __future__ import annotations

from pydantic import Field

from strandwright.workshop.fields import Noun


class Withdrawn(Noun):
    """An earlier event was a slip and counts no more."""

    event: str = Field(pattern=r"^[0-9a-f]{32}$")
    why: str = Field(default="", max_length=400)


class Noted(Noun):
    """Something worth remembering."""

    text: str = Field(min_length=1, max_length=2000)


#: Each type of event that any log may hold with its body today.
BODIES: dict[str, type[Noun]] = {"withdrawn": Withdrawn, "noted": Noted}
