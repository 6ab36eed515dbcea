"""Page: what a shop sees of its finished builds: charts, plain words, what was learned of what."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from strandwright.drawing.control import control_svg
from strandwright.drawing.control_picture import ControlChart
from strandwright.line.unknowns import HEARD, UNKNOWNS
from strandwright.planning.control_chart import control_chart
from strandwright.planning.control_subject import FINISHED_LENGTHS, Subject
from strandwright.planning.control_words import counted, headline, sentences
from strandwright.planning.shop.groups import name_of
from strandwright.planning.shop.knowledge import POOLED
from strandwright.planning.shop.memory import ShopMemory
from strandwright.planning.shop.outcome import Outcome
from strandwright.planning.written import Written
from strandwright.statistics.control import Series, Tolerance, study
from strandwright.statistics.pooling import Pool
from strandwright.units import INCH

Fields = dict[str, Any]

THEMES = ("light", "dark", "sun")
#: An effect is told of where it is this many of the tables' standard uncertainties [-]
_WORTH_SAYING = 0.4
#: Effects that are told of each group [-]
_MOST = 4
_LABELS = {name: label for name, _, label in (*UNKNOWNS, HEARD)}

TURNS = Subject(
    name="turns over the first plan",
    things="turn counts",
    high="above the first plan",
    low="below the first plan",
    higher="more turns",
    lower="fewer turns",
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
_Value = Callable[[Outcome], float | None]


def shop_page(memory: ShopMemory, to: Written, *, width: float = 520.0) -> Fields:
    """Give everything that the page of the shop shows.

    Parameters
    ----------
    memory : ShopMemory
        What it has learned.
    to : Written
        How quantities are written.
    width : float
        Of a chart [px]

    Returns
    -------
    dict
        Builds, charts with their words, and what was learned of each group.
    """
    outcomes = memory.outcomes()
    measures: list[tuple[str, Subject, _Value, Callable[[Outcome], float], str]] = [
        ("length", FINISHED_LENGTHS, lambda o: o.length, lambda o: o.length_u, ""),
        ("turns", TURNS, lambda o: o.turns, lambda o: 0.0, "turns"),
        ("mass", MASSES, lambda o: o.mass, lambda o: o.mass_u, "%"),
        ("diameter", DIAMETERS, lambda o: o.diameter, lambda o: 0.0, "%"),
    ]
    charts = [
        _chart(name, outcomes, subject, value, u, unit, to, width)
        for name, subject, value, u, unit in measures
    ]
    return {
        "builds": len(outcomes),
        "charts": [chart for chart in charts if chart is not None],
        "groups": _groups(memory.pool),
    }


def _chart(
    name: str,
    outcomes: Sequence[Outcome],
    subject: Subject,
    value: _Value,
    u: Callable[[Outcome], float],
    unit: str,
    to: Written,
    width: float,
) -> Fields | None:
    """One measure over the builds; None where fewer than two have it."""
    having = [(o, v) for o in outcomes if (v := value(o)) is not None]
    if len(having) < 2:
        return None
    if len({v for _, v in having}) == 1:
        alike = f"All {counted(len(having))} {subject.things} are alike so far."
        return _told(name, subject, alike, [o for o, _ in having])
    builds = [o for o, _ in having]
    series = Series.of(
        [v for _, v in having],
        uncertainties=[u(o) for o in builds],
        labels=_labels(builds),
        groups={
            "bench": [o.bench for o in builds],
            "lot": [o.lot or "no lot named" for o in builds],
            "builder": [o.builder or "nobody named" for o in builds],
        },
        moments=_rising(builds),
    )
    half = builds[-1].tolerance
    tolerance = Tolerance(-half, half, 0.0) if name == "length" else None
    found = study(series, tolerance)
    chart = control_chart(found, to, subject)
    if unit:
        chart = _in_unit(chart, to, unit)
    told = _told(name, subject, headline(found, subject), builds)
    if name == "length":
        told["sentences"] = list(sentences(found, to, subject))
    for theme in THEMES:
        drawn = control_svg(chart, width=width, theme=theme, prefix=f"{name}-{theme}")
        told["svg"][theme] = drawn
    return told


def _told(name: str, subject: Subject, said: str, builds: Sequence[Outcome]) -> Fields:
    """A chart in words, with the builds it is of."""
    return {
        "name": name,
        "title": subject.name,
        "headline": said,
        "sentences": [],
        "svg": {},
        "points": [
            {"label": label, "build": o.build, "job": o.job}
            for label, o in zip(_labels(builds), builds, strict=True)
        ],
    }


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
            words=f"build {b.label}: {size * b.value:+.1f} {unit}",
        )
        for b in chart.builds
    )
    levels = tuple(
        replace(level, begin=size * level.begin, end=size * level.end) for level in chart.levels
    )
    return replace(chart, builds=builds, levels=levels, centre=size * chart.centre, unit=unit)


def _labels(builds: Sequence[Outcome]) -> list[str]:
    """Number builds in their order, so that a label is short and told once."""
    return [str(i) for i, _ in enumerate(builds, start=1)]


def _rising(builds: Sequence[Outcome]) -> list[float]:
    """When each was locked, each a little after the one before."""
    seconds = [datetime.fromisoformat(o.at).timestamp() for o in builds]
    return [s + 1e-3 * i for i, s in enumerate(seconds)]


def _groups(pool: Pool) -> list[Fields]:
    """What was learned of the shop, and of each bench, fibre, lot and builder."""
    found: list[Fields] = []
    for (level, key), builds in sorted(pool.counts.items(), key=lambda kv: -kv[1]):
        mean, covariance = pool.effect(level, key)
        learned = _learned(mean, covariance)
        found.append(
            {
                "level": level,
                "name": name_of(level, key or "shop"),
                "builds": builds,
                "learned": learned,
            }
        )
    return found


def _learned(mean: Any, covariance: Any) -> list[Fields]:
    """The effects that are largest for what is known of them."""
    rows: list[tuple[float, Fields]] = []
    for i, name in enumerate(POOLED):
        size, u = float(mean[i]), math.sqrt(max(float(covariance[i, i]), 0.0))
        if abs(size) < _WORTH_SAYING or abs(size) < u:
            continue
        way = "above" if size > 0.0 else "below"
        text = f"{abs(size):.1f} \u00b1 {2.0 * u:.1f} standard uncertainties {way} the tables"
        rows.append((abs(size), {"label": _LABELS[name], "text": text}))
    return [row for _, row in sorted(rows, key=lambda r: -r[0])[:_MOST]]
