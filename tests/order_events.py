"""Events of an order for tests: made one after the other, each with an identity of its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from strandwright.reference.stops import stops_for
from strandwright.workshop.events import Event, StoredEvent, make_event
from strandwright.workshop.order_state import OrderState, fold

#: What a bow with two wheels measured as it came.
BASELINE = {
    "axle_to_axle": "32 1/4 in",
    "brace_height": "6 7/8 in",
    "draw_weight": "61 lbf",
    "draw_length": "28 1/2 in",
    "cam_marks": "both on the cable",
    "tiller_top": "7 1/4 in",
    "tiller_bottom": "7 1/4 in",
    "nock_height": "1/8 in",
    "temperature": "19 degC",
}
PHOTO = "ab" * 32
BOW = {"kind": "two-cam", "name": "crag bow", "draw_weight": "60 lbf"}


def event(number: int, type: str, **body: Any) -> Event:
    """Make the event of a number; the same number gives the same identity."""
    at = f"2026-11-28T10:{number // 60 % 60:02d}:{number % 60:02d}Z"
    return make_event(f"{number:032x}", type, body, at=at, by="counter")


def in_order(events: Sequence[Event]) -> tuple[StoredEvent, ...]:
    """Give events their places."""
    return tuple(StoredEvent(place, one) for place, one in enumerate(events, 1))


def opened(number: int = 1, **told: Any) -> Event:
    """Make the event that opens an order."""
    body = {"customer": "C1", "bow": BOW, "work": ["set"], "lines": 3, **told}
    return event(number, "order-opened", **body)


def sound(number: int = 2, kind: str = "two-cam", but: Sequence[str] = ()) -> Event:
    """Make a look that finds everything sound, but some."""
    names = [stop.name for stop in stops_for(kind) if stop.name not in but]
    return event(number, "bow-looked-at", sound=names)


def measured(number: int = 3, **told: Any) -> Event:
    """Make a look that measures the bow."""
    return event(number, "bow-looked-at", baseline={**BASELINE, **told}, photos=[PHOTO])


def state_of(*events: Event) -> OrderState:
    """Fold events in their order."""
    return fold(in_order(events))
