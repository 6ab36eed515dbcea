"""Register data: what is looked at again, and what is on which bow, as plain values and texts."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from strandwright.planning.register.forecasts import Forecasts
from strandwright.planning.register.intervals import Interval, intervals_of
from strandwright.planning.register.lines import RegisterLine, retired_lines
from strandwright.planning.register.look_again import SOON_DAYS, WHENS, Look, look_again
from strandwright.planning.written import half_turns
from strandwright.workshop.service_state import Since

Fields = dict[str, Any]

FORMAT = 1
_KINDS = {
    "published": "published",
    "measured": "measured",
    "practice": "common practice",
    "memory": "memory, no source read",
}
_TITLES = {
    "own": "this shop's rule",
    "settle": "until it has settled",
    "age": "replaced by age",
    "shots": "replaced by shots",
    "inspect": "looked over by whoever shoots it",
    "wax": "waxed by whoever shoots it",
}
DISAGREE = (
    "The sources disagree; none was averaged with another. What the maker of the bow or of the "
    "fibre says goes before all of them."
)
#: Lines that were taken off are told of the latest [-]
_RETIRED = 20


def look_again_data(
    forecasts: Forecasts,
    now: datetime,
    words: str = "",
    limit: int | None = None,
    seconds: float | None = None,
) -> Fields:
    """Give which lines are due, soon and later.

    Parameters
    ----------
    forecasts : Forecasts
        How the lines settle.
    now : datetime
        Now.
    words : str
        Only those in whose names each of these words stands.
    limit : int or None
        How many of each; None for all [-]
    seconds : float or None
        How long to reckon forecasts at most; None until all are told [s]

    Returns
    -------
    dict
        ``due``, ``soon``, ``later``, each the most pressing first; ``counts`` of them, ``more``,
        how many forecasts are ``to_come``, ``bows`` with what is on them, and ``retired``.
    """
    found = look_again(forecasts, now, words, seconds)
    parts = {when: [look for look in found if look.when == when] for when in WHENS}
    shown = {when: part if limit is None else part[:limit] for when, part in parts.items()}
    told = [look for when in WHENS for look in shown[when]]
    off = retired_lines(forecasts.store, words, _RETIRED)
    return {
        "format": FORMAT,
        "at": now.isoformat(timespec="minutes"),
        "soon_days": SOON_DAYS,
        **{when: [look_data(look, now) for look in part] for when, part in shown.items()},
        "counts": {when: len(part) for when, part in parts.items()},
        "more": [when for when in WHENS if len(shown[when]) < len(parts[when])],
        "to_come": sum(not look.told for look in found),
        "bows": _bows([look.line for look in told]),
        "retired": [_about(line) | _closed(line) for line in off],
        "disagree": DISAGREE,
    }


def look_data(look: Look, now: datetime) -> Fields:
    """Give when a line is looked at again, and what every source says of it.

    Parameters
    ----------
    look : Look
        The line.
    now : datetime
        Now.

    Returns
    -------
    dict
        JSON-ready.
    """
    line = look.line
    return _about(line) | {
        "when": look.when,
        "due_at": "" if look.at is None else look.at.isoformat(timespec="minutes"),
        "by": look.by,
        "why": look.why,
        "verdict": look.verdict,
        "told": look.told,
        "looked_text": _since(line.looked, "not looked over on its bow"),
        "waxed_text": _since(line.waxed, "not waxed on its bow"),
        "groups": _groups(intervals_of(line, now)),
    }


def _about(line: RegisterLine) -> Fields:
    return {
        "build": line.build,
        "job": line.job,
        "name": line.name,
        "customer": line.customer,
        "bow": line.bow,
        "line": line.line,
        "status": line.status,
        "fitted_at": line.fitted_at,
        "last_at": line.last_at,
        "shots": line.shots,
        "turns": line.turns,
        "turns_text": f"{half_turns(line.turns)} {line.hand}".strip(),
    }


def _closed(line: RegisterLine) -> Fields:
    return {"retired_at": line.retired_at, "why": line.why}


def _bows(lines: Sequence[RegisterLine]) -> list[Fields]:
    """Give what is on which bow since when."""
    bows: dict[tuple[str, str], list[RegisterLine]] = {}
    for line in lines:
        bows.setdefault((line.customer, line.bow), []).append(line)
    return [
        {
            "customer": customer,
            "bow": bow,
            "lines": [
                {"build": one.build, "line": one.line, "since": one.fitted_at, "shots": one.shots}
                for one in sorted(held, key=lambda one: (one.line, one.fitted_at))
            ],
        }
        for (customer, bow), held in sorted(bows.items())
    ]


def _groups(intervals: Sequence[Interval]) -> list[Fields]:
    groups: dict[str, list[Fields]] = {}
    for one in intervals:
        groups.setdefault(one.about, []).append(_interval(one))
    return [
        {"about": about, "title": _TITLES[about], "intervals": rows}
        for about, rows in groups.items()
    ]


def _interval(one: Interval) -> Fields:
    return {
        "said": one.said,
        "source": one.source,
        "kind": _KINDS[one.kind],
        "note": one.note,
        "first": _day(one.first),
        "last": _day(one.last),
        "by_pace": one.by_pace,
        "now": one.now,
        "holds": one.holds,
    }


def _day(at: datetime | None) -> str:
    return "" if at is None else at.date().isoformat()


def _since(since: Since | None, never: str) -> str:
    return never if since is None else f"{since.at[:10]}, at {since.shots:,} shots"
