"""Study: all that a series says of a bench, put together, and whether it is in control.

A rule that trips among the newest builds is a reason to look, and no more: benches in control trip
one in about two series out of ten. A bench is said to be out of control only for what
chance brings less than once in a hundred series: a value far apart, a step, a drift. The three
together are said of two or three in a hundred benches that are in control.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from strandwright.errors import InputError
from strandwright.statistics.control.capability import Capability, Tolerance, capability
from strandwright.statistics.control.chance import (
    RECENT,
    ChanceAlone,
    chance_alone,
    distances_apart,
)
from strandwright.statistics.control.change import StepChange, step_change
from strandwright.statistics.control.drift import Drift, drift, robust_drift
from strandwright.statistics.control.ewma import WEIGHT, WIDTH, EwmaChart, ewma_chart
from strandwright.statistics.control.groups import Grouped, by_group
from strandwright.statistics.control.individuals import IndividualsChart, individuals_chart
from strandwright.statistics.control.rules import Trip, rule_trips
from strandwright.statistics.control.scatter import degrees_of
from strandwright.statistics.control.series import Floats, Series

#: Fewer values than this are called few: limits and capability are then provisional [-]
FEW = 20
#: Fewer values than this say nothing of control [-]
TOO_FEW = 8
#: What chance brings less often than this is held to be real [-]
REAL_BELOW = 0.01


class Verdict(Enum):
    """Whether a bench is in control."""

    TOO_FEW = "too few to tell"
    IN_CONTROL = "in control"
    LOOK = "look"
    OUT_OF_CONTROL = "out of control"


@dataclass(frozen=True, eq=False)
class ControlStudy:
    """A series, its charts and what they say.

    Attributes
    ----------
    series : Series
        The values.
    chart : IndividualsChart
        Each value between its limits.
    ewma : EwmaChart
        The average that forgets.
    trips : tuple of Trip
        Every pattern that was completed.
    alone : ChanceAlone
        What benches in control do over as many builds.
    level : ndarray, shape (n,)
        What each is expected to be: the centre, or the level before and after a step, or the
        drift's line, where that is more than chance [unit of the series].
    apart : ndarray, shape (n,)
        How far each value lies from the others, levels taken off [standard deviations].
    step : StepChange or None
        The most likely step.
    drift, robust : Drift or None
        Slope for each build, by least squares and by the median of slopes.
    groups : tuple of Grouped
        The level of each bench, lot, builder.
    tolerance : Tolerance or None
        What is accepted.
    short, overall : Capability or None
        Capability by the scatter of neighbours and of all values; None without a tolerance, or
        where the bench is out of control.
    verdict : Verdict
        Whether it is in control.
    """

    series: Series
    chart: IndividualsChart
    ewma: EwmaChart
    trips: tuple[Trip, ...]
    alone: ChanceAlone
    level: Floats
    apart: Floats
    step: StepChange | None
    drift: Drift | None
    robust: Drift | None
    groups: tuple[Grouped, ...]
    tolerance: Tolerance | None
    short: Capability | None
    overall: Capability | None
    verdict: Verdict

    @property
    def is_few(self) -> bool:
        """Whether limits and capability are provisional for want of values."""
        return len(self.series) < FEW

    @property
    def is_provisional(self) -> bool:
        """Whether capability may move much: few values, or something to look at first."""
        return self.is_few or self.verdict is not Verdict.IN_CONTROL

    @property
    def standing_out(self) -> tuple[int, ...]:
        """Values further from the others than chance brings, as indices into the series."""
        chances = (self.alone.of_largest(float(distance)) for distance in self.apart)
        return tuple(i for i, chance in enumerate(chances) if chance < REAL_BELOW)

    @property
    def recent(self) -> tuple[Trip, ...]:
        """Patterns that were completed among the newest values."""
        return tuple(t for t in self.trips if t.index >= len(self.series) - RECENT)

    @property
    def average_is_beyond(self) -> bool:
        """Whether the average that forgets was past its limits among the newest values."""
        return any(i >= len(self.series) - RECENT for i in self.ewma.beyond)

    @property
    def has_stepped(self) -> bool:
        """Whether the level changed, and a step tells it better than a slope."""
        return _better(self.step, self.drift)

    @property
    def drifts(self) -> bool:
        """Whether the level moves, and a slope tells it better than a step."""
        return _better(self.drift, self.step)

    @property
    def reading_share(self) -> float:
        """Share of the squared short-term scatter that is the readings' own, 0 to 1 [-]."""
        own = float((self.series.uncertainties**2).mean())
        return min(own / self.chart.typical_sigma**2, 1.0)


