"""Brace height over turns: the curve, how sure it is, what practice gives and what is wanted."""

from __future__ import annotations

import math
from dataclasses import dataclass

from strandwright.drawing.chart import (
    curve,
    dot,
    footed,
    ranged,
    round_step,
    round_steps,
    rule,
    ruled,
)
from strandwright.drawing.svg import document, lettering, prefix_or_fail
from strandwright.drawing.tokens import Palette, palette_of

_LEFT, _RIGHT, _TOP, _BOTTOM = 52.0, 16.0, 18.0, 46.0
#: Least height of the plot, in the unit shown: a curve that is nearly flat is not blown up.
_LEAST = {"in": 0.5, "mm": 12.0}


@dataclass(frozen=True)
class BracePlot:
    """Brace height over turns, in the units it is shown in.

    Attributes
    ----------
    put : tuple of float
        Turns put in, taken out where below zero [turn].
    brace, low, high : tuple of float
        Brace height, and its 95 % range [unit].
    usual : (float, float)
        What practice gives [unit].
    wanted : float or None
        Brace height wanted [unit].
    turns : float or None
        Turns that bring it [turn].
    unit : str
        ``in`` or ``mm``.
    """

    put: tuple[float, ...]
    brace: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    usual: tuple[float, float]
    wanted: float | None
    turns: float | None
    unit: str


@dataclass(frozen=True)
class _Axes:
    """Where turns and heights lie on the plot."""

    left: float
    right: float
    top: float
    bottom: float
    first: float
    last: float
    least: float
    most: float

    def x(self, turns: float) -> float:
        return self.left + (turns - self.first) / (self.last - self.first) * (
            self.right - self.left
        )

    def y(self, height: float) -> float:
        share = (min(max(height, self.least), self.most) - self.least) / (self.most - self.least)
        return self.bottom - share * (self.bottom - self.top)


def brace_turns_svg(
    plot: BracePlot,
    *,
    width: float = 520.0,
    height: float = 300.0,
    theme: str = "light",
    prefix: str = "brace",
) -> str:
    """Draw brace height over turns.

    Parameters
    ----------
    plot : BracePlot
        What is shown.
    width, height : float
        Size of the plot [px].
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
    axes = _axes(plot, width, height)
    parts = [
        *_usual(plot, axes, palette),
        *_grid(axes, palette),
        *_curve(plot, axes, palette),
        *_points(plot, axes, palette),
    ]
    middle = 0.5 * (axes.left + axes.right)
    parts.append(lettering(middle, height - 8, "turns taken out and put in", anchor="middle"))
    parts.append(lettering(axes.left + 6, axes.top + 14, f"brace height, {plot.unit}"))
    name = f"brace height over turns: {min(plot.brace):.2f} to {max(plot.brace):.2f} {plot.unit}"
    return document(width, height, parts, palette=palette, prefix=prefix, name=name)


def _axes(plot: BracePlot, width: float, height: float) -> _Axes:
    """Whole steps around the curve; its range may be cut off, the curve may not."""
    step = round_step(plot.put[-1] - plot.put[0], 8)
    low, high = min(plot.brace), max(plot.brace)
    for at in (plot.wanted,):
        low, high = (low, high) if at is None else (min(low, at), max(high, at))
    room = max(high - low, _LEAST[plot.unit])
    # As much of the range as leaves the curve two thirds of the plot.
    low, high = max(min(plot.low), low - 0.25 * room), min(max(plot.high), high + 0.25 * room)
    rise = round_step(max(high - low, _LEAST[plot.unit]), 6)
    least, most = rise * math.floor(low / rise), rise * math.ceil(high / rise)
    return _Axes(
        _LEFT, width - _RIGHT, _TOP, height - _BOTTOM,
        step * math.floor(plot.put[0] / step), step * math.ceil(plot.put[-1] / step),
        least, max(most, least + rise),
    )  # fmt: skip


def _usual(plot: BracePlot, axes: _Axes, palette: Palette) -> list[str]:
    """Lay practice's range behind all, named where there is room."""
    top, bottom = axes.y(plot.usual[1]), axes.y(plot.usual[0])
    if bottom - top < 1.0:
        return []
    wide = axes.right - axes.left
    found = [
        f'<rect x="{axes.left:.1f}" y="{top:.1f}" width="{wide:.1f}" height="{bottom - top:.1f}"'
        f' fill="{palette.wax}" fill-opacity="0.14"/>'
    ]
    if bottom - top > 18.0:
        found.append(lettering(axes.right - 6, bottom - 6, "practice", anchor="end"))
    return found


def _grid(axes: _Axes, palette: Palette) -> list[str]:
    heights = [(value, f"{value:g}") for value in round_steps(axes.least, axes.most, 6)]
    parts = ruled(heights, (axes.left, axes.right), axes.y, palette)
    for value in round_steps(axes.first, axes.last, 8):
        text = f"{abs(value):g}" if value >= 0 else f"\u2212{abs(value):g}"
        parts += footed(axes.x(value), axes.bottom, text, palette)
    return parts


def _curve(plot: BracePlot, axes: _Axes, palette: Palette) -> list[str]:
    return [
        ranged(plot.put, plot.low, plot.high, axes.x, axes.y, palette),
        curve(plot.put, plot.brace, axes.x, axes.y, palette),
    ]


def _points(plot: BracePlot, axes: _Axes, palette: Palette) -> list[str]:
    """Where it stands, in ink; what is wanted, in wax, with a rule to it."""
    now = min(range(len(plot.put)), key=lambda k: abs(plot.put[k]))
    found: list[str] = []
    if plot.wanted is not None:
        at = axes.y(plot.wanted)
        found.append(rule(axes.left, at, axes.right, at, palette.wax))
    found.append(dot(axes.x(plot.put[now]), axes.y(plot.brace[now]), palette.ink, palette.paper))
    if plot.wanted is not None and plot.turns is not None:
        found.append(dot(axes.x(plot.turns), axes.y(plot.wanted), palette.wax, palette.paper))
    return found
