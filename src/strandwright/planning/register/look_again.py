"""Look again: which lines on bows are due, which soon, which later, and why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from strandwright.planning.register.forecasts import Forecast, Forecasts
from strandwright.planning.register.intervals import Called
from strandwright.planning.register.lines import RegisterLine

#: What comes within this is told as soon [d]
SOON_DAYS = 14

#: Where an answer is waited for, the lines that press most are forecast, so many of them [-]
AHEAD = 500

When = Literal["due", "soon", "later"]
WHENS: tuple[When, ...] = ("due", "soon", "later")
#: Verdicts that call a line in whatever the day.
_NOW = ("do not draw", "retire", "twist back")


@dataclass(frozen=True)
class Look:
    """When a line is looked at again.

    Attributes
    ----------
    line : RegisterLine
        The line.
    when : str
        ``due``, ``soon`` or ``later``.
    at : datetime or None
        The day; None where none can be told.
    by : str
        ``record``, ``forecast`` or ``practice``: what says so.
    why : str
        In words.
    verdict : str
        How it settles; empty where that is not told.
    told : bool
        Whether its forecast is reckoned, or is not to be while others press more.
    """

    line: RegisterLine
    when: When
    at: datetime | None
    by: Literal["record", "forecast", "practice"]
    why: str
    verdict: str
    told: bool


def looks(
    forecasts: Forecasts, lines: tuple[RegisterLine, ...], now: datetime, seconds: float | None
) -> tuple[Look, ...]:
    """Say of lines when each is looked at again, the most pressing first.

    Parameters
    ----------
    forecasts : Forecasts
        How they settle.
    lines : tuple of RegisterLine
        The lines.
    now : datetime
        Now.
    seconds : float or None
        How long to reckon forecasts at most; None until all are told [s]

    Returns
    -------
    tuple of Look
        Sorted by their days; what must not be drawn goes before all.
    """
    called = forecasts.called(lines, now)
    first = sorted(lines, key=lambda line: _pressing(line, called[line.build]))
    asked = first if seconds is None else first[:AHEAD]
    told = forecasts.of(asked, seconds)
    late = {line.build for line in asked} - told.keys()
    found = [
        _look(line, called[line.build], told.get(line.build), now, late=line.build in late)
        for line in first
    ]
    return tuple(sorted(found, key=_rank))


def look_again(
    forecasts: Forecasts, now: datetime, words: str = "", seconds: float | None = None
) -> tuple[Look, ...]:
    """Say of every line on a bow when it is looked at again.

    Parameters
    ----------
    forecasts : Forecasts
        How they settle, of the desk that keeps them.
    now : datetime
        Now.
    words : str
        Only those in whose names each of these words stands.
    seconds : float or None
        How long to reckon forecasts at most; None until all are told [s]

    Returns
    -------
    tuple of Look
        The most pressing first.
    """
    sought = words.lower().split()
    lines = forecasts.lines()
    if sought:
        lines = tuple(line for line in lines if all(word in line.words for word in sought))
    return looks(forecasts, lines, now, seconds)


def _pressing(line: RegisterLine, called: Called) -> tuple[bool, str]:
    """Lines that are being shot in first, then by the first day of any source."""
    first = called.first
    day = "9" if first is None or first.first is None else first.first.isoformat()
    return line.readings == 0, day


def _rank(look: Look) -> tuple[int, bool, str, str]:
    day = "9" if look.at is None else look.at.isoformat()
    return WHENS.index(look.when), look.line.status != "do not draw", day, look.line.build


def _look(
    line: RegisterLine, called: Called, told: Forecast | None, now: datetime, *, late: bool
) -> Look:
    at, by, why = _said(line, called, told)
    verdict = "" if told is None else told.act
    is_called = verdict in _NOW or bool(line.stop or called.own or called.over)
    soon = now + timedelta(days=SOON_DAYS)
    when: When = "later"
    if is_called or (at is not None and at <= now):
        when = "due"
    elif at is not None and at <= soon:
        when = "soon"
    return Look(line, when, at, by, why, verdict, not late)


def _said(
    line: RegisterLine, called: Called, told: Forecast | None
) -> tuple[datetime | None, Literal["record", "forecast", "practice"], str]:
    """What calls the line, from the surest on: what was seen, this shop's rule, how it settles."""
    if line.stop:
        return datetime.fromisoformat(line.last_at), "record", f"do not draw it: {line.stop}"
    own, first = called.own, called.first
    if own is not None:
        return own.first, "record", f"{own.said}, by {own.source}"
    if called.over is not None:
        return called.over, "practice", "it is older than every source allows"
    if told is not None and told.at is not None:
        return told.at, "forecast", _forecast_words(told)
    if told is not None and told.act == "retire":
        return datetime.fromisoformat(line.last_at), "forecast", f"replace it: {told.why}"
    if first is None:
        return None, "practice", "no source names a day for it"
    return first.first, "practice", f"{first.said} ({first.source})"


def _forecast_words(told: Forecast) -> str:
    count = f"at {told.shots:,} shots"
    if told.act == "twist back":
        turns = "half a turn" if abs(told.halves) == 1 else f"{abs(told.halves)} half turns"
        return f"{turns} to {'put in' if told.halves > 0 else 'take out'}, then look again {count}"
    if told.act == "still moving":
        return f"it still moves: look again {count}"
    if told.act == "read again":
        return f"its readings do not agree: read it again {count}"
    return f"it has settled: look again {count}"
