"""A panel of the control chart: its axis, the zones a steady bench keeps, tolerance, marks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from strandwright.drawing.chart import number, round_step, rule, ruled
from strandwright.drawing.tokens import Palette

_TICKS = 5
#: How strongly each of the three zones is laid over the one outside it, of a range's own strength.
_ZONE = 0.42


@dataclass(frozen=True)
class Panel:
    """Where the builds and the values of one panel lie.

    Attributes
    ----------
    left, right, top, bottom : float
        Its edges [px].
    least, most : float
        Values at its lower and upper edge [unit].
    count : int
        Builds it has room for [-].
    """

    left: float
    right: float
    top: float
    bottom: float
    least: float
    most: float
    count: int

    @property
    def pitch(self) -> float:
        """Distance between builds [px]."""
        return (self.right - self.left) / self.count

    def x(self, index: float) -> float:
        """Place a build.

        Parameters
        ----------
        index : float
            Which, from 0; halves lie between builds [-].

        Returns
        -------
        float
            Across [px].
        """
        return self.left + (index + 0.5) * self.pitch

    def y(self, value: float) -> float:
        """Place a value, on the edge where it lies beyond.

        Parameters
        ----------
        value : float
            The value [unit].

        Returns
        -------
        float
            Down [px].
        """
        share = (value - self.least) / (self.most - self.least)
        return self.bottom - min(max(share, 0.0), 1.0) * (self.bottom - self.top)


def grid(panel: Panel, palette: Palette) -> list[str]:
    """Rule the value axis.

    Parameters
    ----------
    panel : Panel
        Where.
    palette : Palette
        The theme.

    Returns
    -------
    list of str
        Rules and numbers.
    """
    return ruled(ticks(panel.least, panel.most), (panel.left, panel.right), panel.y, palette)


def ticks(least: float, most: float) -> list[tuple[float, str]]:
    """Give the numbers of a value axis.

    Parameters
    ----------
    least, most : float
        Its ends [unit].

    Returns
    -------
    list of (float, str)
        Value, and what is written beside it [unit].
    """
    step = round_step(most - least, _TICKS)
    first, last = math.ceil(least / step - 1e-9), math.floor(most / step + 1e-9)
    return [(i * step, number(i * step, step)) for i in range(first, last + 1)]


def zones(panel: Panel, centre: float, sigma: Sequence[float], palette: Palette) -> list[str]:
    """Lay one, two and three standard deviations about the centre, and rule the outermost.

    Parameters
    ----------
    panel : Panel
        Where.
    centre : float
        The centre [unit].
    sigma : sequence of float
        Standard deviation at each build [unit].
    palette : Palette
        The theme.

    Returns
    -------
    list of str
        Three nested bands, two limits and the centre line.
    """
    parts: list[str] = []
    for times in (3.0, 2.0, 1.0):
        high = _steps(panel, [centre + times * s for s in sigma])
        low = _steps(panel, [centre - times * s for s in sigma])
        parts.append(
            f'<polygon points="{_joined([*high, *reversed(low)])}" fill="{palette.touch}"'
            f' fill-opacity="{palette.band * _ZONE:.3g}"/>'
        )
        if times == 3.0:
            parts += [_line(edge, palette.touch, 1.5) for edge in (high, low)]
    middle = panel.y(centre)
    return [*parts, rule(panel.left, middle, panel.right, middle, palette.ink, 1.4)]


def outside(panel: Panel, low: float, high: float, palette: Palette, prefix: str) -> list[str]:
    """Hatch what lies outside the tolerance, so that it is not taken for the limits.

    Parameters
    ----------
    panel : Panel
        Where.
    low, high : float
        Ends of the tolerance [unit].
    palette : Palette
        The theme.
    prefix : str
        Id prefix.

    Returns
    -------
    list of str
        A pattern, and for either side a hatched field with its edge.
    """
    parts = [
        f'<pattern id="{prefix}-hatch" width="7" height="7" patternUnits="userSpaceOnUse"'
        f' patternTransform="rotate(45)"><rect width="1.6" height="7" fill="{palette.soft}"'
        ' fill-opacity="0.55"/></pattern>'
    ]
    for top, bottom, edge in (
        (panel.top, panel.y(high), panel.y(high)),
        (panel.y(low), panel.bottom, panel.y(low)),
    ):
        if bottom - top > 0.5:
            size = f'width="{panel.right - panel.left:.1f}" height="{bottom - top:.1f}"'
            parts.append(
                f'<rect x="{panel.left:.1f}" y="{top:.1f}" {size} fill="url(#{prefix}-hatch)"/>'
            )
            parts.append(rule(panel.left, edge, panel.right, edge, palette.soft, 2.5, "9 4"))
    return parts


def shape(kind: str, x: float, y: float, size: float, palette: Palette) -> str:
    """Draw a mark; what it says is in its shape, colour only helps.

    Parameters
    ----------
    kind : str
        ``plain`` is a dot, ``out`` a diamond, ``high`` and ``low`` a wedge pointing that way,
        ``average`` a ring.
    x, y : float
        Its middle [px].
    size : float
        Half of its width [px].
    palette : Palette
        The theme.

    Returns
    -------
    str
        An element.
    """
    if kind in ("plain", "average"):
        style = (
            f'fill="{palette.ink}"'
            if kind == "plain"
            else f'fill="{palette.paper}" stroke="{palette.wax}" stroke-width="2.4"'
        )
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{size:.1f}" {style}/>'
    corners = {
        "out": ((0.0, -1.25), (1.25, 0.0), (0.0, 1.25), (-1.25, 0.0)),
        "high": ((0.0, -1.1), (1.0, 0.8), (-1.0, 0.8)),
        "low": ((0.0, 1.1), (1.0, -0.8), (-1.0, -0.8)),
    }[kind]
    points = _joined([(x + size * a, y + size * b) for a, b in corners])
    # A rim of paper keeps a mark apart from the line through it.
    rim = f'stroke="{palette.paper}" stroke-width="1.5" paint-order="stroke"'
    return f'<polygon points="{points}" fill="{palette.wax}" {rim}/>'


def trace(
    panel: Panel, values: Sequence[float], colour: str, wide: float, opacity: float = 1.0
) -> str:
    """Join the values of all builds.

    Parameters
    ----------
    panel : Panel
        Where.
    values : sequence of float
        One for each build [unit].
    colour : str
        ``#rrggbb``.
    wide : float
        Width of the line [px].
    opacity : float
        How strongly it is drawn, 0 to 1 [-].

    Returns
    -------
    str
        A ``polyline`` element.
    """
    return _line([(panel.x(i), panel.y(v)) for i, v in enumerate(values)], colour, wide, opacity)


def band(panel: Panel, low: Sequence[float], high: Sequence[float], palette: Palette) -> list[str]:
    """Lay a range between two stepped limits.

    Parameters
    ----------
    panel : Panel
        Where.
    low, high : sequence of float
        Limits at each build [unit].
    palette : Palette
        The theme.

    Returns
    -------
    list of str
        The field and its two edges.
    """
    above, below = _steps(panel, high), _steps(panel, low)
    field = _joined([*above, *reversed(below)])
    return [
        f'<polygon points="{field}" fill="{palette.touch}" fill-opacity="{palette.band:g}"/>',
        *(_line(edge, palette.touch, 1.5) for edge in (above, below)),
    ]


def _steps(panel: Panel, values: Sequence[float]) -> list[tuple[float, float]]:
    """Corners of a line that keeps each build's value over the build's own width."""
    corners: list[tuple[float, float]] = []
    for i, value in enumerate(values):
        corners += [(panel.x(i - 0.5), panel.y(value)), (panel.x(i + 0.5), panel.y(value))]
    return corners


def _line(
    points: Sequence[tuple[float, float]], colour: str, wide: float, opacity: float = 1.0
) -> str:
    faint = "" if opacity == 1.0 else f' stroke-opacity="{opacity:g}"'
    drawn = f'points="{_joined(points)}" fill="none"'
    return f'<polyline {drawn} stroke="{colour}" stroke-width="{wide:g}"{faint}/>'


def _joined(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
