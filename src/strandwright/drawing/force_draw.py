"""Force over draw: the curve, how sure it is, and what was read on a draw board."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from strandwright.drawing.svg import document, lettering, prefix_or_fail
from strandwright.drawing.tokens import palette_of

_Axis = Callable[[float], float]
_LEFT, _RIGHT, _TOP, _BOTTOM = 52.0, 16.0, 18.0, 46.0


@dataclass(frozen=True)
class ForceDraw:
    """Force over draw, in the units it is shown in.

    Attributes
    ----------
    draw : tuple of float
        True draw length, or the string's way from its brace [unit].
    force, low, high : tuple of float
        Force, and its 95 % range [unit].
    board : tuple of (float, float)
        Points read on a draw board [unit].
    draw_unit, force_unit : str
        The units.
    along : str
        What the draw is called.
    """

    draw: tuple[float, ...]
    force: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    board: tuple[tuple[float, float], ...]
    draw_unit: str
    force_unit: str
    along: str = "true draw length"


@dataclass(frozen=True)
class PlotScale:
    """Where the plot's axes lie, so that a marker can be moved over it.

    Attributes
    ----------
    left, right, top, bottom : float
        Edges of the plotting area [px].
    first, last : float
        Draw at the left and right edge [unit].
    most : float
        Force at the top edge; 0 at the bottom [unit].
    """

    left: float
    right: float
    top: float
    bottom: float
    first: float
    last: float
    most: float


def force_draw_scale(curve: ForceDraw, width: float, height: float) -> PlotScale:
    """Lay out the axes.

    Parameters
    ----------
    curve : ForceDraw
        What is shown.
    width, height : float
        Size of the plot [px].

    Returns
    -------
    PlotScale
        Axes that begin and end on whole steps.
    """
    step = _step(curve.draw[-1] - curve.draw[0], 8)
    first = step * (curve.draw[0] // step)
    last = step * -(-curve.draw[-1] // step)
    rise = _step(max(curve.high), 7)
    most = rise * -(-max([*curve.high, *(f for _, f in curve.board)]) // rise)
    return PlotScale(_LEFT, width - _RIGHT, _TOP, height - _BOTTOM, first, last, most)


def force_draw_svg(
    curve: ForceDraw,
    *,
    width: float = 520.0,
    height: float = 320.0,
    theme: str = "light",
    prefix: str = "force",
) -> str:
    """Draw force over draw.

    Parameters
    ----------
    curve : ForceDraw
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
    scale = force_draw_scale(curve, width, height)

    def x(draw: float) -> float:
        share = (draw - scale.first) / (scale.last - scale.first)
        return scale.left + share * (scale.right - scale.left)

    def y(force: float) -> float:
        return scale.bottom - force / scale.most * (scale.bottom - scale.top)

    parts: list[str] = []
    for value in _ticks(0.0, scale.most, 7):
        parts.append(_rule(scale.left, y(value), scale.right, y(value), palette.hair))
        parts.append(lettering(scale.left - 8, y(value) + 5, f"{value:g}", anchor="end"))
    for value in _ticks(scale.first, scale.last, 8):
        parts.append(_rule(x(value), scale.bottom, x(value), scale.bottom + 5, palette.soft))
        parts.append(lettering(x(value), scale.bottom + 20, f"{value:g}", anchor="middle"))
    under = f"{curve.along}, {curve.draw_unit}"
    parts.append(lettering(0.5 * (scale.left + scale.right), height - 8, under, anchor="middle"))
    # In the corner the curve never reaches: force begins at nothing.
    parts.append(lettering(scale.left + 6, scale.top + 14, f"force, {curve.force_unit}"))
    band = [*zip(curve.draw, curve.high, strict=True)]
    band += reversed([*zip(curve.draw, curve.low, strict=True)])
    parts.append(_shape(band, x, y, f'fill="{palette.touch}" fill-opacity="{palette.band:g}"'))
    middle = list(zip(curve.draw, curve.force, strict=True))
    parts.append(_curve(middle, x, y, palette.ink))
    for draw, force in curve.board:
        # A rim of paper keeps a point apart from the curve it lies on.
        parts.append(
            f'<circle cx="{x(draw):.1f}" cy="{y(force):.1f}" r="5" fill="{palette.wax}"'
            f' stroke="{palette.paper}" stroke-width="2"/>'
        )
    name = f"force over draw: up to {max(curve.force):.0f} {curve.force_unit}"
    return document(width, height, parts, palette=palette, prefix=prefix, name=name)


def _step(span: float, most: int) -> float:
    """Smallest step of 1, 2 or 5 times a power of ten that cuts a span into few parts."""
    power = 1e-3
    while True:
        for base in (1.0, 2.0, 5.0):
            if base * power * most >= span:
                return base * power
        power *= 10.0


def _ticks(first: float, last: float, most: int) -> list[float]:
    step = _step(last - first, most)
    count = round((last - first) / step)
    return [first + step * i for i in range(count + 1)]


def _rule(x1: float, y1: float, x2: float, y2: float, colour: str) -> str:
    ends = f'x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"'
    return f'<line {ends} stroke="{colour}" stroke-width="1"/>'


def _points(points: Sequence[tuple[float, float]], x: _Axis, y: _Axis) -> str:
    return " ".join(f"{x(a):.1f},{y(b):.1f}" for a, b in points)


def _shape(points: Sequence[tuple[float, float]], x: _Axis, y: _Axis, style: str) -> str:
    return f'<polygon points="{_points(points, x, y)}" {style}/>'


def _curve(points: Sequence[tuple[float, float]], x: _Axis, y: _Axis, colour: str) -> str:
    drawn = _points(points, x, y)
    return f'<polyline points="{drawn}" fill="none" stroke="{colour}" stroke-width="2.2"/>'
