"""Settling: how long a line on its bow is over the shots, with its tolerance and the next look.

::

    hatched   outside the tolerance
    band      95 % range of the fitted line, its middle over it
    dots      readings with their own 95 % range; hollow ones were told by a figure of the bow
    flag      where the line is to be read next
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from strandwright.drawing.chart import (
    curve,
    dot,
    footed,
    number,
    ranged,
    round_step,
    rule,
    ruled,
)
from strandwright.drawing.lettering import text_width
from strandwright.drawing.svg import document, escaped, lettering, prefix_or_fail
from strandwright.drawing.tokens import TEXT_SIZE, Palette, palette_of

_LEFT, _RIGHT, _TOP, _BOTTOM = 66.0, 14.0, 34.0, 48.0
#: Shots that take as much room as all before them together [-]
_KNEE = 25.0
_TICKS = (0, 10, 25, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 50000, 200000, 1000000)
_ROWS = 4
_APART = 40.0


@dataclass(frozen=True)
class SettlingMark:
    """One reading.

    Attributes
    ----------
    shots : float
        Shots since fitting [-]
    value, half : float
        Length over the one asked for, and half of its own 95 % range [unit].
    by_figure : bool
        Whether a figure of the bow told it.
    doubted : bool
        Whether it counts for little.
    entry : str
        The entry it was written in.
    """

    shots: float
    value: float
    half: float
    by_figure: bool
    doubted: bool
    entry: str


@dataclass(frozen=True)
class SettlingChart:
    """A line's length on its bow over the shots, in the unit it is shown in.

    Attributes
    ----------
    marks : tuple of SettlingMark
        Readings in order.
    shots : tuple of float
        Places of the fitted line, never falling; the same twice where turns changed [-]
    middle, low, high : tuple of float
        The fitted line and its 95 % range [unit].
    tolerance : tuple of float
        Lowest and highest that is allowed [unit].
    now : float
        Shots counted last [-]
    look : float or None
        Shots at the next look [-]
    look_text : str
        What to write there.
    unit : str
        The unit.
    name : str
        What is shown.
    said : str
        In a sentence, for those who do not see it.
    """

    marks: tuple[SettlingMark, ...]
    shots: tuple[float, ...]
    middle: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    tolerance: tuple[float, float]
    now: float
    look: float | None
    look_text: str
    unit: str
    name: str
    said: str


@dataclass(frozen=True)
class _Plot:
    """Where shots and lengths lie."""

    right: float
    top: float
    bottom: float
    last: float
    least: float
    most: float

    def x(self, shots: float) -> float:
        share = math.log1p(shots / _KNEE) / math.log1p(self.last / _KNEE)
        return _LEFT + share * (self.right - _LEFT)

    def y(self, value: float) -> float:
        share = (value - self.least) / (self.most - self.least)
        return self.bottom - share * (self.bottom - self.top)


def settling_svg(
    chart: SettlingChart,
    *,
    width: float = 520.0,
    height: float = 340.0,
    theme: str = "light",
    prefix: str = "settling",
) -> str:
    """Draw a line's length over the shots; each reading is a group with its ``data-entry``.

    Parameters
    ----------
    chart : SettlingChart
        What is shown.
    width, height : float
        Size of the drawing, from 280 by 240 up [px].
    theme : str
        ``light``, ``dark``, ``sun`` or ``print``.
    prefix : str
        Put before every id.

    Returns
    -------
    str
        An SVG document.
    """
    prefix_or_fail(prefix)
    palette = palette_of(theme)
    plot = _plot(chart, width, height)
    parts = [
        *_hatch(palette, prefix),
        *_grid(plot, palette),
        *_outside(chart, plot, palette, prefix),
        *_fitted(chart, plot, palette),
        *_look(chart, plot, palette),
        *(part for mark in chart.marks for part in _mark(mark, plot, palette)),
        lettering(12.0, 18.0, f"{chart.name}, {chart.unit}"),
        lettering(0.5 * (_LEFT + plot.right), height - 8, "shots since fitting", anchor="middle"),
    ]
    return document(
        width, height, parts, palette=palette, prefix=prefix, name=chart.name,
        description=chart.said,
    )  # fmt: skip


def _plot(chart: SettlingChart, width: float, height: float) -> _Plot:
    last = max([chart.now, *chart.shots, *(m.shots for m in chart.marks), 100.0])
    ends = [*chart.tolerance, 0.0]
    for mark in chart.marks:
        # One that counts for little stands at the edge rather than flatten all others.
        if mark.doubted:
            continue
        # The bar of one that hardly tells anything may run out of the plot.
        half = min(mark.half, 0.5 * (chart.tolerance[1] - chart.tolerance[0]))
        ends += [mark.value - half, mark.value + half]
    # A wide range before any reading must not flatten what is known.
    reach = 2.0 * (chart.tolerance[1] - chart.tolerance[0])
    ends += [min(max(v, -reach), reach) for v in (*chart.low, *chart.high)]
    least, most = min(ends), max(ends)
    air = 0.06 * (most - least)
    return _Plot(width - _RIGHT, _TOP, height - _BOTTOM, last, least - air, most + air)


def _grid(plot: _Plot, palette: Palette) -> list[str]:
    step = round_step(max(plot.most - plot.least, 1e-6), _ROWS)
    values: list[tuple[float, str]] = []
    value = math.ceil(plot.least / step) * step
    while value <= plot.most + 1e-9 * step:
        values.append((value, number(value, step)))
        value += step
    parts = ruled(values, (_LEFT, plot.right), plot.y, palette)
    before = -_APART
    for shots in _TICKS:
        at = plot.x(float(shots))
        if shots > plot.last * 1.001:
            break
        if at - before < _APART:
            continue
        before = at
        parts += footed(at, plot.bottom, f"{shots}", palette, 19.0)
    return parts


def _hatch(palette: Palette, prefix: str) -> list[str]:
    return [
        f'<defs><pattern id="{prefix}-out" width="7" height="7" patternUnits="userSpaceOnUse"'
        f' patternTransform="rotate(45)"><line x1="0" y1="0" x2="0" y2="7"'
        f' stroke="{palette.soft}" stroke-width="1" stroke-opacity="0.55"/></pattern>'
        f'<clipPath id="{prefix}-in"><rect x="0" y="{_TOP - 4:g}" width="4000" height="4000"/>'
        "</clipPath></defs>"
    ]


def _outside(chart: SettlingChart, plot: _Plot, palette: Palette, prefix: str) -> list[str]:
    low, high = (min(max(plot.y(v), plot.top), plot.bottom) for v in chart.tolerance)
    parts: list[str] = []
    for top, bottom in ((plot.top, high), (low, plot.bottom)):
        if bottom - top > 0.5:
            parts.append(
                f'<rect x="{_LEFT:g}" y="{top:.1f}" width="{plot.right - _LEFT:.1f}"'
                f' height="{bottom - top:.1f}" fill="url(#{prefix}-out)"/>'
            )
    parts += [rule(_LEFT, y, plot.right, y, palette.soft) for y in (low, high)]
    return parts


def _fitted(chart: SettlingChart, plot: _Plot, palette: Palette) -> list[str]:
    """The fitted line on its range, kept inside the plot."""

    def y(value: float) -> float:
        return plot.y(min(max(value, plot.least), plot.most))

    now = plot.x(chart.now)
    return [
        ranged(chart.shots, chart.low, chart.high, plot.x, y, palette),
        curve(chart.shots, chart.middle, plot.x, y, palette),
        rule(now, plot.top, now, plot.bottom, palette.soft, 1.0, "3 4"),
    ]


def _look(chart: SettlingChart, plot: _Plot, palette: Palette) -> list[str]:
    """A flag where the line is to be read next."""
    if chart.look is None or chart.look > plot.last * 1.001:
        return []
    x = plot.x(chart.look)
    wide = text_width(chart.look_text, TEXT_SIZE) + 12
    left = min(max(x - wide + 1, _LEFT), plot.right - wide)
    y = plot.bottom - 24
    return [
        rule(x, plot.top, x, plot.bottom, palette.wax, 2.0),
        f'<rect x="{left:.1f}" y="{y:.1f}" width="{wide:.1f}" height="20" rx="3"'
        f' fill="{palette.paper}" stroke="{palette.wax}" stroke-width="1.5"/>',
        lettering(left + 6, y + 15, chart.look_text),
    ]


def _mark(mark: SettlingMark, plot: _Plot, palette: Palette) -> list[str]:
    x = plot.x(mark.shots)
    ends = [min(max(mark.value + s * mark.half, plot.least), plot.most) for s in (-1.0, 1.0)]
    y = plot.y(min(max(mark.value, plot.least), plot.most))
    fill = palette.paper if mark.by_figure else palette.ink
    edge = palette.ink if mark.by_figure else palette.paper
    dashes = "2 3" if mark.doubted else ""
    cross = ""
    if mark.doubted:
        cross = (
            f'<path d="M{x - 8:.1f},{y - 8:.1f}L{x + 8:.1f},{y + 8:.1f}M{x - 8:.1f},{y + 8:.1f}'
            f'L{x + 8:.1f},{y - 8:.1f}" stroke="{palette.ink}" stroke-width="1.5"/>'
        )
    return [
        f'<g data-entry="{escaped(mark.entry)}">'
        + rule(x, plot.y(ends[0]), x, plot.y(ends[1]), palette.ink, 1.5, dashes)
        + dot(x, y, fill, edge)
        + f"{cross}</g>"
    ]
