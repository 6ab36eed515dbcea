"""Phrases that the steps of several kinds of line share, short, as the bench says them."""

from __future__ import annotations

from strandwright.planning.steps.words import Words

#: A serving that begins this near to where a loop closes begins there [m]
_AT_THE_THROAT = 0.005


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


def reach_said(words: Words, start: float, stop: float, stage: str = "marking") -> str:
    """Say from where to where to serve, told from the nearer pin; at an end, from the throat.

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
        ``from where the loop closes to 8 in from the upper pin``.
    """
    lies = words.plan.stage(stage)
    length, first, last = (e.value for e in (lies.length, lies.edges[0], lies.edges[-1]))
    line, written = words.plan.job.line, words.written
    at_zero, at_far = start < first + _AT_THE_THROAT, stop > last - _AT_THE_THROAT
    if at_zero and at_far:
        return "from where one loop closes to where the other does"
    if at_far or (not at_zero and start + stop > length):
        name, near, away = line.far_end.name, length - stop, length - start
    else:
        name, near, away = line.zero_end.name, start, stop
    if at_zero or at_far:
        return f"from where the loop closes to {written.length(away)} from the {name} pin"
    return f"{written.length(near)} to {written.length(away)} from the {name} pin"
