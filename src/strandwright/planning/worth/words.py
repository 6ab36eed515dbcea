"""Words: what a remedy or a reading gains, as a technician says it."""

from __future__ import annotations

from strandwright.planning.result import ReadingWorth, Remedy
from strandwright.planning.worth.grounds import WORTH_TELLING


def of_hundred(chance: float) -> str:
    """Write a chance as so many of a hundred; none is ever certain.

    Parameters
    ----------
    chance : float
        The chance [-]

    Returns
    -------
    str
        ``87``, ``over 99``, ``under 1``.
    """
    if chance > 0.99:
        return "over 99"
    return "under 1" if chance < 0.01 else f"{100.0 * chance:.0f}"


def remedy_said(remedy: Remedy) -> str:
    """Say what a remedy gains.

    Parameters
    ----------
    remedy : Remedy
        The remedy.

    Returns
    -------
    str
        Such as ``Put a load cell on the pull: 94 of 100 lines would be right at the first proof,
        now 90``; the first proof is told of unless the chance after it gains more.
    """
    name = _capital(remedy.name)
    if remedy.gain > remedy.gain_first:
        return f"{name}: {_then(remedy.chance, remedy.gain)}"
    return f"{name}: {_then(remedy.chance_first, remedy.gain_first, first=True)}"


def reading_said(worth: ReadingWorth) -> str:
    """Say why a reading is worth taking now, in one sentence.

    Parameters
    ----------
    worth : ReadingWorth
        The reading.

    Returns
    -------
    str
        Such as ``in 2 min: 87 of 100 lines would be right at the first proof, now 71``.
    """
    first = worth.gain_first >= worth.gain
    then = worth.chance_first if first else worth.chance
    gain = worth.gain_first if first else worth.gain
    return f"in {minutes_said(worth.time)}: {_then(then, gain, first=first)}"


def when_said(worth: ReadingWorth) -> str:
    """Say when a reading is to be taken, and why.

    Parameters
    ----------
    worth : ReadingWorth
        The reading.

    Returns
    -------
    str
        A few words.
    """
    if worth.stage == "proof" and worth.asked:
        return "now: it proves the line"
    if worth.when == "now":
        return "now: the turns hang on it"
    if worth.when == "later":
        return "later: others tell the same"
    if max(worth.gain_first, worth.gain) < WORTH_TELLING:
        return "not at all: it tells little"
    return "not at all: it saves no time"


def cost_said(time: float, once: str = "") -> str:
    """Say what something costs.

    Parameters
    ----------
    time : float
        Time with each line [s]
    once : str
        What it costs once, in words; empty where it costs time.

    Returns
    -------
    str
        ``6 min a line``, ``to buy, once`` or ``nothing``.
    """
    if once:
        return once
    return f"{minutes_said(time)} a line" if time > 0.0 else "nothing"


def minutes_said(time: float) -> str:
    """Write a time of work in whole minutes, one at the least.

    Parameters
    ----------
    time : float
        The time [s]

    Returns
    -------
    str
        ``6 min``.
    """
    return f"{max(round(time / 60.0), 1)} min"


def chances_said(first: float, after: float) -> str:
    """Say how surely a line lands, first and corrected.

    Parameters
    ----------
    first : float
        Chance at the first proof [-]
    after : float
        Chance once corrected there [-]

    Returns
    -------
    str
        A sentence without its stop.
    """
    return (
        f"{of_hundred(first)} of 100 such lines are right at the first proof, "
        f"{of_hundred(after)} once they were corrected there"
    )


def _then(chance: float, gain: float, *, first: bool = False) -> str:
    what = "be right at the first proof" if first else "land"
    return f"{of_hundred(chance)} of 100 lines would {what}, now {of_hundred(chance - gain)}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
