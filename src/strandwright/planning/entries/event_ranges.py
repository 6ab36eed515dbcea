"""Event ranges: what is typed at the jig, held against what can be meant, before it is kept."""

from __future__ import annotations

from collections.abc import Iterable

from strandwright.errors import LimitError
from strandwright.planning.entries.named import entries_of
from strandwright.planning.entries.refusals import RANGES, Range
from strandwright.planning.hearing.checks import is_odd, rule_of
from strandwright.units import Dimension, Entered
from strandwright.workshop.events import Event
from strandwright.workshop.happenings.bench import EarChecked

#: The range of each quantity that an event may hold, by its type and name.
_RANGES = {
    "posts-set.outside": RANGES["build.wound_at"],
    "step-done.load": RANGES["route.stretch"],
    "step-done.dwell": RANGES["route.stretch_dwell"],
    "step-done.temperature": RANGES["build.readings.temperature"],
    "ear-checked.heard": RANGES["route.stretch"],
    "ear-checked.true": RANGES["route.stretch"],
    "watched.load": RANGES["route.stretch"],
    "watched.posts": RANGES["build.wound_at"],
    "watched.temperature": RANGES["build.readings.temperature"],
    "watched.stood": RANGES["route.stretch_dwell"],
    "diameter-read.diameter": RANGES["original.served_diameter"],
    "mass-read.lost": Range("0 g", "1 kg", Dimension.MASS),
    **{
        name.replace(place, event): allowed
        for place, event in (("build.readings", "length-read"), ("build.legs", "legs-read"))
        for name, allowed in RANGES.items()
        if name.startswith(f"{place}.")
    },
}


def refuse_unmeant(events: Iterable[Event]) -> None:
    """Refuse an act with a number that cannot be meant: a slipped point, another unit.

    Parameters
    ----------
    events : iterable of Event
        What is to be recorded.

    Raises
    ------
    LimitError
        For the first such number: field, value, rule and remedy.
    """
    for event in events:
        for field, value in entries_of(event.body, f"{event.type}."):
            allowed = _RANGES.get(field)
            if allowed is None or not isinstance(value, Entered) or allowed.holds(value):
                continue
            rule = f"must lie between {allowed.low} and {allowed.high}"
            raise LimitError(field, value.text, rule, "check the number and its unit")
        if isinstance(event.body, EarChecked) and is_odd(event.body.heard, event.body.true):
            heard = event.body.heard.text
            raise LimitError("ear-checked.heard", heard, *rule_of(event.body.true))
