"""Chart: what every plot is ruled with: steps of an axis, rules, points, curves and ranges."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

from strandwright.drawing.svg import lettering
from strandwright.drawing.tokens import Palette

Axis = Callable[[float], float]
Pair = tuple[float, float]


def round_step(span: float, most: int) -> float:
    """Give the smallest step of 1, 2 or 5 times a power of ten that cuts a span into few parts.

    Parameters
    ----------
    span : float
        What is cut, > 0 [unit]
    most : int
        The most parts, > 0 [-]

    Returns
    -------
    float
        The step [unit]
    """
    power = 10.0 ** math.floor(math.log10(span / most))
    return next(b * power for b in (1.0, 2.0, 5.0, 10.0) if b * power * most >= span)


def round_steps(first: float, last: float, most: int) -> list[float]:
    """Give the values an axis between two whole steps is ruled at.

    Parameters
    ----------
    first, last : float
        Its ends [unit]
    most : int
        The most parts [-]

    Returns
    -------
    list of float
        From the first on [unit]
    """
    step = round_step(last - first, most)
    count = round((last - first) / step)
    return [round(first + step * i, 9) + 0.0 for i in range(count + 1)]


def number(value: float, step: float) -> str:
    """Write a number of an axis: as many decimals as its step has, and no minus before a nought.

    Parameters
    ----------
    value : float
        The value [unit]
    step : float
        From one number to the next [unit]

    Returns
    -------
    str
        Such as ``−0.25``.
    """
    places = max(0, -math.floor(math.log10(step) + 1e-9))
    shown = value if abs(value) > 1e-9 else 0.0
    return f"{shown:.{places}f}".replace("-", "\u2212")


def ruled(values: Sequence[tuple[float, str]], ends: Pair, y: Axis, palette: Palette) -> list[str]:
    """Rule a value axis across its plot.

    Parameters
    ----------
    values : sequence of (float, str)
        Value and what is written beside it [unit]
    ends : (float, float)
        Left and right end of the rules [px]
    y : callable
        Places a value [px]
    palette : Palette
        The theme.

    Returns
    -------
    list of str
        Rules and numbers.
    """
    parts: list[str] = []
    for value, text in values:
        at = y(value)
        parts.append(rule(ends[0], at, ends[1], at, palette.hair))
        parts.append(lettering(ends[0] - 8, at + 5, text, anchor="end"))
    return parts


def footed(x: float, foot: float, text: str, palette: Palette, below: float = 20.0) -> list[str]:
    """Mark a place of the axis along the foot of a plot.

    Parameters
    ----------
    x : float
        Where [px]
    foot : float
        The plot's lower edge [px]
    text : str
        What is written there.
    palette : Palette
        The theme.
    below : float
        From the edge to the text's foot [px]

    Returns
    -------
    list of str
        A tick and its text.
    """
    tick = rule(x, foot, x, foot + 5, palette.soft)
    return [tick, lettering(x, foot + below, text, anchor="middle")]


def rule(
    x1: float, y1: float, x2: float, y2: float, colour: str, wide: float = 1.0, dashes: str = ""
) -> str:
    """Rule a straight line.

    Parameters
    ----------
    x1, y1, x2, y2 : float
        Its ends [px].
    colour : str
        ``#rrggbb``.
    wide : float
        Its width [px].
    dashes : str
        Lengths of dashes and gaps; empty for a whole line.

    Returns
    -------
    str
        A ``line`` element.
    """
    ends = f'x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"'
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<line {ends} stroke="{colour}" stroke-width="{wide:g}"{dashed}/>'


def ranged(
    along: Sequence[float], low: Sequence[float], high: Sequence[float], x: Axis, y: Axis,
    palette: Palette,
) -> str:  # fmt: skip
    """Lay a range: the band before the line.

    Parameters
    ----------
    along : sequence of float
        Places along the plot [unit]
    low, high : sequence of float
        The range's ends at each [unit]
    x, y : callable
        Place them [px]
    palette : Palette
        The theme.

    Returns
    -------
    str
        A ``polygon`` element.
    """
    edge = [*zip(along, high, strict=True)]
    edge += reversed([*zip(along, low, strict=True)])
    drawn = _joined(edge, x, y)
    return f'<polygon points="{drawn}" fill="{palette.touch}" fill-opacity="{palette.band:g}"/>'


def curve(
    along: Sequence[float], values: Sequence[float], x: Axis, y: Axis, palette: Palette
) -> str:
    """Draw a curve, in ink.

    Parameters
    ----------
    along, values : sequence of float
        Its points [unit]
    x, y : callable
        Place them [px]
    palette : Palette
        The theme.

    Returns
    -------
    str
        A ``polyline`` element.
    """
    drawn = _joined(zip(along, values, strict=True), x, y)
    return f'<polyline points="{drawn}" fill="none" stroke="{palette.ink}" stroke-width="2.2"/>'


def dot(x: float, y: float, fill: str, edge: str) -> str:
    """Draw a point; a rim of paper keeps it apart from the curve it lies on.

    Parameters
    ----------
    x, y : float
        Its middle [px]
    fill, edge : str
        ``#rrggbb`` inside and of the rim.

    Returns
    -------
    str
        A ``circle`` element.
    """
    return (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="{fill}" stroke="{edge}" stroke-width="2"/>'
    )


def _joined(pairs: Iterable[Pair], x: Axis, y: Axis) -> str:
    return " ".join(f"{x(a):.1f},{y(b):.1f}" for a, b in pairs)
