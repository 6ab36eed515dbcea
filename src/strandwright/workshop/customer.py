"""Customer: who brings a bow, and how they are reached; no more of a person is kept than that."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from strandwright.workshop.fields import Noun

By = Literal["telephone", "e-mail", "post", "other"]


class Reach(Noun):
    """One way to reach somebody."""

    by: By = "telephone"
    at: str = Field(min_length=1, max_length=200, description="number or address")


class Customer(Noun):
    """Somebody who brings a bow."""

    name: str = Field(min_length=1, max_length=120)
    reach: tuple[Reach, ...] = Field(
        default=(), max_length=6, description="ways to reach them, the best one first"
    )
    notes: str = Field(default="", max_length=2000)
