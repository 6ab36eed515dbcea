"""Key of the control chart: what its lines and marks mean, in as many lines as it needs."""

from __future__ import annotations

from strandwright.drawing.chart import rule
from strandwright.drawing.control_panel import shape
from strandwright.drawing.control_picture import ControlChart
from strandwright.drawing.lettering import text_width
from strandwright.drawing.svg import lettering
from strandwright.drawing.tokens import TEXT_SIZE, Palette

#: Height of a line of the key [px]
KEY_LINE = 22.0
_SIDE = 12.0


def key_lines(
    chart: ControlChart, width: float, height: float, palette: Palette
) -> list[list[str]]:
    """Write the key along the lower edge, with no more in it than is drawn.

    Parameters
    ----------
    chart : ControlChart
        What is shown.
    width, height : float
        Size of the drawing [px].
    palette : Palette
        The theme.

    Returns
    -------
    list of list of str
        Elements of each line.
    """
    lines: list[list[tuple[str, str, float]]] = [[]]
    at = _SIDE
    for kind, text in _key_texts(chart):
        wide = 24.0 + text_width(text, TEXT_SIZE) + 14.0
        if at + wide - 14.0 > width - _SIDE and lines[-1]:
            lines.append([])
            at = _SIDE
        lines[-1].append((kind, text, at))
        at += wide
    drawn: list[list[str]] = []
    for row, line in enumerate(lines):
        y = height - KEY_LINE * (len(lines) - row) + 10.0
        parts: list[str] = []
        for kind, text, x in line:
            parts += [_key_shape(kind, x, y - 5.0, palette), lettering(x + 24.0, y, text)]
        drawn.append(parts)
    return drawn if lines[0] else []


def _key_texts(chart: ControlChart) -> list[tuple[str, str]]:
    marks = {build.mark for build in chart.builds}
    texts = [("limit", "limits of a steady bench")]
    if chart.tolerance is not None:
        seen = chart.shows_tolerance
        texts.append(("tolerance", "tolerance" if seen else "tolerance: beyond the drawing"))
    if "out" in marks or any(build.is_move_beyond for build in chart.builds):
        texts.append(("out", "past the limits"))
    if marks & {"high", "low"}:
        texts.append(("high" if "high" in marks else "low", "one of a run"))
    if any(build.is_average_beyond for build in chart.builds):
        texts.append(("average", "average past its limits"))
    if chart.levels:
        moves = len(chart.levels) == 1
        texts.append(("level", "level, moving on" if moves else "level before and after"))
    return texts


def _key_shape(kind: str, x: float, y: float, palette: Palette) -> str:
    if kind in ("limit", "tolerance", "level"):
        colour, wide, dashes = {
            "limit": (palette.touch, 1.5, ""),
            "tolerance": (palette.soft, 2.5, "9 4"),
            "level": (palette.wax, 2.5, ""),
        }[kind]
        return rule(x, y, x + 18.0, y, colour, wide, dashes)
    return shape(kind, x + 9.0, y, 4.4 if kind == "average" else 6.0, palette)
