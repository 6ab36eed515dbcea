"""Control: what a bench gives, how far each build lies from the last, the average that forgets.

::

    hatched   outside the tolerance        what a customer is owed
    zones     1, 2, 3 standard deviations  what a steady bench keeps to
    marks     dot; diamond; wedge          as the rest; past the limits; one of a run on that side
"""

from __future__ import annotations

from strandwright.drawing.chart import rule
from strandwright.drawing.control_key import KEY_LINE, key_lines
from strandwright.drawing.control_panel import (
    Panel,
    band,
    grid,
    outside,
    shape,
    ticks,
    trace,
    zones,
)
from strandwright.drawing.control_picture import ControlChart
from strandwright.drawing.lettering import fit_text, text_width
from strandwright.drawing.svg import document, escaped, lettering, prefix_or_fail
from strandwright.drawing.tokens import TEXT_SIZE, Palette, palette_of

_LEFT, _RIGHT, _TOP, _BETWEEN, _UNDER = 62.0, 12.0, 30.0, 38.0, 50.0
#: Share of the height that the average takes.
_AVERAGE_SHARE = 0.34
#: Shares of the height where the distances between neighbours stand between the two.
_MOVE_SHARE, _AVERAGE_BESIDE = 0.22, 0.28
#: From a mark to its name [px]
_BESIDE = 11.0