def study(
    series: Series,
    tolerance: Tolerance | None = None,
    *,
    by: str = "mean",
    standardised: bool = False,
    centre: float | None = None,
    sigma: float | None = None,
    weight: float = WEIGHT,
    width: float = WIDTH,
) -> ControlStudy:
    """Say all that a series says.

    Parameters
    ----------
    series : Series
        The values.
    tolerance : Tolerance or None
        What is accepted; None leaves capability out.
    by : str
        ``mean`` or ``median`` of the ranges.
    standardised : bool
        True to give values known unlike well each their own standard deviation.
    centre, sigma : float or None
        Centre and standard deviation known beforehand, both or neither [unit of the series].
    weight, width : float
        Lambda and L of the average that forgets [-].

    Returns
    -------
    ControlStudy
        Charts, patterns, changes, capability and the verdict.

    Raises
    ------
    InputError
        If the values do not scatter at all, or only one of centre and sigma is given.
    """
    if (centre is None) != (sigma is None):
        raise InputError("centre", centre, "goes together with sigma", "give both or neither")
    chart = individuals_chart(series, by=by, standardised=standardised, centre=centre, sigma=sigma)
    ewma = ewma_chart(series, chart, weight=weight, width=width)
    alone = chance_alone(len(series), chart.by, weight, width)
    step = step_change(series.values, chart.sigma)
    slope = drift(series.values, chart.sigma)
    trips = rule_trips(chart.scores)
    level = _level(series, chart, step, slope)
    apart = distances_apart(series.values - level, chart.sigma, chart.by)
    out = alone.of_largest(float(np.abs(apart).max()))
    chances = [out, *(c.chance for c in (step, slope) if c is not None)]
    completed = [*(t.index for t in trips), *ewma.beyond]
    is_news = any(i >= len(series) - RECENT for i in completed)
    verdict = _verdict(len(series), is_news, min(chances))
    short, overall = _capabilities(series, chart, tolerance, verdict)
    return ControlStudy(
        series=series,
        chart=chart,
        ewma=ewma,
        trips=trips,
        alone=alone,
        level=level,
        apart=apart,
        step=step,
        drift=slope,
        robust=robust_drift(series.values),
        groups=tuple(by_group(series, chart, kind) for kind in series.groups),
        tolerance=tolerance,
        short=short,
        overall=overall,
        verdict=verdict,
    )


def _better(one: StepChange | Drift | None, other: StepChange | Drift | None) -> bool:
    """Whether one of the two is more than chance and leaves less than the other."""
    if one is None or one.chance >= REAL_BELOW:
        return False
    return other is None or other.chance >= REAL_BELOW or one.left <= other.left


def _level(
    series: Series, chart: IndividualsChart, step: StepChange | None, slope: Drift | None
) -> Floats:
    """The centre, or the level that moved where it did."""
    places = np.arange(len(series))
    if step is not None and _better(step, slope):
        return np.where(places < step.index, step.before, step.after)
    if slope is not None and _better(slope, step):
        return slope.along(places)
    return np.full(len(series), chart.centre)


def _verdict(count: int, something: bool, chance: float) -> Verdict:
    if count < TOO_FEW:
        return Verdict.TOO_FEW
    if chance < REAL_BELOW:
        return Verdict.OUT_OF_CONTROL
    return Verdict.LOOK if something else Verdict.IN_CONTROL


def _capabilities(
    series: Series, chart: IndividualsChart, tolerance: Tolerance | None, verdict: Verdict
) -> tuple[Capability | None, Capability | None]:
    """Capability by neighbours and by all values; of a bench out of control there is none."""
    if tolerance is None or verdict in (Verdict.OUT_OF_CONTROL, Verdict.TOO_FEW):
        return None, None
    count = len(series)
    mean = float(series.values.mean())
    # What was known beforehand is taken as known from as many values as are here.
    degrees = count - 1.0 if chart.by == "known" else degrees_of(count, chart.by)
    short = capability(mean, chart.typical_sigma, count, tolerance, degrees)
    return short, capability(mean, float(series.values.std(ddof=1)), count, tolerance)
