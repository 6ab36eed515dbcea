"""Charts of a shop: how its finished builds came out, measure by measure, and in words."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from strandwright.drawing.control_picture import ControlChart
from strandwright.planning.control.chart import control_chart
from strandwright.planning.control.subject import FINISHED_LENGTHS, Subject
from strandwright.planning.control.words import counted, headline, level_sentences, sentences
from strandwright.planning.estimate import Estimate
from strandwright.planning.shop.outcome import Outcome
from strandwright.planning.written import Written
from strandwright.statistics.control import ControlStudy, Series, Tolerance, study
from strandwright.statistics.control.study import TOO_FEW
from strandwright.units import INCH

TURNS = Subject(
    name="turns over the first plan",
    things="turn counts",
    high="above the first plan",
    low="below the first plan",
    higher="more",
    lower="fewer",
    look_at_one="its post setting and its bare reading",
    look_at_all="the posts, the drag, a new lot",
    look_at_drift="the spool's brake, the posts",
)
MASSES = Subject(
    name="mass over the plan's",
    things="masses",
    high="heavy",
    low="light",
    higher="heavier",
    lower="lighter",
    look_at_one="its count of strands",
    look_at_all="a new lot, the wax, the scale",
    look_at_drift="the scale",
)
DIAMETERS = Subject(
    name="diameter over the plan's",
    things="diameters",
    high="thick",
    low="thin",
    higher="thicker",
    lower="thinner",
    look_at_one="its count of strands, and how it was rubbed",
    look_at_all="a new lot, the wax",
    look_at_drift="the caliper",
)
Value = Callable[[Outcome], float | None]


@dataclass(frozen=True)
class Measure:
    """What is charted over the builds.

    Attributes
    ----------
    name : str
        ``length``, ``turns``, ``mass`` or ``diameter``.
    subject : Subject
        The same in words.
    value : callable
        Gives it of an outcome; None where it was not taken [m], [turn] or [-]
    u : callable
        Gives its standard uncertainty [the same]
    unit : str
        What it is drawn in; empty for lengths.
    """

    name: str
    subject: Subject
    value: Value
    u: Callable[[Outcome], float]
    unit: str


MEASURES = (
    Measure("length", FINISHED_LENGTHS, lambda o: o.length, lambda o: o.length_u, ""),
    Measure("turns", TURNS, lambda o: o.turns, lambda o: 0.0, "turns"),
    Measure("mass", MASSES, lambda o: o.mass, lambda o: o.mass_u, "%"),
    Measure("diameter", DIAMETERS, lambda o: o.diameter, lambda o: 0.0, "%"),
)


@dataclass(frozen=True)
class ShopChart:
    """One measure over the builds.

    Attributes
    ----------
    measure : Measure
        Which.
    headline : str
        Whether the bench is in control.
    sentences : tuple of str
        What stands behind that, and what single benches, lots and builders do.
    picture : ControlChart or None
        What is drawn; None where all values are alike.
    points : tuple of (str, Outcome)
        Number and outcome of each build, oldest first.
    """

    measure: Measure
    headline: str
    sentences: tuple[str, ...]
    picture: ControlChart | None
    points: tuple[tuple[str, Outcome], ...]


def shop_charts(
    outcomes: Sequence[Outcome], to: Written, names: Sequence[str] | None = None
) -> tuple[ShopChart, ...]:
    """Chart every measure that two builds or more have.

    Parameters
    ----------
    outcomes : sequence of Outcome
        Of all finished builds, oldest first: they are numbered in that order.
    to : Written
        How quantities are written.
    names : sequence of str or None
        Measures that are wanted; None for all.

    Returns
    -------
    tuple of ShopChart
        In the order of :data:`MEASURES`.
    """
    found = [_chart(m, outcomes, to) for m in MEASURES if names is None or m.name in names]
    return tuple(chart for chart in found if chart is not None)


def _chart(measure: Measure, outcomes: Sequence[Outcome], to: Written) -> ShopChart | None:
    """One measure over the builds; None where fewer than two have it."""
    having = [
        (str(i), o, v)
        for i, o in enumerate(outcomes, start=1)
        if (v := measure.value(o)) is not None
    ]
    points = tuple((label, o) for label, o, _ in having)
    if len(having) < 2:
        return None
    if len({v for _, _, v in having}) == 1:
        alike = f"All {counted(len(having))} {measure.subject.things} are alike so far."
        return ShopChart(measure, alike, (), None, points)
    half = having[-1][1].tolerance
    tolerance = Tolerance(-half, half, 0.0) if measure.name == "length" else None
    found = study(_series(measure, having), tolerance)
    picture = control_chart(found, to, measure.subject)
    words = to
    if measure.unit:
        picture = _in_unit(picture, to, measure.unit)
        words = _WrittenIn(to.system, to.fraction, measure.unit)
    said = sentences(found, words, measure.subject)[1:]
    alone = _alone(measure, having, found, words)
    return ShopChart(measure, headline(found, measure.subject), (*said, *alone), picture, points)


@dataclass(frozen=True)
class _WrittenIn(Written):
    """Writes small differences in the unit of what is charted, where that is no length."""

    unit: str

    def small(self, metres: float) -> str:
        return f"{self._times * metres:.1f} {self.unit}"

    def small_estimate(self, estimate: Estimate) -> str:
        half = math.ceil(10.0 * self._times * estimate.u95) / 10.0
        return f"{self._times * estimate.value:.1f} \u00b1 {half:.1f} {self.unit}"

    @property
    def _times(self) -> float:
        return 100.0 if self.unit == "%" else 1.0


def _series(measure: Measure, having: Sequence[tuple[str, Outcome, float]]) -> Series:
    builds = [o for _, o, _ in having]
    return Series.of(
        [v for _, _, v in having],
        uncertainties=[measure.u(o) for o in builds],
        labels=[label for label, _, _ in having],
        groups={
            "bench": [o.bench for o in builds],
            "lot": [o.lot or "no lot named" for o in builds],
            "builder": [o.builder or "nobody named" for o in builds],
        },
        moments=_rising(builds),
    )


def _alone(
    measure: Measure,
    having: Sequence[tuple[str, Outcome, float]],
    whole: ControlStudy,
    to: Written,
) -> list[str]:
    """Say which bench, lot or builder moves where its own builds alone are looked at."""
    said: list[str] = []
    looked: list[str] = []
    for kind, names in whole.series.groups.items():
        many = [n for n in dict.fromkeys(names) if TOO_FEW <= names.count(n) < len(names)]
        for name in many:
            own = [row for row, n in zip(having, names, strict=True) if n == name]
            if len({v for _, _, v in own}) > 1:
                looked.append(kind)
                moved = level_sentences(study(_series(measure, own)), to, measure.subject)
                said += [f"{kind.capitalize()} {name} alone: {text}" for text in moved]
    if looked and not said:
        kinds = list(dict.fromkeys(looked))
        said.append(
            f"No {' or '.join(kinds)} with {counted(TOO_FEW)} builds or more moves by itself."
        )
    return said


def _in_unit(chart: ControlChart, to: Written, unit: str) -> ControlChart:
    """A chart that was laid out as if of lengths, in the unit of what it is of."""
    size = (INCH if to.system == "in" else 1e-3) * (100.0 if unit == "%" else 1.0)
    builds = tuple(
        replace(
            b,
            value=size * b.value,
            average=size * b.average,
            sigma=size * b.sigma,
            average_low=size * b.average_low,
            average_high=size * b.average_high,
            moved=None if b.moved is None else size * b.moved,
            moved_most=size * b.moved_most,
            words=f"build {b.label}: {size * b.value:+.1f} {unit}",
        )
        for b in chart.builds
    )
    levels = tuple(
        replace(level, begin=size * level.begin, end=size * level.end) for level in chart.levels
    )
    return replace(chart, builds=builds, levels=levels, centre=size * chart.centre, unit=unit)


def _rising(builds: Sequence[Outcome]) -> list[float]:
    """When each was locked, each a little after the one before."""
    seconds = [datetime.fromisoformat(o.at).timestamp() for o in builds]
    return [s + 1e-3 * i for i, s in enumerate(seconds)]
