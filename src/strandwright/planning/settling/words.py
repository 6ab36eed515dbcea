"""Words: what is to be done with a line on its bow, in plain sentences."""

from __future__ import annotations

from datetime import datetime

from strandwright.planning.cautions import DEFER, at_the_change
from strandwright.planning.settling.answer import Answer
from strandwright.planning.written import Written, half_turns
from strandwright.statistics.settling import Ranged, Why

_DAY = 86400.0
#: A reading that keeps less than this of its weight is told of [-]
_DOUBTED = 0.3
#: Less than this is nothing [m]
_NOTHING = 1e-5
WORN = (
    "Do not draw the bow, not even once to see. A line that gives way lets the limbs and wheels "
    "go: let it down in a press made for it, by the maker's manual, or leave that to a qualified "
    "technician."
)
LOOK_OVER = (
    "Before each draw look along every line for cut or fuzzy strands and servings that gape. "
    "Never shoot the bow without an arrow."
)
_WHY = {
    Why.DECIDES: "a reading then is expected to decide",
    Why.MAY_HAVE_MOVED: "by then it may have moved by more than its tolerance",
    Why.LONGEST: "no line goes longer than this without a look",
}


def headline(answer: Answer) -> str:
    """Say in a few words what is to be done.

    Parameters
    ----------
    answer : Answer
        The answer.

    Returns
    -------
    str
        Without a full stop.
    """
    if answer.act == "twist back":
        count = half_turns(0.5 * abs(answer.halves))
        unit = "turn" if abs(answer.halves) <= 2 else "turns"
        return f"Twist back {count} {unit}" if answer.halves > 0 else f"Take out {count} {unit}"
    return {
        "not on a bow": "Not on a bow yet",
        "still moving": "Still moving",
        "done": "Done: it has settled",
        "read again": "Read it again",
        "retire": "Replace this line",
        "do not draw": "Do not draw this bow",
        "retired": "Off for good",
    }[answer.act]


def sentences(answer: Answer, to: Written) -> tuple[str, ...]:
    """Say what is known of the line, and what follows.

    Parameters
    ----------
    answer : Answer
        The answer.
    to : Written
        How quantities are written.

    Returns
    -------
    tuple of str
        What matters most first.
    """
    if answer.act == "not on a bow":
        return ("Write down when it was fitted: shots and days count from there.",)
    if answer.act == "retired":
        return (f"It was taken off: {answer.why}.",) if answer.why else ()
    said: list[str] = [f"{answer.why[:1].upper()}{answer.why[1:]}."] if answer.why else []
    if answer.act == "read again":
        said.append(
            "The last reading is further from what all else says than its \u00b1 explains. Read "
            "it once more and look the line over; a strand may be cut, or a serving have slipped."
        )
    said += [_now(answer, to), _ahead(answer, to)]
    said += _turns(answer, to)
    said += _look(answer)
    said += _doubted(answer)
    return tuple(said)


def cautions(answer: Answer) -> tuple[str, ...]:
    """Say what to heed at what is to be done.

    Parameters
    ----------
    answer : Answer
        The answer.

    Returns
    -------
    tuple of str
        Plain words, the gravest first.
    """
    bow = answer.plan.job.bow
    off, first_draw = at_the_change(bow.kind, bow.crossbow)
    if answer.act in ("do not draw", "retire"):
        return (WORN, DEFER) if answer.act == "do not draw" else (off, first_draw, DEFER)
    if answer.act in ("twist back", "read again"):
        return off, first_draw, DEFER
    return LOOK_OVER, DEFER


def step_cautions(answer: Answer) -> dict[str, str]:
    """Say what to heed at each thing that may be done to the line before it is written down.

    Parameters
    ----------
    answer : Answer
        The answer.

    Returns
    -------
    dict of str to str
        By the type of the entry; only where something can hurt.
    """
    bow = answer.plan.job.bow
    off, first_draw = at_the_change(bow.kind, bow.crossbow)
    return {
        "on-bow": f"{off} {first_draw}",
        "length-off": off,
        "turns-changed": f"{off} {first_draw}",
        "off-and-on": f"{off} {first_draw}",
        "looked-over": LOOK_OVER,
        "dry-fired": WORN,
        "retired": off,
    }


def shots_text(shots: float) -> str:
    """Write a count of shots.

    Parameters
    ----------
    shots : float
        Shots [-]

    Returns
    -------
    str
        Such as ``1 shot`` or ``120 shots``.
    """
    return f"{shots:.0f} shot{'' if round(shots) == 1 else 's'}"


