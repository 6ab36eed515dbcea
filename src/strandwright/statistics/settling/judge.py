"""Judge: whether a line on the bow still moves, is done, or wants turns; every answer a chance.

What it will still move is taken over a stated stretch of shots and days from now; what it is off
is the line as it is now against the length it is held to. Both come from the same draws, so that
what is common to them stays common.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from strandwright.statistics.settling.fit import Settling, standard_draws

Floats = NDArray[np.float64]

_LOW, _HIGH = 0.025, 0.975


class Verdict(Enum):
    """What is to be done with a fitted line, by its length alone."""

    STILL_MOVING = "still moving"
    DONE = "done"
    TWIST_BACK = "twist back"
    READ_AGAIN = "read again"


@dataclass(frozen=True)
class Ranged:
    """A value with its 95 % range.

    Attributes
    ----------
    mean, low, high : float
        Mean, and where 2.5 % lie below and above [-].
    """

    mean: float
    low: float
    high: float

    @classmethod
    def of(cls, draws: Floats) -> Ranged:
        """Take mean and range of equally likely values.

        Parameters
        ----------
        draws : ndarray, shape (k,)
            The values [-].

        Returns
        -------
        Ranged
            Mean and range.
        """
        low, high = np.quantile(draws, (_LOW, _HIGH))
        return cls(float(draws.mean()), float(low), float(high))


@dataclass(frozen=True)
class Moment:
    """A moment in a line's service.

    Attributes
    ----------
    shots : float
        Shots since fitting, >= 0 [-].
    time : float
        Time since fitting, >= 0 [s].
    """

    shots: float
    time: float

    def later(self, shots: float, time: float) -> Moment:
        """Give a later moment.

        Parameters
        ----------
        shots : float
            Shots more [-].
        time : float
            Time more [s].

        Returns
        -------
        Moment
            The moment.
        """
        return Moment(self.shots + shots, self.time + time)


@dataclass(frozen=True)
class Rule:
    """What a line is held to.

    Attributes
    ----------
    tolerance : float
        What it may be off or may still move, over the length asked for, > 0 [-].
    ahead_shots : float
        Shots over which it must stay, > 0 [-].
    ahead_time : float
        Time over which it must stay, > 0 [s].
    per_turn : float
        What one turn put in does to the length, below zero [-].
    aim : Moment or None
        Since when it is as it is wanted; None holds it to the length asked for.
    aim_steps : ndarray or None
        How much of each step the line had in it then [-].
    sure : float
        Chance from which an act on the bow is worth it [-].
    surprising : float
        Deviations from which the last reading is to be read again [-].
    """

    tolerance: float
    ahead_shots: float
    ahead_time: float
    per_turn: float
    aim: Moment | None = None
    aim_steps: Floats | None = None
    sure: float = 0.8
    surprising: float = 3.5


@dataclass(frozen=True)
class Judgement:
    """What the readings say of a line on the bow.

    Attributes
    ----------
    verdict : Verdict
        By its length alone.
    off : Ranged
        Longer than it should be, negative when shorter [-].
    further : Ranged
        What it will still get longer over the stretch ahead [-].
    chance_moved : float
        Chance that this is more than the tolerance [-].
    halves : int
        Half turns to put in, taken out where negative; 0 where none would better it [half turn].
    """

    verdict: Verdict
    off: Ranged
    further: Ranged
    chance_moved: float
    halves: int


def deviation(settling: Settling, now: Moment, rule: Rule) -> Floats:
    """Length now against what it is held to.

    Parameters
    ----------
    settling : Settling
        The fitted line.
    now : Moment
        Now.
    rule : Rule
        What it is held to.

    Returns
    -------
    ndarray, shape (DRAWS,)
        Equally likely values, positive where it is too long [-].
    """
    if rule.aim is None:
        return settling.curve([now.shots], [now.time])[:, 0] + settling.stepped(settling.steps.now)
    both = settling.curve([rule.aim.shots, now.shots], [rule.aim.time, now.time])
    then = np.zeros_like(settling.steps.now) if rule.aim_steps is None else rule.aim_steps
    return both[:, 1] - both[:, 0] + settling.stepped(settling.steps.now - then)


def movement(settling: Settling, now: Moment, then: Moment) -> Floats:
    """What a line gets longer from one moment to a later one.

    Parameters
    ----------
    settling : Settling
        The fitted line.
    now, then : Moment
        The moments.

    Returns
    -------
    ndarray, shape (DRAWS,)
        Equally likely values [-].
    """
    both = settling.curve([now.shots, then.shots], [now.time, then.time])
    return settling.foretold(both[:, 1] - both[:, 0])


def creep_excess(settling: Settling, now: Moment, ahead: float) -> float:
    """Chance that the line creeps more than its fibre explains.

    Parameters
    ----------
    settling : Settling
        The fitted line.
    now : Moment
        Now.
    ahead : float
        Time over which creep is compared, > 0 [s].

    Returns
    -------
    float
        Chance that the creep to come, bedding-in left out, is more than all but 2.5 % of lines of
        this fibre would have by what was known before any reading [-].
    """
    prior = settling.prior
    decades = float(np.log10((prior.start + now.time + ahead) / (prior.start + now.time)))

    def crept(points: Floats) -> Floats:
        return np.exp(points[:, 4]) * decades + np.exp(points[:, 5]) * ahead

    before = crept(prior.mean + prior.u * standard_draws(prior.mean.size))
    return float((crept(settling.draws) > np.quantile(before, _HIGH)).mean())


def judge(settling: Settling, now: Moment, rule: Rule, *, read: bool) -> Judgement:
    """Judge a line by what its readings say.

    Parameters
    ----------
    settling : Settling
        The fitted line.
    now : Moment
        Now.
    rule : Rule
        What it is held to.
    read : bool
        Whether it was read at all; without a reading no turn is advised.

    Returns
    -------
    Judgement
        The verdict with its numbers.

    Notes
    -----
    Done is a line of which 97.5 % say that it stays within the tolerance over the stretch ahead.
    Turns are advised for one that is done, that is off by more than half of what half a turn does
    and then by more than half a turn with the stated chance. A first reading that surprises is
    read again too: nothing else says yet that it was well read.
    """
    further = movement(settling, now, now.later(rule.ahead_shots, rule.ahead_time))
    off = deviation(settling, now, rule)
    ranged, ahead = Ranged.of(off), Ranged.of(further)
    stays = ahead.high <= rule.tolerance
    halves = _halves(off, rule) if read and stays else 0
    verdict = Verdict.STILL_MOVING
    if settling.surprise.size and abs(settling.surprise[-1]) > rule.surprising:
        verdict, halves = Verdict.READ_AGAIN, 0
    elif stays and read:
        verdict = Verdict.TWIST_BACK if halves else Verdict.DONE
    return Judgement(verdict, ranged, ahead, float((further > rule.tolerance).mean()), halves)


def _halves(off: Floats, rule: Rule) -> int:
    """Half turns that bring it nearest to length, where it is surely off by more than one."""
    half = 0.5 * abs(rule.per_turn)
    if half == 0.0:
        return 0
    middle = float(np.median(off))
    if float((np.sign(middle) * off > half).mean()) < rule.sure:
        return 0
    return int(math.copysign(math.floor(abs(middle) / half + 0.5), middle))
