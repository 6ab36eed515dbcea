"""Force over draw: the curve, how sure it is, and what was read on a draw board."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.drawing.chart import curve as drawn_curve
from strandwright.drawing.chart import dot, footed, ranged, round_step, round_steps, ruled
from strandwright.drawing.svg import document, lettering, prefix_or_fail
from strandwright.drawing.tokens import palette_of

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
    step = round_step(curve.draw[-1] - curve.draw[0], 8)
    first = step * (curve.draw[0] // step)
    last = step * -(-curve.draw[-1] // step)
    rise = round_step(max(curve.high), 7)
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

    forces = [(value, f"{value:g}") for value in round_steps(0.0, scale.most, 7)]
    parts = ruled(forces, (scale.left, scale.right), y, palette)
    for value in round_steps(scale.first, scale.last, 8):
        parts += footed(x(value), scale.bottom, f"{value:g}", palette)
    under = f"{curve.along}, {curve.draw_unit}"
    parts.append(lettering(0.5 * (scale.left + scale.right), height - 8, under, anchor="middle"))
    # In the corner the curve never reaches: force begins at nothing.
    parts.append(lettering(scale.left + 6, scale.top + 14, f"force, {curve.force_unit}"))
    parts.append(ranged(curve.draw, curve.low, curve.high, x, y, palette))
    parts.append(drawn_curve(curve.draw, curve.force, x, y, palette))
    parts += [dot(x(draw), y(force), palette.wax, palette.paper) for draw, force in curve.board]
    name = f"force over draw: up to {max(curve.force):.0f} {curve.force_unit}"
    return document(width, height, parts, palette=palette, prefix=prefix, name=name)
