"""Fit: what readings of a fitted line say of its settling, one bad reading among them.

Beside the law's unknowns there may be *steps*: what a reading also depends on, straight. Turns
put in on the bow shorten the line by about so much each; a line that was off and on again sits a
little otherwise; a brace height stands on a zero of its own. Each has a value beforehand and an
uncertainty, and is learned with the rest, so that readings before and after belong to one curve.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.numerics.outcome import Outcome
from strandwright.statistics.robust_noise import robust_noise
from strandwright.statistics.settling.law import NAMES, Prior, elongation, with_slopes
from strandwright.statistics.settling.mode import Curve, Mode, most_probable

Floats = NDArray[np.float64]

#: Draws by which a curved posterior is carried on, in pairs about the mode [-]
DRAWS = 512
_SEED = 20
#: How much wider than the spread found so far they are thrown, round by round [-]
_WIDER = (1.3, 1.2, 1.1)
#: Power of the weights by which a round's mean and spread are taken [-]
_TEMPER = 0.6
#: Draws that must stay worth something, or the mode's covariance is taken as it is [-]
_WORTH = 0.04
#: Times the readings are weighed anew and fitted again [-]
_ROUNDS = 2
#: A reading that keeps less than this of its weight is an odd one [-]
_ODD = 0.3
_LAW = len(NAMES)
#: Gain of the sum of squares that no longer matters [-]
_ENOUGH = 1e-6


@dataclass(frozen=True, eq=False)
class Steps:
    """What readings depend on beside the law.

    Attributes
    ----------
    at : ndarray, shape (n, s)
        How much of each step each reading has in it [-].
    now : ndarray, shape (s,)
        How much of it the line has in it now, 0 for what is the reading's alone [-].
    mean, u : ndarray, shape (s,)
        Each step beforehand and its standard uncertainty, > 0 [-].
    """

    at: Floats
    now: Floats
    mean: Floats
    u: Floats

    @classmethod
    def none(cls, count: int) -> Steps:
        """Give no steps.

        Parameters
        ----------
        count : int
            Readings [-].

        Returns
        -------
        Steps
            None for each.
        """
        return cls(np.zeros((count, 0)), np.zeros(0), np.zeros(0), np.zeros(0))


@dataclass(frozen=True, eq=False)
class Settling:
    """A line's settling as its readings have it.

    Attributes
    ----------
    prior : Prior
        What was known before.
    steps : Steps
        What the readings also depend on.
    mode : Mode
        The most probable unknowns: those of the law, then the steps.
    draws : ndarray, shape (DRAWS, 6 + s)
        Equally likely sets of unknowns [working units].
    weight : ndarray, shape (n,)
        What is left of each reading's weight, above 0 to 1 [-].
    surprise : ndarray, shape (n,)
        Each reading less what the others and the prior expect of it, over the deviation of that
        [-].
    """

    prior: Prior
    steps: Steps
    mode: Mode
    draws: Floats
    weight: Floats
    surprise: Floats

    def curve(self, shots: ArrayLike, time: ArrayLike) -> Floats:
        """Elongation by the law, no step in it, at some moments.

        Parameters
        ----------
        shots : array_like, shape (m,)
            Shots since fitting, >= 0 [-].
        time : array_like, shape (m,)
            Time since fitting, >= 0 [s].

        Returns
        -------
        ndarray, shape (DRAWS, m)
            Equally likely values [-].
        """
        return elongation(self.draws, shots, time, self.prior.start)

    def foretold(self, change: Floats) -> Floats:
        """Carry the doubt of the law itself into what it foretells.

        Parameters
        ----------
        change : ndarray, shape (DRAWS, ...)
            Changes of length yet to come, by the law [-].

        Returns
        -------
        ndarray, shape (DRAWS, ...)
            The same, each times a factor about 1 that does not hang on the unknowns [-].
        """
        factor = np.exp(self.prior.law * standard_draws(1)[:, 0])
        return change * factor.reshape(-1, *[1] * (change.ndim - 1))

    def stepped(self, share: ArrayLike) -> Floats:
        """What given shares of the steps do to the length.

        Parameters
        ----------
        share : array_like, shape (s,)
            How much of each [-].

        Returns
        -------
        ndarray, shape (DRAWS,)
            Equally likely values, below zero where the line is shorter [-].
        """
        return self.draws[:, _LAW:] @ np.asarray(share, dtype=np.float64)


def fit_settling(
    prior: Prior,
    shots: ArrayLike,
    time: ArrayLike,
    read: ArrayLike,
    u: ArrayLike,
    steps: Steps | None = None,
) -> Outcome[Settling]:
    """Fit the law to readings of a line on the bow.

    Parameters
    ----------
    prior : Prior
        What is known before the first of them.
    shots : array_like, shape (n,)
        Shots since fitting at each reading, >= 0; n may be 0 [-].
    time : array_like, shape (n,)
        Time since fitting at each, >= 0 [s].
    read : array_like, shape (n,)
        Elongation read, over the length asked for [-].
    u : array_like, shape (n,)
        Standard uncertainty of each by itself, > 0 [-].
    steps : Steps or None
        What they also depend on.

    Returns
    -------
    Outcome of Settling
        Without readings it is the prior.

    Notes
    -----
    The order of the readings does not matter. A reading that fits neither the others nor the
    prior loses weight (:mod:`strandwright.statistics.robust_noise`). Where all of
    several do, and most of them agree, it is the length at fitting that is doubted instead, by as
    much as they are off from it.
    """
    n, t, y, deviation = (
        np.atleast_1d(np.asarray(given, dtype=np.float64)) for given in (shots, time, read, u)
    )
    steps = Steps.none(n.size) if steps is None else steps
    mean, spread = np.r_[prior.mean, steps.mean], np.r_[prior.u, steps.u]

    def curve(point: Floats) -> tuple[Floats, Floats]:
        value, slopes = with_slopes(point, n, t, prior.start)
        return value + steps.at @ point[_LAW:], np.hstack([slopes, steps.at])

    outcome, weight = _weighed(curve, y, deviation, mean, spread)
    if n.size > 1 and (weight < _ODD).all():
        # Of readings that are all odd beside the prior it may be the prior that is: what was known
        # of the length at fitting is one reading, and most of them have to agree against it.
        off = np.abs(y - steps.at @ steps.mean - mean[0]).max()
        wider = np.r_[np.hypot(spread[0], off), spread[1:]]
        other, kept = _weighed(curve, y, deviation, mean, wider)
        if 2 * np.count_nonzero(kept > _ODD) > n.size:
            outcome, weight, spread = other, kept, wider
    mode, variance = outcome.value, deviation**2 / weight

    def cost(points: Floats) -> Floats:
        said = elongation(points, n, t, prior.start) + points[:, _LAW:] @ steps.at.T
        left = (y - said) ** 2 @ (1.0 / variance)
        return left + ((points - mean) ** 2) @ (1.0 / spread**2)

    draws = _drawn(mode, cost) if n.size else mean + spread * standard_draws(mean.size)
    found = Settling(prior, steps, mode, draws, weight, _surprise(mode, y, deviation, variance))
    return Outcome(found, outcome.ok, outcome.reason, outcome.residual, outcome.iterations)


def _weighed(
    curve: Curve, read: Floats, deviation: Floats, mean: Floats, u: Floats
) -> tuple[Outcome[Mode], Floats]:
    """Find the most probable unknowns, and what is left of each reading's weight."""
    weight = np.ones(read.size)
    outcome = most_probable(curve, read, deviation**2, mean, u, enough=_ENOUGH)
    for _ in range(_ROUNDS if read.size > 1 else 0):
        mode = outcome.value
        if (np.abs(read - mode.value) <= deviation).all():
            # Within one deviation every reading keeps its weight.
            break
        straight = read - mode.value + mode.slopes @ mode.point
        noise = np.diag(deviation**2)
        new = robust_noise(mode.slopes, straight, noise, mean, np.diag(u**2)).weight
        changed = np.abs(new - weight).max() >= 1e-3
        weight = new
        if not changed:
            break
        outcome = most_probable(
            curve, read, deviation**2 / weight, mean, u, mode.point, enough=_ENOUGH
        )
    return outcome, weight