def control_svg(
    chart: ControlChart,
    *,
    width: float = 420.0,
    height: float = 440.0,
    theme: str = "light",
    prefix: str = "control",
) -> str:
    """Draw a row of builds; each is a group with the build's label as ``data-build``.

    Parameters
    ----------
    chart : ControlChart
        What is shown.
    width, height : float
        Size of the drawing, from 280 by 320 up [px].
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
    key = key_lines(chart, width, height, palette)
    bottom = height - _UNDER - KEY_LINE * len(key)
    values, moves, averages = _panels(chart, width, bottom)
    room = width - 2.0 * _RIGHT
    parts = [
        *grid(values, palette),
        *zones(values, chart.centre, [b.sigma for b in chart.builds], palette),
        *_tolerance(chart, values, palette, prefix),
        *_moves(chart, moves, palette, room),
        *_averages(chart, averages, palette),
        *_axis(chart, averages),
        *_headed(_TOP - 12, f"{chart.name}, {chart.unit}", room),
        *_headed(averages.top - 12, f"average that forgets, {chart.unit}", room),
        *_levels(chart, values, palette),
        trace(values, [b.value for b in chart.builds], palette.soft, 1.0, 0.8),
        *_builds(chart, values, moves, averages, palette, prefix),
        *_names(chart, values, palette),
        *(part for line in key for part in line),
    ]
    name = f"{chart.name} of {len(chart.builds)} builds"
    return document(
        width, height, parts, palette=palette, prefix=prefix, name=name, description=chart.verdict
    )


def _panel(
    chart: ControlChart, width: float, top: float, bottom: float, ends: tuple[float, float]
) -> Panel:
    """A panel with a little air above and below what it shows."""
    air = 0.07 * (ends[1] - ends[0])
    right = width - _RIGHT
    least, most = ends[0] - air, ends[1] + air
    return Panel(_left(chart), right, top, bottom, least, most, len(chart.builds))


def _panels(chart: ControlChart, width: float, bottom: float) -> tuple[Panel, Panel | None, Panel]:
    """Values, distances between neighbours where they are shown, averages: from the top down."""
    if not chart.moves:
        split = _TOP + (1.0 - _AVERAGE_SHARE) * (bottom - _TOP - _BETWEEN)
        under = split + _BETWEEN
        averages = _panel(chart, width, under, bottom, chart.average_ends)
        return _panel(chart, width, _TOP, split, chart.value_ends), None, averages
    room = bottom - _TOP - 2.0 * _BETWEEN
    first = _TOP + (1.0 - _MOVE_SHARE - _AVERAGE_BESIDE) * room
    second = first + _BETWEEN + _MOVE_SHARE * room
    right = width - _RIGHT
    most = 1.07 * chart.most_moved
    return (
        _panel(chart, width, _TOP, first, chart.value_ends),
        Panel(_left(chart), right, first + _BETWEEN, second, 0.0, most, len(chart.builds)),
        _panel(chart, width, second + _BETWEEN, bottom, chart.average_ends),
    )


def _left(chart: ControlChart) -> float:
    """Room for the widest number of any axis, the same beside each so that builds stand in line."""
    ends = [chart.value_ends, chart.average_ends]
    ends += [(0.0, chart.most_moved)] if chart.moves else []
    axes = [ticks(low - 0.07 * (high - low), high + 0.07 * (high - low)) for low, high in ends]
    widest = max(text_width(text, TEXT_SIZE) for axis in axes for _, text in axis)
    return max(_LEFT, widest + 12.0)


def _moves(chart: ControlChart, panel: Panel | None, palette: Palette, room: float) -> list[str]:
    """How far each build lies from the one before, and what a steady bench keeps that under."""
    if panel is None:
        return []
    low, high = [0.0] * len(chart.builds), [b.moved_most for b in chart.builds]
    middle = panel.y(sum(chart.moves) / len(chart.moves))
    first = len(chart.builds) - len(chart.moves)
    stems = [
        rule(panel.x(first + i), panel.bottom, panel.x(first + i), panel.y(move), palette.soft, 2.0)
        for i, move in enumerate(chart.moves)
    ]
    return [
        *grid(panel, palette),
        *band(panel, low, high, palette),
        rule(panel.left, middle, panel.right, middle, palette.ink, 1.4),
        *stems,
        *_headed(panel.top - 12, f"apart from the build before, {chart.unit}", room),
    ]


def _tolerance(chart: ControlChart, panel: Panel, palette: Palette, prefix: str) -> list[str]:
    if chart.tolerance is None or not chart.shows_tolerance:
        return []
    return outside(panel, *chart.tolerance, palette, prefix)


def _averages(chart: ControlChart, panel: Panel, palette: Palette) -> list[str]:
    builds = chart.builds
    middle = panel.y(chart.centre)
    return [
        *grid(panel, palette),
        *band(panel, [b.average_low for b in builds], [b.average_high for b in builds], palette),
        rule(panel.left, middle, panel.right, middle, palette.ink, 1.4),
        trace(panel, [b.average for b in builds], palette.ink, 2.2),
    ]


def _levels(chart: ControlChart, panel: Panel, palette: Palette) -> list[str]:
    """Levels that moved, and the line between the builds where one gave way to another."""
    parts: list[str] = []
    for level in chart.levels:
        ends = (panel.x(level.first - 0.5), panel.x(level.last + 0.5))
        begin, end = panel.y(level.begin), panel.y(level.end)
        parts.append(rule(ends[0], begin, ends[1], end, palette.wax, 2.5))
        if level.first > 0:
            parts.append(rule(ends[0], panel.top, ends[0], panel.bottom, palette.wax, 1.5, "2 4"))
    return parts


def _builds(
    chart: ControlChart,
    values: Panel,
    moves: Panel | None,
    averages: Panel,
    palette: Palette,
    prefix: str,
) -> list[str]:
    size = min(max(0.3 * values.pitch, 1.8), 3.6)
    parts: list[str] = []
    for i, build in enumerate(chart.builds):
        x = values.x(i)
        large = size if build.mark == "plain" else size + 2.6
        inside = [shape(build.mark, x, values.y(build.value), large, palette)]
        if moves is not None and build.moved is not None and build.is_move_beyond:
            inside.append(shape("out", x, moves.y(build.moved), size + 1.6, palette))
        if build.is_average_beyond:
            inside.append(shape("average", x, averages.y(build.average), size + 0.8, palette))
        # As wide as its place and as high as all panels, a build can be met by a finger.
        place = f'x="{values.x(i - 0.5):.2f}" y="{values.top:.1f}" width="{values.pitch:.2f}"'
        inside.append(
            f'<rect {place} height="{averages.bottom - values.top:.1f}" fill="none"'
            ' pointer-events="all"/>'
        )
        head = f'<g id="{prefix}-build-{i}" class="build" data-build="{escaped(build.label)}"'
        parts.append(
            f'{head} data-mark="{build.mark}"><title>{escaped(build.words)}</title>'
            f"{''.join(inside)}</g>"
        )
    return parts


def _names(chart: ControlChart, panel: Panel, palette: Palette) -> list[str]:
    """Names of those that stand out, as far as they do not meet."""
    parts: list[str] = []
    taken: list[tuple[float, float, float]] = []
    for i, build in enumerate(chart.builds):
        if build.mark != "out":
            continue
        text = fit_text(build.label, TEXT_SIZE, 0.4 * (panel.right - panel.left), strong=True)
        wide = text_width(text, TEXT_SIZE, strong=True)
        # Beside the mark, towards the middle of the chart, where there is always room.
        x = panel.x(i) + (_BESIDE if i < 0.5 * len(chart.builds) else -_BESIDE - wide)
        y = min(max(panel.y(build.value) + 5.0, panel.top + 12.0), panel.bottom - 3.0)
        if all(
            x + wide < left or x > right or abs(y - at) > TEXT_SIZE for left, right, at in taken
        ):
            parts.append(lettering(x, y, text, strong=True))
            taken.append((x - 4.0, x + wide + 4.0, y))
    halo = f'stroke="{palette.paper}" stroke-width="4" stroke-linejoin="round"'
    return [f'<g paint-order="stroke" {halo}>', *parts, "</g>"] if parts else []


def _axis(chart: ControlChart, panel: Panel) -> list[str]:
    """As many names of builds as find room, in even steps, and what the axis is."""
    widest = max(text_width(_short(b.label), TEXT_SIZE) for b in chart.builds)
    fits = max(1, int((panel.right - panel.left) / (widest + 12.0)))
    count = len(chart.builds)
    every = next((e for e in (1, 2, 5, 10, 20, 50, 100, 200, 500) if count / e <= fits), count)
    shown = range((every - 1) % count, count, every)
    parts: list[str] = []
    for i in shown:
        text = _short(chart.builds[i].label)
        half = 0.5 * text_width(text, TEXT_SIZE)
        x = min(max(panel.x(i), half + 2.0), panel.right + _RIGHT - half - 2.0)
        parts.append(lettering(x, panel.bottom + 18.0, text, anchor="middle"))
    middle = 0.5 * (panel.left + panel.right)
    parts.append(lettering(middle, panel.bottom + 37.0, "builds, oldest first", anchor="middle"))
    return parts


def _short(label: str) -> str:
    return fit_text(label, TEXT_SIZE, 90.0)


def _headed(y: float, text: str, room: float) -> list[str]:
    return [lettering(_RIGHT, y, fit_text(text, TEXT_SIZE, room))]
