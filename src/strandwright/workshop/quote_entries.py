"""Quote entries: what somebody adds to a price by hand, as it was typed and is kept with it."""

from __future__ import annotations

from datetime import date
from typing import Annotated, TypeAlias

from pydantic import BeforeValidator, Field

from strandwright.errors import SpecError
from strandwright.workshop.fields import Noun
from strandwright.workshop.money import Money
from strandwright.workshop.said import short


def _read_day(value: object) -> str:
    """Read a day of the calendar."""
    rule, remedy = "must be a day of the calendar", "write it like 2026-11-28"
    if not isinstance(value, str) or len(value) != len("2026-11-28"):
        raise SpecError("day", short(value), rule, remedy)
    try:
        return date.fromisoformat(value).isoformat()
    except ValueError as error:
        raise SpecError("day", value, rule, remedy) from error


CalendarDay: TypeAlias = Annotated[str, BeforeValidator(_read_day)]


class PartByHand(Noun):
    """A small part besides those of the jobs."""

    name: str = Field(min_length=1, max_length=60, description="as the terms or the stock name it")
    count: int = Field(default=1, ge=1, le=999, strict=True)


class Extra(Noun):
    """Anything else that is charged, such as posting."""

    title: str = Field(min_length=1, max_length=120)
    amount: Money


class QuoteEntries(Noun):
    """What is added to a price by hand."""

    parts: tuple[PartByHand, ...] = Field(default=(), max_length=40)
    extras: tuple[Extra, ...] = Field(default=(), max_length=40)
    off: str = Field(default="", max_length=24, description="a share such as 5 %, or an amount")
    fitting: str = Field(
        default="", max_length=24,
        description="a time such as 90 min, or usual for what practice says; empty for none",
    )  # fmt: skip
    due: CalendarDay | None = None
    taxes: tuple[str, ...] | None = Field(
        default=None, max_length=6, description="names of the taxes that are on it; else all"
    )
