r"""Tuning: which turns in which lines bring a bow back to its figures, and how sure that is.

A turn shortens a line by a known length and moves every figure by a coefficient. Coefficients
are a Gaussian: from a family of bows, from nothing but a wide guess, or from either after the
technician's own readings,

.. math:: \Delta y = C n + \text{noise}, \qquad
    \operatorname{vec} C \sim N(\mu, \Sigma),

so that before and after of one trial teach all that this bow's trial can teach. The turns asked
for are half or whole: all within the lines' limits are looked at, and the one taken with the
least expected miss, in tolerances, and the least work.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import SpecError

Floats = NDArray[np.float64]
#: Work against misses: what a turn, and a line touched at all, weigh in squared tolerances.
_PER_TURN, _PER_LINE = 0.01, 0.05
#: Trials looked at in one go; three lines of twenty half turns either way are fewer.
_MOST = 400_000


@dataclass(frozen=True)
class Coefficients:
    """What one turn put into each line does to each figure.

    Attributes
    ----------
    figures, lines : tuple of str
        Names of the rows and columns.
    mean : ndarray, shape (figures, lines)
        Change of a figure by one turn put in [unit of the figure].
    covariance : ndarray, shape (figures * lines, figures * lines)
        Of the same, row by row [unit of the figure, squared].
    source : str
        Where they come from, in words.
    """

    figures: tuple[str, ...]
    lines: tuple[str, ...]
    mean: Floats
    covariance: Floats
    source: str

    @property
    def uncertainty(self) -> Floats:
        """Standard uncertainty of each coefficient, (figures, lines) [unit of the figure]."""
        return np.sqrt(np.diagonal(self.covariance)).reshape(self.mean.shape)

    def effect(self, turns: Floats) -> tuple[Floats, Floats]:
        """Change of the figures by turns, with its covariance.

        Parameters
        ----------
        turns : ndarray, shape (trials, lines)
            Turns put into each line, taken out where negative [-]

        Returns
        -------
        mean : ndarray, shape (trials, figures)
            Change [unit of the figure].
        variance : ndarray, shape (trials, figures)
            Of the same [unit of the figure, squared].
        """
        count = len(self.figures)
        cov = self.covariance.reshape(count, len(self.lines), count, len(self.lines))
        own = np.stack([cov[k, :, k, :] for k in range(count)])
        return turns @ self.mean.T, np.einsum("tl,klm,tm->tk", turns, own, turns)


@dataclass(frozen=True)
class Trial:
    """Turns that were put in, and what the bow read before and after.

    Attributes
    ----------
    turns : Mapping-like tuple of (str, float)
        Line and turns put in, negative where taken out [-].
    changes : tuple of (str, float, float)
        Figure, its change, and the standard uncertainty of the change [unit of the figure].
    """

    turns: tuple[tuple[str, float], ...]
    changes: tuple[tuple[str, float, float], ...]


@dataclass(frozen=True)
class Aim:
    """Where one figure is and where it should be.

    Attributes
    ----------
    figure : str
        Which.
    now, now_u : float
        As measured, and its standard uncertainty [unit of the figure].
    wanted, within : float
        What it should be, and how near, > 0 [unit of the figure].
    """

    figure: str
    now: float
    now_u: float
    wanted: float
    within: float


@dataclass(frozen=True)
class Homeward:
    """Turns that bring a bow home, and what to expect of them.

    Attributes
    ----------
    turns : tuple of float
        For each line, negative to take out [-].
    expected, expected_u : tuple of float
        Each aimed figure afterwards, and its standard uncertainty [unit of the figure].
    chance : tuple of float
        Chance that each figure ends within what was asked [-].
    at_limit : tuple of bool
        For each line, whether as many turns as it may take are put in or taken out.
    miss : float
        Expected squared miss over all figures, in what was asked of each [-].
    """

    turns: tuple[float, ...]
    expected: tuple[float, ...]
    expected_u: tuple[float, ...]
    chance: tuple[float, ...]
    at_limit: tuple[bool, ...]
    miss: float


def coefficients(
    figures: tuple[str, ...],
    lines: tuple[str, ...],
    response: Floats,
    doubt: float,
    source: str,
) -> Coefficients:
    """Make coefficients from a family's responses.

    Parameters
    ----------
    figures, lines : tuple of str
        Names of the rows and columns.
    response : ndarray, shape (bows, figures, lines)
        Change of each figure by one turn, bow by bow [unit of the figure]
    doubt : float
        Relative standard uncertainty of what all the bows leave out, >= 0 [-]
    source : str
        Where they come from.

    Returns
    -------
    Coefficients
        Mean and spread over the family, with the doubt.
    """
    flat = response.reshape(len(response), -1)
    mean = flat.mean(axis=0)
    spread = np.cov(flat.T, ddof=1) if len(flat) > 1 else np.zeros((len(mean), len(mean)))
    covariance = np.atleast_2d(spread) + np.diag((doubt * mean) ** 2)
    return Coefficients(figures, lines, mean.reshape(len(figures), len(lines)), covariance, source)


def learn(known: Coefficients, trials: Sequence[Trial]) -> Coefficients:
    """Learn from what turns did to this very bow.

    Parameters
    ----------
    known : Coefficients
        What was known before.
    trials : sequence of Trial
        Readings before and after.

    Returns
    -------
    Coefficients
        Conditioned on all of them at once.

    Raises
    ------
    SpecError
        If a trial names a line or a figure that is not there, or its +- is not over 0.
    """
    rows, seen, noise = [], [], []
    for trial in trials:
        turns = np.zeros(len(known.lines))
        for line, count in trial.turns:
            turns[_index(known.lines, line, "line")] += count
        for figure, change, u in trial.changes:
            row = np.zeros(known.mean.shape)
            row[_index(known.figures, figure, "figure")] = turns
            if not u > 0:
                raise SpecError(f"change of {figure}", u, "must have a +- over 0", "give its +-")
            rows.append(row.ravel())
            seen.append(change)
            noise.append(u * u)
    if not rows:
        return known
    design = np.array(rows)
    carried = known.covariance @ design.T
    inner = design @ carried + np.diag(noise)
    gain = np.linalg.solve(inner, carried.T).T
    mean = known.mean.ravel() + gain @ (np.array(seen) - design @ known.mean.ravel())
    left = known.covariance - gain @ carried.T
    source = f"{known.source}; {len(trials)} trial{'s' if len(trials) > 1 else ''} on this bow"
    return replace(
        known, mean=mean.reshape(known.mean.shape), covariance=0.5 * (left + left.T), source=source
    )


def bring_home(
    known: Coefficients,
    aims: Sequence[Aim],
    limits: Sequence[tuple[float, float]],
    step: float = 0.5,
) -> Homeward:
    """Find the turns that bring a bow home.

    Parameters
    ----------
    known : Coefficients
        What a turn does.
    aims : sequence of Aim
        Figures measured, and where they should be; at least one.
    limits : sequence of (float, float)
        For each line the most turns that may be taken out (negative) and put in [-]
    step : float
        0.5 for half turns, 1 for whole ones [-]

    Returns
    -------
    Homeward
        The best of all trials within the limits.

    Raises
    ------
    SpecError
        If no figure is aimed at, one is not known, or its tolerance is not over 0.
    """
    if not aims:
        rule = "must have at least one measured figure with what it should be"
        raise SpecError("aims", "none", rule, "measure brace height or axle-to-axle")
    for aim in aims:
        if not aim.within > 0:
            raise SpecError(f"{aim.figure}.within", aim.within, "must be over 0", "say how near")
    rows = [_index(known.figures, aim.figure, "figure") for aim in aims]
    trials = _trials(limits, step)
    shift, variance = known.effect(trials)
    within = np.array([aim.within for aim in aims])
    end = np.array([aim.now for aim in aims]) + shift[:, rows]
    spread = variance[:, rows] + np.array([aim.now_u for aim in aims]) ** 2
    off = (end - np.array([aim.wanted for aim in aims])) / within
    miss = np.sum(off**2 + spread / within**2, axis=1)
    work = _PER_TURN * np.abs(trials).sum(axis=1) + _PER_LINE * (trials != 0).sum(axis=1)
    best = int(np.argmin(miss + work))
    u = np.sqrt(spread[best])
    ends = (trials[best] == trials.min(axis=0)) | (trials[best] == trials.max(axis=0))
    return Homeward(
        tuple(float(t) for t in trials[best]),
        tuple(float(v) for v in end[best]),
        tuple(float(v) for v in u),
        tuple(_chance(o, s) for o, s in zip(off[best], u / within, strict=True)),
        tuple(bool(end) for end in ends & (trials[best] != 0)),
        float(miss[best]),
    )


def _trials(limits: Sequence[tuple[float, float]], step: float) -> Floats:
    ranges: list[Floats] = []
    for low, high in limits:
        if not low <= 0 <= high:
            rule = "must let a line be left as it is"
            raise SpecError("limits", f"{low:g} to {high:g}", rule, "give a range about 0")
        ranges.append(step * np.arange(np.ceil(low / step), np.floor(high / step) + 1))
    while np.prod([len(r) for r in ranges]) > _MOST:
        longest = max(range(len(ranges)), key=lambda i: len(ranges[i]))
        ranges[longest] = ranges[longest][np.argsort(np.abs(ranges[longest]))[:-2]]
    return np.array(list(itertools.product(*ranges)))


def _chance(off: float, spread: float) -> float:
    """Chance that a normal figure ends within one tolerance of what is wanted."""
    from math import erf, sqrt

    scale = max(spread, 1e-9) * sqrt(2.0)
    return 0.5 * (erf((1.0 - off) / scale) + erf((1.0 + off) / scale))


def _index(names: tuple[str, ...], name: str, what: str) -> int:
    if name not in names:
        raise SpecError(what, name, f"must be one of {', '.join(names)}", f"name a known {what}")
    return names.index(name)
