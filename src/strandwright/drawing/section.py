"""The line's cross-section and the bar of its colours in winding order."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from strandwright.drawing.graduation import metres_per_unit
from strandwright.drawing.helix import packed_circle
from strandwright.drawing.labels import place_labels
from strandwright.drawing.lettering import fit_text, text_width, wrap_text
from strandwright.drawing.picture import StrandPicture
from strandwright.drawing.svg import colour_or_fail, document, escaped, lettering, prefix_or_fail
from strandwright.drawing.tokens import TEXT_SIZE, palette_of
from strandwright.errors import GeometryError, SpecError

_MARGIN = 18.0


def cross_section_svg(
    strands: Sequence[StrandPicture],
    diameter: float,
    served_diameter: float | None = None,
    thread_colour: str = "#3A3A3A",
    *,
    units: str = "in",
    width: float = 260.0,
    theme: str = "light",
    prefix: str = "section",
) -> str:
    """Draw the packed strands, and the thread round them, seen from the zero end.

    Parameters
    ----------
    strands : sequence of StrandPicture, n >= 1
        The strands at their packed centres, without twist.
    diameter : float
        Of the bundle, > 0 [m].
    served_diameter : float or None
        Over the thread, more than ``diameter``; None for bare fibre [m].
    thread_colour : str
        ``#rrggbb``.
    units : str
        ``in`` or ``mm``, for the numbers.
    width : float
        Of the drawing, >= 120 [px].
    theme : str
        ``light``, ``dark`` or ``print``.
    prefix : str
        Put before every id.

    Returns
    -------
    str
        An SVG document.

    Raises
    ------
    GeometryError
        If diameters are not in order, or the width under 120 px.
    SpecError
        If there is no strand, or a colour, unit, theme or prefix cannot be used.
    """
    outer = diameter if served_diameter is None else served_diameter
    _check_section(strands, diameter, served_diameter, width)
    palette, middle = palette_of(theme), width / 2.0
    scale = (width - 2.0 * _MARGIN) / outer
    radius = diameter * scale / 2.0
    centres, _, strand_radius = packed_circle(strands)
    largest = max(float(centres.max()) + strand_radius, strand_radius)
    unit = _bundle_unit(strands, largest)
    parts: list[str] = []
    if served_diameter is not None:
        ring = (served_diameter - diameter) / 2.0 * scale
        parts.append(
            f'<circle cx="{middle:.2f}" cy="{middle:.2f}" r="{radius + ring / 2.0:.2f}" fill="none"'
            f' stroke="{colour_or_fail(thread_colour, "thread_colour")}"'
            f' stroke-width="{ring:.2f}"/>'
            f'<circle cx="{middle:.2f}" cy="{middle:.2f}" r="{radius + ring:.2f}" fill="none"'
            f' stroke="{palette.edge}" stroke-opacity=".6"/>'
        )
    parts += [
        f'<circle cx="{middle + strand.x * unit * radius:.2f}"'
        f' cy="{middle - strand.y * unit * radius:.2f}"'
        f' r="{strand_radius * radius:.2f}" fill="{strand.colour}" stroke="{palette.edge}"'
        f' stroke-opacity=".55" stroke-width=".8"><title>{escaped(strand.colour_name)}</title>'
        "</circle>"
        for strand in strands
    ]
    said = [f"bundle {_diameter_text(diameter, units)}"]
    if served_diameter is not None:
        said.append(f"served {_diameter_text(served_diameter, units)}")
    lines = [(line, None) for line in said]
    colours = wrap_text(_colour_words(strands), TEXT_SIZE, width - 2.0 * _MARGIN)
    lines += [(line, palette.soft) for line in colours]
    parts += [
        lettering(middle, width + 10.0 + 19.0 * i, line, anchor="middle", fill=fill)
        for i, (line, fill) in enumerate(lines)
    ]
    return document(
        width,
        width + 19.0 * len(lines) + 4.0,
        parts,
        palette=palette,
        prefix=prefix_or_fail(prefix),
        name="Cross-section seen from the zero end",
        description="; ".join([*said, _colour_words(strands)]),
    )


def colour_bar_svg(
    strands: Sequence[StrandPicture],
    *,
    width: float = 600.0,
    theme: str = "light",
    prefix: str = "colours",
) -> str:
    """Draw the strands' colours in winding order, each run named and counted.

    Parameters
    ----------
    strands : sequence of StrandPicture, n >= 1
        In the order they are wound.
    width : float
        Of the drawing, >= 120 [px].
    theme : str
        ``light``, ``dark`` or ``print``.
    prefix : str
        Put before every id.

    Returns
    -------
    str
        An SVG document.

    Raises
    ------
    GeometryError
        If the width is under 120 px.
    SpecError
        If there is no strand, or theme or prefix cannot be used.
    """
    _check_section(strands, 1.0, None, width)
    palette, left, right = palette_of(theme), _MARGIN, width - _MARGIN
    cell = (right - left) / len(strands)
    gap = min(2.0, cell / 4.0)
    parts = [
        f'<rect x="{left + i * cell + gap / 2.0:.2f}" y="14" width="{cell - gap:.2f}" height="22"'
        f' rx="{min(4.0, cell / 4.0):.1f}" fill="{strand.colour}" stroke="{palette.edge}"'
        ' stroke-opacity=".45" stroke-width=".8"/>'
        for i, strand in enumerate(strands)
    ]
    runs = [
        (len(list(members)), name)
        for (_, name), members in groupby(strands, key=lambda s: (s.colour, s.colour_name))
    ]
    texts = [fit_text(f"{count} {name}", TEXT_SIZE, (right - left) / 2.0) for count, name in runs]
    anchors: list[float] = []
    at = left
    for count, _ in runs:
        anchors.append(at + count * cell / 2.0)
        at += count * cell
    placed = place_labels(anchors, [text_width(t, TEXT_SIZE) for t in texts], left, right)
    for spot, text in zip(placed, texts, strict=True):
        y = 62.0 + 20.0 * spot.row
        parts.append(
            f'<path fill="none" stroke="{palette.soft}" stroke-width=".9"'
            f' d="M{spot.anchor:.2f} 38L{spot.foot:.2f} 45V{y - 13.0:.1f}"/>'
            + lettering(spot.middle, y, text, anchor="middle")
        )
    rows = max(spot.row for spot in placed)
    return document(
        width,
        74.0 + 20.0 * rows,
        parts,
        palette=palette,
        prefix=prefix_or_fail(prefix),
        name="Colours in winding order",
        description=", then ".join(f"{count} {name}" for count, name in runs),
    )


def _check_section(
    strands: Sequence[StrandPicture], diameter: float, served: float | None, width: float
) -> None:
    """Refuse what cannot be drawn."""
    if not strands:
        raise SpecError("strands", "none", "a line has strands", "add one or more")
    if not 0.0 < diameter < float("inf"):
        raise GeometryError("diameter", diameter, "it must be more than zero", "enter it again")
    if served is not None and not diameter < served < float("inf"):
        raise GeometryError(
            "served_diameter", served, f"thread adds to the bundle, {diameter} m", "enter it again"
        )
    if not width >= 120.0:
        raise GeometryError("width", width, "this drawing needs 120 px or more", "widen it")


def _bundle_unit(strands: Sequence[StrandPicture], largest: float) -> float:
    """Give the factor from a strand's own unit to bundle radii."""
    furthest = max((s.x * s.x + s.y * s.y) ** 0.5 for s in strands)
    centres, _, _ = packed_circle(strands)
    return float(centres.max()) / furthest / largest if furthest > 0.0 and largest > 0.0 else 0.0


def _diameter_text(diameter: float, units: str) -> str:
    """Write a diameter with its unit."""
    number = diameter / metres_per_unit(units)
    return f"{number:.3f} {units}" if units == "in" else f"{number:.2f} {units}"


def _colour_words(strands: Sequence[StrandPicture]) -> str:
    """Count the strands of each colour in words."""
    counts: dict[str, int] = {}
    for strand in strands:
        name = strand.colour_name or strand.colour
        counts[name] = counts.get(name, 0) + 1
    return " · ".join(f"{count} {name}" for name, count in counts.items())
