"""Look: when the line is to be read again, by when it may have moved or a reading would decide."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from strandwright.statistics.settling.fit import Settling
from strandwright.statistics.settling.judge import Judgement, Moment, Rule, Verdict

Floats = NDArray[np.float64]

#: Moments that are tried [-]
_PLACES = 32
_TWO_SIDED = 1.96


class Why(Enum):
    """Why the line is read then."""

    DECIDES = "a reading then is expected to decide"
    MAY_HAVE_MOVED = "it may have moved by more than the tolerance by then"
    LONGEST = "no longer than this without a look"
    NOW = "the last reading is in doubt"


@dataclass(frozen=True)
class Pace:
    """How fast shots come, and within what a look is asked for.

    Attributes
    ----------
    per_second : float
        Shots, > 0 [1/s].
    fewest_shots, most_shots : float
        No look before and none later than so many shots [-].
    longest : float
        None later than this [s].
    """

    per_second: float
    fewest_shots: float
    most_shots: float
    longest: float


@dataclass(frozen=True)
class NextLook:
    """When the line is to be read again.

    Attributes
    ----------
    shots : float
        Shots from now [-].
    time : float
        Time from now, at the pace of shots so far [s].
    why : Why
        What sets it.
    chance : float
        Chance that it will have moved by more than the tolerance by then [-].
    """

    shots: float
    time: float
    why: Why
    chance: float


def next_look(
    settling: Settling,
    now: Moment,
    rule: Rule,
    judgement: Judgement,
    pace: Pace,
    *,
    chance: float,
    reading_u: float,
    since: Moment | None = None,
) -> NextLook:
    """Find when the line is to be read again.

    Parameters
    ----------
    settling : Settling
        The fitted line.
    now : Moment
        Now.
    rule : Rule
        What it is held to.
    judgement : Judgement
        What was said of it.
    pace : Pace
        How fast shots come.
    chance : float
        Chance of having moved by more than the tolerance that is not waited beyond [-].
    reading_u : float
        Standard uncertainty of the reading to come [-].
    since : Moment or None
        When it was last read, from where moving counts; None counts from now.

    Returns
    -------
    NextLook
        The soonest of: when that chance is reached; where the line still moves, when a reading
        is expected to find it done; the longest that is gone without a look.

    Notes
    -----
    What a reading would leave uncertain follows from the draws as they are, taken as jointly
    normal: :math:`\\sigma^2_{m|r} = \\sigma_m^2 - \\sigma_{mr}^2/(\\sigma_r^2 + u^2)`.
    """
    if judgement.verdict is Verdict.READ_AGAIN:
        return NextLook(0.0, 0.0, Why.NOW, 0.0)
    last = min(pace.most_shots, pace.longest * pace.per_second)
    first = min(pace.fewest_shots, last)
    shots = np.geomspace(first, last, _PLACES)
    time = shots / pace.per_second
    seen = now if since is None else since
    at = settling.curve(np.r_[seen.shots, now.shots + shots], np.r_[seen.time, now.time + time])
    chances = (settling.foretold(at[:, 1:] - at[:, :1]) > rule.tolerance).mean(axis=0)
    places = [(_first(chances >= chance), Why.MAY_HAVE_MOVED)]
    if judgement.verdict is Verdict.STILL_MOVING:
        decides = _decides(settling, now, rule, shots, time, at[:, 1:], reading_u)
        places.insert(0, (_first(decides), Why.DECIDES))
    place, why = min(places, key=lambda p: p[0])
    if place >= _PLACES:
        place, why = _PLACES - 1, Why.LONGEST
    return NextLook(float(shots[place]), float(time[place]), why, float(chances[place]))


def _first(holds: NDArray[np.bool_]) -> int:
    return int(np.argmax(holds)) if holds.any() else len(holds)


def _decides(
    settling: Settling,
    now: Moment,
    rule: Rule,
    shots: Floats,
    time: Floats,
    at: Floats,
    reading_u: float,
) -> NDArray[np.bool_]:
    """Where a reading is expected to leave so little open that the line is done."""
    later = settling.curve(now.shots + shots + rule.ahead_shots, now.time + time + rule.ahead_time)
    ahead = settling.foretold(later - at)
    mean, read = ahead.mean(axis=0), at + settling.stepped(settling.steps.now)[:, None]
    away, seen = ahead - mean, read - read.mean(axis=0)
    common = (away * seen).mean(axis=0)
    left = (away**2).mean(axis=0) - common**2 / ((seen**2).mean(axis=0) + reading_u**2)
    return mean + _TWO_SIDED * np.sqrt(np.maximum(left, 0.0)) <= rule.tolerance
