"""Intervals: when each source would have a line waxed, looked at or replaced, none averaged."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from strandwright.planning.register.lines import RegisterLine
from strandwright.planning.settling.answer import pace_from
from strandwright.planning.settling.limits import wear_bow
from strandwright.reference import practice
from strandwright.reference.wear import About, WearLimit, limits_for

_DAY = 86400.0
_MONTH = 30.4375 * _DAY
#: No date is told beyond this [s]
_FARTHEST = 50 * 365.25 * _DAY
#: What a line is held to on the list of those to be looked at again.
_SHOWN: tuple[About, ...] = ("settle", "age", "shots", "inspect", "wax")

Now = Literal["", "reached", "passed"]


@dataclass(frozen=True)
class Interval:
    """What one source says of a line, as days of the calendar.

    Attributes
    ----------
    about : str
        ``settle``, ``age``, ``shots``, ``inspect``, ``wax``, or ``own`` for this shop's rule.
    said, source, kind, note : str
        As the table of wear has them.
    first, last : datetime or None
        The days it names for this line; None where it names none.
    by_pace : bool
        Whether the days follow from shots, at the pace of this line.
    now : str
        Whether the first or the last of them is behind.
    holds : bool
        Whether it is told of such a line: what is said of those who shoot much is not, of one
        that is known to be shot less.
    """

    about: About | Literal["own"]
    said: str
    source: str
    kind: str
    note: str
    first: datetime | None
    last: datetime | None
    by_pace: bool
    now: Now
    holds: bool


def intervals_of(line: RegisterLine, now: datetime) -> tuple[Interval, ...]:
    """Give what every source says of a line, each for itself.

    Parameters
    ----------
    line : RegisterLine
        The line.
    now : datetime
        Now.

    Returns
    -------
    tuple of Interval
        Empty where it is on no bow; this shop's own rule first.
    """
    fitted = line.fitted
    if fitted is None:
        return ()
    bow = wear_bow(line.kind)
    told = [limit for about in _SHOWN for limit in limits_for(bow, about)]
    pace, is_known = _pace(line, fitted)
    much = is_known and pace > practice("settling.pace").value / _DAY
    return (
        *_own(line, fitted, pace, now),
        *(_interval(limit, line, fitted, pace, now, much=much) for limit in told),
    )


@dataclass(frozen=True)
class Called:
    """What calls a line in by its record and by what sources say, whatever its settling.

    Attributes
    ----------
    first : Interval or None
        The one whose day comes first; None where no source names a day.
    own : Interval or None
        This shop's rule for it, where that is reached.
    over : datetime or None
        The day by which every source has it replaced, where that is behind.
    """

    first: Interval | None
    own: Interval | None
    over: datetime | None


def called_by(line: RegisterLine, now: datetime) -> Called:
    """Say what calls a line in by its record and by what sources say.

    Parameters
    ----------
    line : RegisterLine
        The line.
    now : datetime
        Now.

    Returns
    -------
    Called
        Where this shop has a rule for it, the sources' ages call it in no more.
    """
    intervals = intervals_of(line, now)
    own = [one for one in intervals if one.about == "own"]
    ages = [one for one in intervals if one.about == "age"]
    over = None
    if ages and not own and all(one.now == "passed" for one in ages):
        over = max((one.last for one in ages if one.last is not None), default=None)
    reached = next((one for one in own if one.now), None)
    return Called(first_day(intervals), reached, over)


def first_day(intervals: tuple[Interval, ...]) -> Interval | None:
    """Give the interval that comes first, of those after which a line is looked at or replaced.

    Parameters
    ----------
    intervals : tuple of Interval
        Those of a line. Waxing is its archer's, and calls no line back to the shop.

    Returns
    -------
    Interval or None
        None where no source names a day.
    """
    calling = [one for one in intervals if one.about != "wax" and one.holds and one.first]
    # A count by which it settles is over once it has been shot.
    ahead = [one for one in calling if not (one.about == "settle" and one.now == "passed")]
    return min(ahead, key=lambda one: (one.first, one.said), default=None)


def _pace(line: RegisterLine, fitted: datetime) -> tuple[float, bool]:
    last = datetime.fromisoformat(line.last_at)
    return pace_from(float(line.shots), max((last - fitted).total_seconds(), 0.0))


def _interval(
    limit: WearLimit,
    line: RegisterLine,
    fitted: datetime,
    pace: float,
    now: datetime,
    *,
    much: bool,
) -> Interval:
    since = line.waxed if limit.about == "wax" else None
    began = fitted if since is None else datetime.fromisoformat(since.at)
    shots = 0 if since is None else since.shots
    by_pace = limit.unit == "1"
    ends: list[datetime | None] = []
    for end in (limit.low, limit.high):
        if end is None:
            ends.append(None)
        elif by_pace:
            ends.append(_after_shots(line, shots + end, pace))
        else:
            ends.append(began + timedelta(seconds=min(end, _FARTHEST)))
    return Interval(
        about=limit.about,
        said=limit.said,
        source=limit.source,
        kind=limit.kind,
        note=limit.note,
        first=ends[0],
        last=ends[1],
        by_pace=by_pace,
        now=_by(ends[0], ends[1], now, have=line.shots - shots if by_pace else None, limit=limit),
        holds=much or not limit.heavy,
    )


def _by(
    first: datetime | None,
    last: datetime | None,
    now: datetime,
    *,
    have: int | None,
    limit: WearLimit,
) -> Now:
    """Shots are known and hold by themselves; a day that follows from a pace does not."""
    if first is None or last is None or limit.low is None or limit.high is None:
        return ""
    if have is not None:
        return "passed" if have > limit.high else "reached" if have >= limit.low else ""
    return "passed" if now > last else "reached" if now >= first else ""


def _after_shots(line: RegisterLine, count: float, pace: float) -> datetime:
    ahead = (count - line.shots) / pace
    bounded = min(max(ahead, -_FARTHEST), _FARTHEST)
    return datetime.fromisoformat(line.last_at) + timedelta(seconds=bounded)


def _own(line: RegisterLine, fitted: datetime, pace: float, now: datetime) -> tuple[Interval, ...]:
    rows: list[tuple[str, datetime, bool]] = []
    if line.own_months is not None:
        day = fitted + timedelta(seconds=min(line.own_months * _MONTH, _FARTHEST))
        rows.append((f"replaced after {line.own_months} months", day, False))
    if line.own_shots is not None:
        day = _after_shots(line, float(line.own_shots), pace)
        rows.append((f"replaced after {line.own_shots:,} shots", day, True))
    return tuple(
        Interval(
            "own", said, "this shop's rule for this line", "practice", "", day, day, by_pace,
            "passed" if now >= day else "", True,
        )
        for said, day, by_pace in rows
    )  # fmt: skip
