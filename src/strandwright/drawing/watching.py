"""Watching: the load of a standing line over time, and under it the line's length at one load."""

from __future__ import annotations

import math
from dataclasses import dataclass

from strandwright.drawing.chart import (
    Axis,
    curve,
    dot,
    footed,
    number,
    ranged,
    round_step,
    rule,
    ruled,
)
from strandwright.drawing.svg import document, lettering, prefix_or_fail
from strandwright.drawing.tokens import Palette, palette_of

_LEFT, _RIGHT, _TOP, _BOTTOM, _BETWEEN = 54.0, 14.0, 30.0, 46.0, 40.0
#: Share of the height that the load takes; the length is what matters.
_LOAD_SHARE = 0.36
#: Minutes that are written under the axis, as far as it goes [min]
_MINUTES = (0.0, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 240.0, 480.0, 1440.0)
_TICKS = 4
#: Spans below this are ruled as one of so much [unit]
_LEAST = 1e-4


@dataclass(frozen=True)
class WatchMark:
    """One look at the standing line, in the units it is shown in.

    Attributes
    ----------
    minutes : float
        Time since the load came on [min]
    load, load_half : float
        Load and half of its own 95 % range [unit].
    heard : bool
        True when the load was heard.
    length, length_half : float or None
        Length at one load and half of its own 95 % range; None where the curve does not rest on
        this look [unit].
    """

    minutes: float
    load: float
    load_half: float
    heard: bool
    length: float | None
    length_half: float


@dataclass(frozen=True)
class WatchChart:
    """A standing line over time, in the units it is shown in.

    Attributes
    ----------
    marks : tuple of WatchMark
        Every look; one at the least.
    minutes : tuple of float
        Moments of the fitted line; empty where none is fitted [min]
    middle, low, high : tuple of float
        The fitted line and its 95 % range [unit].
    load_unit, length_unit : str
        The units.
    length_name : str
        What the lower curve shows.
    """

    marks: tuple[WatchMark, ...]
    minutes: tuple[float, ...]
    middle: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    load_unit: str
    length_unit: str
    length_name: str


@dataclass(frozen=True)
class _Panel:
    """One of the two plots: its edges and what its lower and upper edge stand for."""

    top: float
    bottom: float
    least: float
    most: float

    def y(self, value: float) -> float:
        share = (value - self.least) / (self.most - self.least)
        return self.bottom - share * (self.bottom - self.top)


def watching_svg(
    chart: WatchChart,
    *,
    width: float = 420.0,
    height: float = 360.0,
    theme: str = "light",
    prefix: str = "watch",
) -> str:
    """Draw a standing line over time; the axis is drawn out where settling is fast.

    Parameters
    ----------
    chart : WatchChart
        What is shown.
    width, height : float
        Size of the drawing [px].
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
    last = max([mark.minutes for mark in chart.marks] + list(chart.minutes) + [1.0])
    room = height - _TOP - _BOTTOM - _BETWEEN
    split = _TOP + _LOAD_SHARE * room
    loads = _panel(_TOP, split, *_load_ends(chart))
    lengths = _panel(split + _BETWEEN, height - _BOTTOM, *_length_ends(chart))

    def x(minutes: float) -> float:
        share = math.log10(1.0 + minutes) / math.log10(1.0 + last)
        return _LEFT + share * (width - _LEFT - _RIGHT)

    right = width - _RIGHT
    parts = [
        *_grid(loads, right, palette),
        *_grid(lengths, right, palette),
        *_minutes(lengths, x, last, palette),
        lettering(_LEFT, _TOP - 12, f"load, {chart.load_unit}: {_told_by(chart)}"),
        lettering(_LEFT, split + _BETWEEN - 12, f"{chart.length_name}, {chart.length_unit}"),
        lettering(0.5 * (_LEFT + right), height - 8, "minutes under load", anchor="middle"),
        *_fitted(chart, lengths, x, palette),
    ]
    for mark in chart.marks:
        ends = (loads.y(mark.load - mark.load_half), loads.y(mark.load + mark.load_half))
        parts += _dot(x(mark.minutes), loads.y(mark.load), ends, palette, filled=mark.heard)
        if mark.length is not None:
            half = mark.length_half
            ends = (lengths.y(mark.length - half), lengths.y(mark.length + half))
            parts += _dot(x(mark.minutes), lengths.y(mark.length), ends, palette, filled=True)
    name = f"load and {chart.length_name} over {last:.0f} minutes"
    about = f"the load {_told_by(chart)}; bars are 95 % ranges of each look by itself"
    return document(
        width, height, parts, palette=palette, prefix=prefix, name=name, description=about
    )


def _told_by(chart: WatchChart) -> str:
    heard = {mark.heard for mark in chart.marks}
    if len(heard) > 1:
        return "filled heard, open on the gauge"
    return "heard" if heard == {True} else "on the gauge"


def _load_ends(chart: WatchChart) -> tuple[float, float]:
    low = min(mark.load - mark.load_half for mark in chart.marks)
    high = max(mark.load + mark.load_half for mark in chart.marks)
    return low, high


def _length_ends(chart: WatchChart) -> tuple[float, float]:
    ends = [*chart.low, *chart.high, 0.0]
    for mark in chart.marks:
        if mark.length is not None:
            ends += [mark.length - mark.length_half, mark.length + mark.length_half]
    return min(ends), max(ends)


def _panel(top: float, bottom: float, least: float, most: float) -> _Panel:
    """A plot whose edges are whole steps of its axis."""
    step = round_step(max(most - least, _LEAST), _TICKS)
    low = math.floor(least / step + 1e-9) * step
    high = math.ceil(most / step - 1e-9) * step
    return _Panel(top, bottom, low, high if high > low else low + step)



def _grid(panel: _Panel, right: float, palette: Palette) -> list[str]:
    step = round_step(max(panel.most - panel.least, _LEAST), _TICKS)
    count = round((panel.most - panel.least) / step)
    values = [panel.least + step * i for i in range(count + 1)]
    numbers = [(value, number(value, step)) for value in values]
    return ruled(numbers, (_LEFT, right), panel.y, palette)


def _minutes(panel: _Panel, x: Axis, last: float, palette: Palette) -> list[str]:
    shown = [minutes for minutes in _MINUTES if minutes <= last * 1.001]
    return [
        part
        for minutes in shown
        for part in footed(x(minutes), panel.bottom, f"{minutes:g}", palette, 19.0)
    ]


def _fitted(chart: WatchChart, panel: _Panel, x: Axis, palette: Palette) -> list[str]:
    """The fitted line on its range."""
    if not chart.minutes:
        return []
    return [
        ranged(chart.minutes, chart.low, chart.high, x, panel.y, palette),
        curve(chart.minutes, chart.middle, x, panel.y, palette),
    ]


def _dot(
    x: float, y: float, ends: tuple[float, float], palette: Palette, *, filled: bool
) -> list[str]:
    """A mark with its range; open where no ear told it."""
    fill = palette.wax if filled else palette.paper
    edge = palette.paper if filled else palette.wax
    bar = rule(x, ends[0], x, ends[1], palette.wax, 1.5)
    return [bar, dot(x, y, fill, edge)]
