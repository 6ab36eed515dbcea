"""The queue as it is kept: benches, hours and hands, due days, and what was fixed by hand."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field

from strandwright.errors import InputError, InputErrors, SpecError
from strandwright.workshop.fields import Noun
from strandwright.workshop.happenings.order import Day
from strandwright.workshop.job import noun_from_table
from strandwright.workshop.line_set import JOB_ID
from strandwright.workshop.terms import OpenHours

Table = dict[str, Any]
FORMAT = 1
#: The one document of its kind.
QUEUE_ID = "queue"
_CLOCK = re.compile(r"(?:[01][0-9]|2[0-3]):[0-5][0-9]|24:00")
_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}")


def _moment(text: str) -> str:
    try:
        if _MOMENT.fullmatch(text):
            datetime.fromisoformat(text)
            return text
    except ValueError:
        pass
    rule = "must be a moment by the shop's clock"
    raise SpecError("start", text, rule, "write it as 2026-11-30T09:30")


MomentText = Annotated[str, AfterValidator(_moment)]
JobId = Annotated[str, Field(pattern=JOB_ID)]


class QueueBenchSpec(Noun):
    """A bench of the shop; benches of one kind stand in for each other."""

    name: str = Field(min_length=1, max_length=60)
    kind: str = Field(default="", max_length=60, description="left out, it is its own kind")


class Overtime(Noun):
    """Hours of one day that are added to the usual ones."""

    day: Day
    opens: str = Field(max_length=5)
    closes: str = Field(max_length=5)


class DueDay(Noun):
    """When a job is wanted, where no order says so."""

    job: JobId
    day: Day | None = Field(default=None, description="done by its closing")
    weight: int = Field(default=1, ge=1, le=9, strict=True, description="counts that much if late")
    not_before: Day | None = Field(default=None, description="not begun before it")


class QueuePin(Noun):
    """A task held to a start, or a job before another, against what the solver would choose."""

    job: JobId
    step: str = Field(default="", max_length=60, description="left out, what comes first of it")
    start: MomentText | None = None
    before: str = Field(default="", max_length=40, description="job that it goes before")


class QueueSettings(Noun):
    """Everything about the queue that people set."""

    format: Literal[1] = FORMAT
    benches: tuple[QueueBenchSpec, ...] = Field(default=(), max_length=40)
    hands: tuple[Annotated[str, Field(min_length=1, max_length=40)], ...] = Field(
        default=(), max_length=20, description="who works there; left out, one pair of hands"
    )
    hours: tuple[OpenHours, ...] = Field(
        default=(), max_length=42, description="left out, those of the shop's terms"
    )
    closed: tuple[Day, ...] = Field(default=(), max_length=400)
    overtime: tuple[Overtime, ...] = Field(default=(), max_length=100)
    due: tuple[DueDay, ...] = Field(default=(), max_length=2000)
    pins: tuple[QueuePin, ...] = Field(default=(), max_length=200)


def queue_from_table(table: Table) -> QueueSettings:
    """Read the queue's settings from their tables.

    Parameters
    ----------
    table : dict
        Tables and values.

    Returns
    -------
    QueueSettings
        The settings.

    Raises
    ------
    InputError
        For one thing that cannot be used.
    InputErrors
        For several of them.
    """
    found = noun_from_table(QueueSettings, table)
    errors = tuple(_contradictions(found))
    if errors:
        raise errors[0] if len(errors) == 1 else InputErrors(errors)
    return found


def queue_table(settings: QueueSettings) -> Table:
    """Give the tables of the queue's settings, as they are kept.

    Parameters
    ----------
    settings : QueueSettings
        The settings.

    Returns
    -------
    dict
        Plain values; those that are defaults are left out.
    """
    return settings.model_dump(mode="json", exclude_defaults=True) | {"format": FORMAT}


def minutes_of(text: str) -> int:
    """Read a time of day.

    Parameters
    ----------
    text : str
        As ``08:30``; ``24:00`` is the end of the day.

    Returns
    -------
    int
        From midnight [min]
    """
    return 60 * int(text[:2]) + int(text[3:])


def _contradictions(found: QueueSettings) -> Iterator[InputError]:
    for key, hours in (("hours", found.hours), ("overtime", found.overtime)):
        for n, one in enumerate(hours, 1):
            yield from _hours(f"{key}[{n}]", one)
    for key, names in (
        ("benches", [bench.name for bench in found.benches]),
        ("hands", list(found.hands)),
        ("due", [one.job for one in found.due]),
    ):
        for n, name in enumerate(names, 1):
            if name in names[: n - 1]:
                yield SpecError(f"{key}[{n}]", name, "must stand there once", "take one out")
    for n, pin in enumerate(found.pins, 1):
        field = f"pins[{n}]"
        if (pin.start is None) == (not pin.before):
            rule = "must have a start, or a job it goes before, and not both"
            yield SpecError(field, pin.job, rule, "give one of the two")
        if pin.before == pin.job:
            yield SpecError(f"{field}.before", pin.job, "must be another job", "name another")


def _hours(field: str, one: OpenHours | Overtime) -> Iterator[InputError]:
    for key, text in (("opens", one.opens), ("closes", one.closes)):
        if not _CLOCK.fullmatch(text):
            rule = "must be a time of day"
            yield SpecError(f"{field}.{key}", text, rule, "write it as 08:30")
            return
    if minutes_of(one.opens) >= minutes_of(one.closes):
        rule = f"must be after {one.opens}"
        yield SpecError(f"{field}.closes", one.closes, rule, "put the two the other way round")