@lru_cache(maxsize=16)
def standard_draws(size: int) -> Floats:
    """Give standard normal draws in pairs about zero, always the same.

    Parameters
    ----------
    size : int
        Unknowns [-].

    Returns
    -------
    ndarray, shape (DRAWS, size)
        The draws; whoever gets them leaves them as they are [-].
    """
    half = np.random.default_rng(_SEED).standard_normal((DRAWS // 2, size))
    return np.concatenate([half, -half])


def _drawn(mode: Mode, cost: Callable[[Floats], Floats]) -> Floats:
    """Draw from the posterior: thrown about the mode, weighed, and thrown anew where it lies.

    Each round throws from the mean and spread that the last one found; the last is taken by its
    weights, each draw as often as it is worth [1]_.
    """
    size = mode.point.size
    middle, covariance = mode.point, mode.covariance
    z = standard_draws(size)
    points, weight = middle + z @ _root(covariance).T, np.full(DRAWS, 1.0 / DRAWS)
    for wider in _WIDER:
        points = middle + wider * z @ _root(covariance).T
        with np.errstate(over="ignore", invalid="ignore"):
            log_weight = -0.5 * cost(points) + 0.5 * (z**2).sum(axis=1)
        log_weight = np.where(np.isfinite(log_weight), log_weight, -np.inf)
        weight = np.exp(log_weight - log_weight.max())
        weight /= weight.sum()
        # Some mass stays where it was, so that a few heavy draws do not narrow the next throw.
        tempered = np.maximum(weight, 1e-300) ** _TEMPER
        tempered /= tempered.sum()
        middle = tempered @ points
        away = points - middle
        covariance = (away * tempered[:, None]).T @ away + 1e-12 * np.diag(np.diagonal(covariance))
    if 1.0 / float(weight @ weight) < _WORTH * DRAWS:
        return mode.point + z @ _root(mode.covariance).T
    places = (np.arange(DRAWS) + 0.5) / DRAWS
    taken = np.searchsorted(np.cumsum(weight), places)
    return points[np.minimum(taken, DRAWS - 1)]


def _root(covariance: Floats) -> Floats:
    """Lower root of a covariance whose unknowns may differ much in size."""
    scale = np.sqrt(np.diagonal(covariance))
    inner = covariance / np.outer(scale, scale) + 1e-10 * np.eye(scale.size)
    return np.asarray(scale[:, None] * np.linalg.cholesky(inner), dtype=np.float64)


def _surprise(mode: Mode, read: Floats, deviation: Floats, variance: Floats) -> Floats:
    """How far each reading is from what all else expects, in deviations."""
    if read.size == 0:
        return np.zeros(0)
    held = np.einsum("ij,jk,ik->i", mode.slopes, mode.covariance, mode.slopes)
    left = read - mode.value
    # Taking a reading out again leaves all else: of its residual, and of its share in what is held.
    share = np.clip(held / variance, 0.0, 1.0 - 1e-9)
    alone = left / (1.0 - share)
    return alone / np.sqrt(deviation**2 + held / (1.0 - share))