def days_text(seconds: float) -> str:
    """Write a time in days, months or years.

    Parameters
    ----------
    seconds : float
        The time [s]

    Returns
    -------
    str
        Such as ``less than a day``, ``1 day``, ``5 months`` or ``2.5 years``.
    """
    days = seconds / _DAY
    if round(days) == 0:
        return "less than a day"
    if days < 60.0:
        return f"{days:.0f} day{'' if round(days) == 1 else 's'}"
    if days < 700.0:
        return f"{days / 30.4375:.0f} months"
    return f"{days / 365.25:.1f} years".replace(".0 ", " ")


def date_text(moment: datetime) -> str:
    """Write a day.

    Parameters
    ----------
    moment : datetime
        Some moment of it.

    Returns
    -------
    str
        Such as ``7 March 2026``.
    """
    return f"{moment.day} {moment:%B %Y}"


def _now(answer: Answer, to: Written) -> str:
    length, off = answer.plan.target.length.value, answer.judgement.off
    held = "than when the bow was as wanted" if answer.course.aim is not None else "than asked for"
    between = _between(off, length, to)
    size = abs(off.mean) * length
    if max(size, abs(off.low) * length, abs(off.high) * length) < _NOTHING:
        return "It is as it was when the bow was as wanted."
    if off.low < 0.0 < off.high and not answer.halves:
        return f"It is about as long as it should be: {between} {held}."
    word = "longer" if off.mean > 0.0 else "shorter"
    return f"It is {to.small(size)} {word} {held}: {between}."


def _between(off: Ranged, length: float, to: Written) -> str:
    """A range in words, below zero as shorter."""
    low, high = off.low * length, off.high * length
    if low < 0.0 < high:
        return f"between {to.small(-low)} shorter and {to.small(high)} longer"
    if high <= 0.0:
        return f"between {to.small(-high)} and {to.small(-low)} shorter"
    return f"between {to.small(low)} and {to.small(high)} longer"


def _ahead(answer: Answer, to: Written) -> str:
    length, further, rule = answer.plan.target.length.value, answer.judgement.further, answer.rule
    over = f"{shots_text(rule.ahead_shots)} and {days_text(rule.ahead_time)}"
    start = (
        f"Over the next {over} it should get {to.small(further.mean * length)} longer, "
        f"and hardly more than {to.small(further.high * length)}"
    )
    if not answer.course.readings:
        tail = "That is what the tables say of its fibre and its twist; nothing was read yet."
        return f"{start}. {tail}"
    tolerance = to.length(rule.tolerance * length)
    inside = further.high <= rule.tolerance
    return f"{start}: {'within' if inside else 'more than'} its tolerance of {tolerance}."


def _turns(answer: Answer, to: Written) -> list[str]:
    if answer.act != "twist back":
        return []
    length, twist = answer.plan.target.length.value, answer.plan.twist
    then = answer.turns + 0.5 * answer.halves
    said = [
        f"Then it holds {half_turns(then)} turns {twist.hand}; the most advised is "
        f"{half_turns(twist.most_turns)}. Read it again after the turns."
    ]
    off = answer.judgement.off
    if abs(off.mean) <= answer.rule.tolerance:
        tolerance = to.length(answer.rule.tolerance * length)
        said.append(
            f"As it is it lies within its tolerance of {tolerance}: where the bow measures as it "
            "should, the next time it is pressed is soon enough."
        )
    return said


def _look(answer: Answer) -> list[str]:
    look, at = answer.look, answer.look_at
    if look is None or at is None or answer.act in ("do not draw", "retire", "read again"):
        return []
    why = _WHY[look.why]
    if answer.is_due:
        return [f"It was to be read by {date_text(at)}: read it now."]
    pace = "" if answer.pace_known else f", at {answer.pace * _DAY:.0f} shots a day"
    return [
        f"Read it next at {shots_text(answer.look_shots)} in all or on {date_text(at)}{pace}, "
        f"whichever comes first: {why}."
    ]


def _doubted(answer: Answer) -> list[str]:
    said: list[str] = []
    for read, weight in zip(answer.course.readings, answer.settling.weight, strict=True):
        if weight < _DOUBTED:
            said.append(
                f"The reading at {shots_text(read.moment.shots)} fits neither the others nor what "
                "is known of the fibre, and counts for little."
            )
    return said
