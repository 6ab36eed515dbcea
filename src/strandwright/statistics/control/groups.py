"""Groups: the level of each bench, lot or builder, and whether they differ beyond chance."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.statistics.control.individuals import IndividualsChart
from strandwright.statistics.control.series import Floats, Series
from strandwright.statistics.control.shuffled import chance_of, shuffled_orders


@dataclass(frozen=True)
class GroupMean:
    """The level of one group.

    Attributes
    ----------
    name : str
        Which.
    count : int
        Its values [-].
    mean : float
        Their mean, weighted as the chart weighs [unit of the series].
    u : float
        Its standard uncertainty, by the scatter within groups [unit of the series].
    first : int
        Its oldest value [-].
    """

    name: str
    count: int
    mean: float
    u: float
    first: int


@dataclass(frozen=True)
class Grouped:
    """The groups of one kind.

    Attributes
    ----------
    kind : str
        Bench, lot, builder.
    means : tuple of GroupMean
        In the order in which they first appear.
    chance : float
        Chance of means that differ as much if the groups were alike, 0 to 1; 1 with one group
        alone [-].
    """

    kind: str
    means: tuple[GroupMean, ...]
    chance: float


def by_group(series: Series, chart: IndividualsChart, kind: str) -> Grouped:
    """Take a series apart by bench, lot or builder.

    Parameters
    ----------
    series : Series
        The values.
    chart : IndividualsChart
        Gives the standard deviation of each value.
    kind : str
        Which of the series' kinds of group.

    Returns
    -------
    Grouped
        The level of each, and whether they differ.

    Notes
    -----
    Groups that follow one another in time cannot be told from a drift: a lot that began when the
    tape was changed takes the tape's blame.
    """
    of = series.groups[kind]
    names = list(dict.fromkeys(of))
    members = np.array([[name == own for own in of] for name in names])
    weights = (chart.sigma.min() / chart.sigma) ** 2
    off = series.values - np.average(series.values, weights=weights)
    sums = members @ weights
    means = members @ (weights * off) / sums
    within = float((weights * off**2).sum() - (sums * means**2).sum())
    degrees = len(series) - len(names)
    # Where every group has one value only, the scatter is that of the chart.
    spread = max(within, 0.0) / degrees if degrees > 0 else float(chart.sigma.min()) ** 2
    base = float(np.average(series.values, weights=weights))
    return Grouped(
        kind,
        tuple(
            GroupMean(name, int(row.sum()), base + float(mean), math.sqrt(spread / float(weight)),
                      int(np.argmax(row)))
            for name, row, mean, weight in zip(names, members, means, sums, strict=True)
        ),
        _chance(off, weights, members) if len(names) > 1 and degrees > 0 else 1.0,
    )  # fmt: skip


def _chance(off: Floats, weights: Floats, members: NDArray[np.bool_]) -> float:
    """Share of shufflings whose groups lie as far apart."""
    order = np.concatenate([np.arange(len(off))[None, :], shuffled_orders(len(off))])
    mixed, moved = weights[order], (weights * off)[order]
    between = ((moved @ members.T) ** 2 / (mixed @ members.T)).sum(axis=1)
    return chance_of(float(between[0]), between[1:])
