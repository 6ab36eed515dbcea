"""Stock as tests need it: events of spools and small parts, written as a shop writes them."""

from __future__ import annotations

import hashlib
from typing import Any

from strandwright.workshop.events import Event, StoredEvent, make_event

BLEND = {"kind": "strand", "name": "hmpe-lcp", "colour": "#2F6B57"}
THREAD = {"kind": "thread", "name": "braid-018", "colour": "#22201C"}
PEEP = {"kind": "part", "name": "peep", "size": "3/16 in"}
ORDER = "0" * 31 + "a"
OTHER = "0" * 31 + "b"


def identity(name: str) -> str:
    """Give the identity of a named thing: the same name, the same 32 digits."""
    return hashlib.sha256(name.encode()).hexdigest()[:32]


def at(minute: float) -> str:
    """Give a moment, so many minutes into the fifth of January 2026."""
    whole, part = divmod(round(minute * 60_000), 60_000)
    hour, minutes = divmod(whole, 60)
    day, hour = divmod(hour, 24)
    return f"2026-01-{5 + day:02}T{hour:02}:{minutes:02}:{part // 1000:02}.{part % 1000:03}Z"


def happening(type: str, minute: float = 0.0, name: str = "", **body: Any) -> Event:
    """Make an event ``stock-<type>``, named by what it says unless it has a name."""
    known = name or f"{type} {minute} {sorted(body.items(), key=str)}"
    full = type if type in ("withdrawn", "noted") else f"stock-{type}"
    return make_event(identity(known), full, body, at=at(minute), by="test")


def log_of(*events: Event) -> list[StoredEvent]:
    """Give events their places."""
    return [StoredEvent(place, event) for place, event in enumerate(events, start=1)]
