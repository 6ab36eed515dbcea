"""Phrases that the steps of several kinds of line share, short, as the bench says them."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.planning.result import Plan
from strandwright.planning.steps.words import Words
from strandwright.planning.written import Written

#: A serving that begins this near to where a loop closes begins there [m]
_AT_THE_THROAT = 0.005
_THROAT = "the throat"
#: The same where a serving of the line, that ties a yoke's legs, has the name
_CLOSES = "where the loop closes"


def let_down_line() -> str:
    """Say that the load comes off.

    Returns
    -------
    str
        A line of a step.
    """
    return "then let right down"


def rest_line(words: Words) -> str:
    """Say how long the line rests before a length is read.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    str
        A line of a step.
    """
    return (
        f"then let down and rest {words.written.duration(words.plan.rest)} before the length "
        "is read"
    )


def turning_lines(end: str) -> tuple[str, str]:
    """Say how turns are put in or taken out by hand.

    Parameters
    ----------
    end : str
        The end, or the leg, whose loop is turned.

    Returns
    -------
    tuple of str
        Lines of a step.
    """
    return (
        f"let right down and lift the loop of {end} off its pin",
        "mark one side of the loop, turn it, count that mark round; hang it back",
    )


def more_said(words: Words) -> str:
    """Say how many turns the full count puts on those of part way.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    str
        ``, 13 1/2 turns more than part way``; empty where it is as many.
    """
    full, part = (round(2.0 * t) for t in (words.plan.twist.turns, words.plan.stage("half").turns))
    if full == part:
        return ""
    way = "more" if full > part else "fewer"
    return f", {words.turns(0.5 * abs(full - part))} turns {way} than part way"


def locked_at(words: Words, load: float) -> str:
    """Say at what load hands work at the line.

    Parameters
    ----------
    words : Words
        The plan in words.
    load : float
        On the gauge [N]

    Returns
    -------
    str
        A headline or a line of a step.
    """
    return f"at {words.written.force(load)}, the pull locked"


@dataclass(frozen=True)
class Reach:
    """From where to where something lies, told from the nearer pin; at an end, from the throat.

    Attributes
    ----------
    start, stop : str
        The nearer and the further edge; the nearer one may be ``the throat``.
    pin : str
        From which pin.
    """

    start: str
    stop: str
    pin: str


def reach_of(plan: Plan, start: float, stop: float, stage: str = "marking") -> Reach:
    """Tell from where to where to serve, as a short tape can lay it off.

    Parameters
    ----------
    plan : Plan
        The plan.
    start, stop : float
        From the outside of the zero pin, as the line lies at that stage [m]
    stage : str
        The stage it is laid off at.

    Returns
    -------
    Reach
        From the pin of its own half.
    """
    lies, to = plan.stage(stage), Written.on(plan.job.paper)
    length, first, last = (e.value for e in (lies.length, lies.edges[0], lies.edges[-1]))
    line = plan.job.line
    throat = _CLOSES if plan.yoke is not None and plan.yoke.legs else _THROAT
    at_zero, at_far = start < first + _AT_THE_THROAT, stop > last - _AT_THE_THROAT
    if at_zero and at_far:
        return Reach(throat, f"{throat} of the other loop", line.zero_end.name)
    if at_far or (not at_zero and start + stop > length):
        name, near, away = line.far_end.name, length - stop, length - start
    else:
        name, near, away = line.zero_end.name, start, stop
    return Reach(throat if at_zero or at_far else to.length(near), to.length(away), name)


def begins_at_throat(plan: Plan, start: float, stop: float) -> bool:
    """Tell whether something begins where a loop closes.

    Parameters
    ----------
    plan : Plan
        The plan.
    start, stop : float
        From the outside of the zero pin, as the line lies when it is marked [m]

    Returns
    -------
    bool
        True at either end.
    """
    return reach_of(plan, start, stop).start in (_THROAT, _CLOSES)


def reach_said(words: Words, start: float, stop: float, stage: str = "marking") -> str:
    """Say from where to where to serve.

    Parameters
    ----------
    words : Words
        The plan in words.
    start, stop : float
        From the outside of the zero pin, as the line lies at that stage [m]
    stage : str
        The stage it is laid off at.

    Returns
    -------
    str
        ``the throat to 8 in, from the upper limb pin``.
    """
    reach = reach_of(words.plan, start, stop, stage)
    return f"{reach.start} to {reach.stop}, from the {reach.pin} pin"


def place_said(words: Words, place: float, stage: str = "marking") -> str:
    """Say where a mark is laid, from the nearer pin.

    Parameters
    ----------
    words : Words
        The plan in words.
    place : float
        From the outside of the zero pin, as the line lies at that stage [m]
    stage : str
        The stage it is laid off at.

    Returns
    -------
    str
        ``32 1/4 in from the upper limb pin``.
    """
    length = words.plan.stage(stage).length.value
    line = words.plan.job.line
    far = 2.0 * place > length
    name = line.far_end.name if far else line.zero_end.name
    return f"{words.written.length(length - place if far else place)} from the {name} pin"
