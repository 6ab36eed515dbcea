"""The line seen close, true to scale in both directions: twisted strands and thread wraps."""

from __future__ import annotations

import math

from strandwright.drawing.graduation import metres_per_unit, position_text
from strandwright.drawing.lettering import text_width, wrap_text
from strandwright.drawing.picture import SpanPicture, StripPicture
from strandwright.drawing.strands import strand_parts
from strandwright.drawing.svg import document, lettering, prefix_or_fail, shade_definition
from strandwright.drawing.tokens import TEXT_SIZE, palette_of
from strandwright.drawing.wraps import wrap_parts
from strandwright.errors import GeometryError

_MARGIN = 18.0
_NARROWEST = 200.0


def twisted_svg(
    picture: StripPicture,
    start: float,
    stop: float,
    *,
    width: float = 900.0,
    theme: str = "light",
    prefix: str = "close",
) -> str:
    """Draw a stretch of the line as it looks, as thick as it is long.

    Parameters
    ----------
    picture : StripPicture
        The whole line.
    start, stop : float
        The stretch, from the zero end, 0 <= start < stop <= length [m].
    width : float
        Of the drawing, >= 200; with the stretch it sets the scale [px].
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
        If the stretch is empty or off the line, or the width under 200 px.
    SpecError
        If theme or prefix cannot be used.

    Notes
    -----
    Each strand is a round tube about a helix at its packed radius, in parallel projection;
    strands are not squeezed where they touch.  Wraps thinner than 1.5 px are drawn coarser,
    by a whole number of wraps.
    """
    _check(picture, start, stop, width)
    palette = palette_of(theme)
    scale = (width - 2.0 * _MARGIN) / (stop - start)
    spans = [span for span in picture.spans if span.start < stop and span.stop > start]
    thickest = max((span.diameter for span in spans), default=0.0) * scale
    middle = _MARGIN + thickest / 2.0 + 4.0
    prefix_or_fail(prefix)
    parts = [f"<defs>{shade_definition(prefix)}</defs>"]
    for index, span in enumerate(spans):
        left = _MARGIN + (max(span.start, start) - start) * scale
        right = _MARGIN + (min(span.stop, stop) - start) * scale
        origin = _MARGIN + (span.start - start) * scale
        clip = f"{prefix}-part{index}"
        tall = thickest + 8.0
        parts.append(
            f'<clipPath id="{clip}"><rect x="{left:.2f}" y="{middle - tall / 2.0:.2f}"'
            f' width="{right - left:.2f}" height="{tall:.2f}"/></clipPath>'
            f'<g clip-path="url(#{clip})">'
        )
        if span.served is None:
            parts += strand_parts(picture, span, origin, left, right, middle, scale)
        else:
            parts += wrap_parts(span, span.served, origin, left, right, middle, scale)
            height = span.diameter * scale
            parts.append(
                f'<rect x="{left:.2f}" y="{middle - height / 2.0:.2f}" height="{height:.2f}"'
                f' width="{right - left:.2f}" fill="url(#{prefix}-shade)"/>'
            )
        parts.append("</g>")
    y = middle + thickest / 2.0 + 12.0
    foot, height = _foot(picture, spans, start, stop, width, y, palette.soft)
    return document(
        width,
        y + height + 8.0,
        parts + foot,
        palette=palette,
        prefix=prefix,
        name=f"Close view of {picture.title or 'a line'}",
        description=_hands(picture, spans),
    )


def _check(picture: StripPicture, start: float, stop: float, width: float) -> None:
    """Refuse a stretch that cannot be drawn."""
    if not 0.0 <= start < stop <= picture.length * (1.0 + 1e-9):
        raise GeometryError(
            "stretch",
            f"{start} to {stop} m",
            f"it runs along the line, 0 to {picture.length:.4f} m",
            "give a start before the stop",
        )
    if not width >= _NARROWEST:
        raise GeometryError("width", width, "a close view needs 200 px or more", "widen it")


def _foot(
    picture: StripPicture,
    spans: list[SpanPicture],
    start: float,
    stop: float,
    width: float,
    y: float,
    soft: str,
) -> tuple[list[str], float]:
    """Letter both ends' positions, and between or under them the hands."""
    first = f"{position_text(start, picture.units, picture.fraction)} {picture.units}"
    last = f"{position_text(stop, picture.units, picture.fraction)} {picture.units}"
    right = width - _MARGIN
    parts = [
        f'<path d="M{_MARGIN:.1f} {y:.1f}v8m0 -4H{right:.1f}m0 -4v8" fill="none" stroke="{soft}"/>',
        lettering(_MARGIN, y + 24.0, first),
        lettering(right, y + 24.0, last, anchor="end"),
    ]
    words = _hands(picture, spans)
    sides = 2.0 * max(text_width(first, TEXT_SIZE), text_width(last, TEXT_SIZE)) + 32.0
    room = right - _MARGIN
    if text_width(words, TEXT_SIZE) + sides < room:
        parts.append(lettering(width / 2.0, y + 24.0, words, anchor="middle", fill=soft))
        return parts, 30.0
    lines = wrap_text(words, TEXT_SIZE, room)
    parts += [
        lettering(_MARGIN, y + 44.0 + 18.0 * i, line, fill=soft) for i, line in enumerate(lines)
    ]
    return parts, 32.0 + 18.0 * len(lines)


def _hands(picture: StripPicture, spans: list[SpanPicture]) -> str:
    """Say the hand of twist and of the wraps, and the twist's rate."""
    said = ["true to scale"]
    rates = [(s.turns_at_stop - s.turns_at_start) / (s.stop - s.start) for s in spans]
    if rates:
        unit = metres_per_unit(picture.units) * (1.0 if picture.units == "in" else 100.0)
        per = "in" if picture.units == "in" else "100 mm"
        rate = math.fsum(rates) / len(rates) * unit
        said.append(f"{picture.hand} twist, {rate:.2f} turns in {'1 in' if per == 'in' else per}")
    said += [f"{s.served.name}: {s.served.hand} wraps" for s in spans if s.served is not None]
    return "; ".join(said)
