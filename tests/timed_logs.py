"""Logs of builds with known times, for the tests of how minutes are learned."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np

from strandwright.planning.quote.operations import operations_of
from strandwright.planning.quote.pace import TimedBuild
from strandwright.planning.quote.timings import Timing
from strandwright.planning.result import Plan
from strandwright.reference import practice
from strandwright.workshop.events import StoredEvent, as_moment, make_event

Acts = tuple[tuple[str, float], ...]


def acts_of(plan: Plan) -> Acts:
    """Give the acts of a line, each with its amount."""
    return tuple((act.row, act.amount) for act in operations_of(plan).acts)


class Log:
    """A log that is written entry by entry, on a clock moved by hand."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
        self.events: list[StoredEvent] = []
        self.did("started", 0.0, plan="p")

    def did(self, type: str, minutes: float, **body: Any) -> str:
        """Write one entry, so many minutes after the last."""
        self.now += timedelta(minutes=minutes)
        place = len(self.events) + 1
        event = make_event(f"{place:032x}", type, body, at=as_moment(self.now))
        self.events.append(StoredEvent(place, event))
        return event.id


def true_times(acts: Acts, seed: int) -> dict[str, float]:
    """Give what each act takes a shop that nobody knows yet, on the average [s]."""
    draw = np.random.default_rng(seed)
    rows = list(dict.fromkeys(row for row, _ in acts))
    pace = draw.normal(0.0, 0.2)
    return {
        row: practice(f"work.{row}").value * float(np.exp(pace + draw.normal(0.0, 0.25)))
        for row in rows
    }


def builds_of(
    acts: Acts, times: dict[str, float], count: int, *, seed: int = 5, paused: float = 0.0
) -> list[TimedBuild]:
    """Draw builds of a shop: each time scattered by a fifth, some with a pause in them."""
    draw = np.random.default_rng(seed)
    builds: list[TimedBuild] = []
    for _ in range(count):
        timings: list[Timing] = []
        for row, amount in acts:
            seconds = times[row] * amount * float(np.exp(draw.normal(-0.02, 0.2)))
            if draw.random() < paused:
                seconds += float(np.exp(draw.uniform(np.log(300.0), np.log(57600.0))))
            timings.append(Timing(((row, amount),), seconds))
        builds.append(TimedBuild("", tuple(timings)))
    return builds
