"""Data: the answer for a line on its bow as plain dictionaries, for screens, commands and files."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from strandwright.drawing.settling import settling_svg
from strandwright.drawing.tokens import THEMES
from strandwright.planning.settling.answer import Answer
from strandwright.planning.settling.chart import settling_chart
from strandwright.planning.settling.limits import Told
from strandwright.planning.settling.words import (
    cautions,
    days_text,
    headline,
    sentences,
    shots_text,
    step_cautions,
)
from strandwright.planning.written import Written, half_turns
from strandwright.statistics.settling import Ranged
from strandwright.workshop.service import (
    FigureOn,
    LengthOff,
    LookedOver,
    ReplaceBy,
    Retired,
    ServiceEntry,
    TakenBack,
    TurnsChanged,
)

Fields = dict[str, Any]

FORMAT = 1
_SCREENS = ("light", "dark", "sun")
_KINDS = {
    "published": "published",
    "measured": "measured",
    "practice": "common practice",
    "memory": "memory, no source read",
}
_ABOUT = {
    "age": "when to replace it, by age",
    "shots": "when to replace it, by shots",
    "settle": "how it settles",
    "wax": "when to wax it",
    "inspect": "when to look it over",
    "stop": "when to stop using it",
}
_DONE = {
    "on-bow": "put on its bow",
    "off-and-on": "off the bow and on again",
    "set-as-wanted": "the bow is as wanted",
    "waxed": "waxed",
    "dry-fired": "dry-fired, or a line jumped off",
}


def settling_data(
    answer: Answer, written: Sequence[ServiceEntry], *, width: float | None = None
) -> Fields:
    """Give everything that is said of a line on its bow.

    Parameters
    ----------
    answer : Answer
        The answer.
    written : sequence of ServiceEntry
        Everything that was written, taken back or not.
    width : float or None
        Of the chart [px]; None draws none.

    Returns
    -------
    dict
        ``format`` 1; lengths in metres beside their texts.
    """
    to = Written.on(answer.plan.job.paper)
    length, judgement = answer.plan.target.length.value, answer.judgement
    look = answer.look
    return {
        "format": FORMAT,
        "act": answer.act,
        "headline": headline(answer),
        "sentences": list(sentences(answer, to)),
        "cautions": list(cautions(answer)),
        "step_cautions": step_cautions(answer),
        "halves": answer.halves,
        "turns": answer.turns,
        "turns_text": f"{half_turns(answer.turns)} {answer.plan.twist.hand}",
        "most_turns": answer.plan.twist.most_turns,
        "asked_m": length,
        "asked_text": to.fine(length),
        "tolerance_m": answer.plan.target.tolerance,
        "off": _ranged(judgement.off, length, to),
        "further": _ranged(judgement.further, length, to),
        "ahead": {"shots": answer.rule.ahead_shots, "days": answer.rule.ahead_time / 86400.0},
        "chance_moved": judgement.chance_moved,
        "shots": answer.wearing.shots,
        "on_bow_since": answer.course.began.isoformat() if answer.course.began else None,
        "next_look": None
        if look is None or answer.look_at is None
        else {
            "shots": answer.look_shots,
            "at": answer.look_at.isoformat(timespec="minutes"),
            "why": look.why.value,
            "chance_moved": look.chance,
            "is_due": answer.is_due,
        },
        "readings": _readings(answer, to),
        "entries": _entries(written, to),
        "wear": _wear(answer),
        "svg": {} if width is None else _drawn(answer, to, width),
    }


def _ranged(ranged: Ranged, length: float, to: Written) -> Fields:
    values = (ranged.mean * length, ranged.low * length, ranged.high * length)
    mean, low, high = values
    return {"m": mean, "low_m": low, "high_m": high, "text": to.small(mean)}


def _readings(answer: Answer, to: Written) -> list[Fields]:
    length = answer.plan.target.length.value
    rows = zip(
        answer.course.readings, answer.settling.weight, answer.settling.surprise, strict=True
    )
    return [
        {
            "entry": read.entry.id,
            "shots": int(read.moment.shots),
            "days": read.moment.time / 86400.0,
            "over_m": read.elongation * length,
            "over_text": to.small(read.elongation * length),
            "plus_minus_m": 2.0 * read.u * length,
            "by_figure": isinstance(read.entry.body, FigureOn),
            "weight": float(weight),
            "surprise": float(surprise),
        }
        for read, weight, surprise in rows
    ]


def _entries(written: Sequence[ServiceEntry], to: Written) -> list[Fields]:
    gone = {e.body.entry for e in written if isinstance(e.body, TakenBack)}
    rows = [e for e in written if not isinstance(e.body, TakenBack)]
    return [
        {
            "id": entry.id,
            "type": entry.type,
            "at": entry.at,
            "shots": entry.shots,
            "by": entry.by,
            "text": entry_text(entry, to),
            "taken_back": entry.id in gone,
        }
        for entry in sorted(rows, key=lambda e: (e.at, e.shots))
    ]


def entry_text(entry: ServiceEntry, to: Written) -> str:
    """Write an entry in a few words.

    Parameters
    ----------
    entry : ServiceEntry
        The entry.
    to : Written
        How quantities are written.

    Returns
    -------
    str
        Without its moment and shots.
    """
    body = entry.body
    match body:
        case LengthOff():
            load = "" if body.load is None else f" at {body.load.text}"
            return f"length {body.length.text}{load}"
        case FigureOn():
            return f"{body.figure} {body.read.text}"
        case TurnsChanged():
            turns = abs(body.turns)
            unit = "turn" if turns <= 1.0 else "turns"
            return f"{half_turns(turns)} {unit} {'put in' if body.turns > 0 else 'taken out'}"
        case LookedOver():
            seen = "nothing found" if body.seen == ("nothing",) else ", ".join(body.seen)
            return f"looked over: {seen}" + (f" ({body.where})" if body.where else "")
        case ReplaceBy():
            parts = [f"{body.months} months"] if body.months is not None else []
            parts += [shots_text(body.shots)] if body.shots is not None else []
            return f"to be replaced after {' or '.join(parts)}"
        case Retired():
            return "taken off for good" + (f": {body.why}" if body.why else "")
        case _:
            return _DONE[entry.type]


def _wear(answer: Answer) -> Fields:
    wearing = answer.wearing
    groups: dict[str, list[Fields]] = {}
    for told in wearing.told:
        groups.setdefault(told.limit.about, []).append(_told(told))
    return {
        "age_text": "" if wearing.age is None else days_text(wearing.age),
        "shots_text": shots_text(wearing.shots),
        "waxed_text": _ago(wearing.waxed_ago, "not waxed since it was fitted"),
        "looked_text": _ago(wearing.looked_ago, "not looked over since it was fitted"),
        "groups": [
            {"about": about, "title": _ABOUT[about], "limits": rows}
            for about, rows in groups.items()
        ],
        "disagree": "The sources disagree; none was averaged with another. What the maker of the "
        "bow or of the fibre says goes before all of them.",
    }


def _told(told: Told) -> Fields:
    limit = told.limit
    now = "passed" if told.passed else "reached" if told.reached else ""
    return {
        "said": limit.said,
        "source": limit.source,
        "kind": _KINDS[limit.kind],
        "note": limit.note,
        "now": now,
    }


def _ago(ago: tuple[float, float] | None, never: str) -> str:
    if ago is None:
        return never
    return f"{shots_text(ago[0])} and {days_text(ago[1])} ago"


def _drawn(answer: Answer, to: Written, width: float) -> Fields:
    if answer.act in ("not on a bow",):
        return {}
    chart = settling_chart(answer, to)
    height = 340.0 if width >= 480.0 else 300.0
    return {
        theme: settling_svg(
            chart, width=width, height=height, theme=theme, prefix=f"settling-{theme}"
        )
        for theme in _SCREENS
        if theme in THEMES
    }
