"""When: moments and lengths of time of a schedule in words."""

from __future__ import annotations

from datetime import date, datetime

from strandwright.planning.queue.hours import Hours

_HOUR = 60


def clock_said(moment: datetime) -> str:
    """Write a moment.

    Parameters
    ----------
    moment : datetime
        By the shop's clock.

    Returns
    -------
    str
        ``Mon 30 Nov 09:15``.
    """
    return f"{day_said(moment.date())} {moment:%H:%M}"


def day_said(day: date) -> str:
    """Write a day.

    Parameters
    ----------
    day : date
        The day.

    Returns
    -------
    str
        ``Mon 30 Nov``.
    """
    return f"{day:%a} {day.day} {day:%b}"


def moment_said(hours: Hours, opened: int) -> str:
    """Write when something begins.

    Parameters
    ----------
    hours : Hours
        The hours.
    opened : int
        Open minute [min]

    Returns
    -------
    str
        Day and time.
    """
    return clock_said(hours.moment(hours.begins(opened)))


def end_said(hours: Hours, opened: int) -> str:
    """Write when something ends.

    Parameters
    ----------
    hours : Hours
        The hours.
    opened : int
        Open minute [min]

    Returns
    -------
    str
        Day and time.
    """
    return clock_said(hours.moment(hours.ends(opened)))


def long_said(minutes: int) -> str:
    """Write how long something is in open hours.

    Parameters
    ----------
    minutes : int
        How long [min]

    Returns
    -------
    str
        ``45 min`` or ``3 h 20 min``.
    """
    hours, rest = divmod(minutes, _HOUR)
    parts = [f"{hours} h"] * (hours > 0) + [f"{rest} min"] * (rest > 0 or hours == 0)
    return " ".join(parts)
