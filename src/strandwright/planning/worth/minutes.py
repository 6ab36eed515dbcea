"""Minutes: what a reading costs, and what a line that is not right at once costs."""

from __future__ import annotations

from strandwright.line.route import TWO_PULLS
from strandwright.planning.prepare import Prepared
from strandwright.reference import practice


def work(name: str) -> float:
    """Give how long a piece of work takes.

    Parameters
    ----------
    name : str
        Its row among those of practice, without ``work.``.

    Returns
    -------
    float
        Time [s]
    """
    return practice(f"work.{name}").value


def waited(seconds: float) -> float:
    """Give what a wait costs: other work is done meanwhile.

    Parameters
    ----------
    seconds : float
        How long nothing is to be done [s]

    Returns
    -------
    float
        Time it counts as [s]
    """
    return practice("work.waiting_counts").value * seconds


def correction(prepared: Prepared) -> float:
    """Give what a first proof out of tolerance costs: turn, settle twice, rest, read again.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.

    Returns
    -------
    float
        Time [s]
    """
    rest = waited(prepared.loads.rest)
    return work("turning") + TWO_PULLS + rest + work("reading")


def saved(prepared: Prepared, gain_first: float, gain: float) -> float:
    """Expected time that greater chances save.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    gain_first : float
        Rise of the chance to be right at the first proof, each failure of which costs a
        correction [-]
    gain : float
        Rise of the chance to be right after it, each failure of which is found on the bow [-]

    Returns
    -------
    float
        Time [s]
    """
    return gain_first * correction(prepared) + gain * work("on_the_bow")
