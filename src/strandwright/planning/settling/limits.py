"""Limits: what a line's record says of wear and age, beside what each source says of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from strandwright.planning.result import Plan
from strandwright.reference.wear import About, WearLimit, limits_for
from strandwright.workshop.service import (
    LookedOver,
    OnBow,
    ReplaceBy,
    Retired,
    ServiceEntry,
    Waxed,
)
from strandwright.workshop.service_state import stop_of

_DAY = 86400.0
_MONTH = 30.4375 * _DAY


@dataclass(frozen=True)
class Told:
    """One source's limit beside this line.

    Attributes
    ----------
    limit : WearLimit
        What is told.
    passed : bool or None
        Whether this line is past all of it; None where it names no number.
    reached : bool
        Whether this line is within it by now, or past it.
    """

    limit: WearLimit
    passed: bool | None
    reached: bool


@dataclass(frozen=True)
class Wearing:
    """What the record says of a line's wear and age.

    Attributes
    ----------
    age : float or None
        Since it came onto its bow; None before [s]
    shots : int
        Shots so far [-]
    told : tuple of Told
        Every source, none averaged.
    stop : str
        Why it must not be drawn as it is; empty where nothing is seen.
    retire : str
        Why it is to be replaced by its record; empty where nothing says so.
    retired : Retired or None
        Set when it is off for good.
    waxed_ago : tuple of float or None
        Shots [-] and time [s] since it was waxed; None where it never was.
    looked_ago : tuple of float or None
        Shots [-] and time [s] since it was looked over; None where it never was.
    """

    age: float | None
    shots: int
    told: tuple[Told, ...]
    stop: str
    retire: str
    retired: Retired | None
    waxed_ago: tuple[float, float] | None
    looked_ago: tuple[float, float] | None


_SHOWN: tuple[About, ...] = ("age", "shots", "settle", "wax", "inspect", "stop")


def wearing_of(plan: Plan, entries: Sequence[ServiceEntry], now: datetime) -> Wearing:
    """Hold a line's record against what is told of wear and age.

    Parameters
    ----------
    plan : Plan
        The line's, for the kind of its bow.
    entries : sequence of ServiceEntry
        Those that count, in the order in which they happened.
    now : datetime
        Now.

    Returns
    -------
    Wearing
        Age counts from the day it came onto its bow.
    """
    on = next((e for e in entries if isinstance(e.body, OnBow)), None)
    age = None if on is None else max((now - on.moment).total_seconds(), 0.0)
    shots = max((e.shots for e in entries), default=0)
    bow = wear_bow(plan.job.bow.kind)
    told = tuple(_told(limit, age, shots) for about in _SHOWN for limit in limits_for(bow, about))
    return Wearing(
        age=age,
        shots=shots,
        told=told,
        stop=stop_of(entries),
        retire=_retire(entries, told, age, shots),
        retired=next((e.body for e in reversed(entries) if isinstance(e.body, Retired)), None),
        waxed_ago=_ago(entries, Waxed, shots, now),
        looked_ago=_ago(entries, LookedOver, shots, now),
    )


def wear_bow(kind: str) -> str:
    """Give what the table of wear calls a kind of bow.

    Parameters
    ----------
    kind : str
        As a job names it.

    Returns
    -------
    str
        ``compound`` for all with cams.
    """
    return "compound" if kind.endswith("-cam") else kind


def _told(limit: WearLimit, age: float | None, shots: int) -> Told:
    if limit.low is None or limit.high is None or limit.about not in ("age", "shots"):
        return Told(limit, None, False)
    have = float(shots) if limit.about == "shots" else (age or 0.0)
    return Told(limit, have > limit.high, have >= limit.low)


def _ago(
    entries: Sequence[ServiceEntry], body: type[Waxed] | type[LookedOver], shots: int, now: datetime
) -> tuple[float, float] | None:
    last = next((e for e in reversed(entries) if isinstance(e.body, body)), None)
    if last is None:
        return None
    return float(shots - last.shots), max((now - last.moment).total_seconds(), 0.0)


def _retire(
    entries: Sequence[ServiceEntry], told: Sequence[Told], age: float | None, shots: int
) -> str:
    """Why the record says that it is to be replaced: the shop's own rule, or every source."""
    own = next((e.body for e in reversed(entries) if isinstance(e.body, ReplaceBy)), None)
    if own is not None:
        if own.months is not None and age is not None and age > own.months * _MONTH:
            return f"it is older than the {own.months} months this shop goes by"
        if own.shots is not None and shots > own.shots:
            return f"it has more than the {own.shots} shots this shop goes by"
        return ""
    ages = [t for t in told if t.limit.about == "age"]
    if ages and all(t.passed for t in ages):
        return "it is older than every source allows"
    return ""
