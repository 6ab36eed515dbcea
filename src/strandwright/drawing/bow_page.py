"""The bow on one page: at brace and at full draw side by side, and force over draw below."""

from __future__ import annotations

from dataclasses import replace

from strandwright.drawing.bow import BowPicture, bow_svg, bow_width
from strandwright.drawing.force_draw import ForceDraw, force_draw_svg
from strandwright.drawing.svg import document, lettering, prefix_or_fail
from strandwright.drawing.tokens import palette_of

_GAP, _CAPTION = 24.0, 26.0
_PLOT_TALL = 320.0
#: Left free to the right of the string at brace [m].
_BEHIND = 0.05


def side_by_side_svg(
    brace: BowPicture,
    drawn: BowPicture,
    *,
    tall: float = 460.0,
    theme: str = "light",
    prefix: str = "bows",
) -> str:
    """Draw a bow at brace and at full draw, to one scale.

    Parameters
    ----------
    brace, drawn : BowPicture
        The two ends of its draw, in one frame.
    tall : float
        Height of the bows without their captions [px]
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
    parts, width = _pair(brace, drawn, tall, theme, prefix)
    palette = palette_of(theme)
    name = f"{brace.label}, and {drawn.label}"
    return document(width, tall + _CAPTION, parts, palette=palette, prefix=prefix, name=name)


def bow_page_svg(
    brace: BowPicture,
    drawn: BowPicture,
    curve: ForceDraw,
    *,
    tall: float = 460.0,
    theme: str = "light",
    prefix: str = "page",
) -> str:
    """Draw a bow at brace and at full draw, and its force over draw.

    Parameters
    ----------
    brace, drawn : BowPicture
        The two ends of its draw, in one frame.
    curve : ForceDraw
        Force over draw.
    tall : float
        Height of the bows without their captions [px]
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
    parts, width = _pair(brace, drawn, tall, theme, prefix)
    wide = max(width, 520.0)
    plot = force_draw_svg(
        curve, width=wide, height=_PLOT_TALL, theme=theme, prefix=f"{prefix}-force"
    )
    top = tall + _CAPTION + _GAP
    parts.append(_placed(plot, 0.0, top))
    name = f"{brace.label}, {drawn.label}, and force over draw"
    palette = palette_of(theme)
    return document(wide, top + _PLOT_TALL, parts, palette=palette, prefix=prefix, name=name)


def _pair(
    brace: BowPicture, drawn: BowPicture, tall: float, theme: str, prefix: str
) -> tuple[list[str], float]:
    """Both pictures with captions under them, and their width together."""
    left, bottom, _, top = brace.frame
    right = max(x for path in brace.paths for x, _ in path.points) + _BEHIND
    parts: list[str] = []
    at = 0.0
    for picture, key in (
        (replace(brace, frame=(left, bottom, right, top)), "brace"),
        (drawn, "drawn"),
    ):
        width = bow_width(picture, tall)
        svg = bow_svg(picture, width=width, theme=theme, prefix=f"{prefix}-{key}")
        parts.append(_placed(svg, at, 0.0))
        said = picture.label.removeprefix("the bow ").removeprefix("the crossbow ")
        parts.append(lettering(at + 0.5 * width, tall + 17.0, said, anchor="middle"))
        at += width + _GAP
    return parts, at - _GAP


def _placed(svg: str, x: float, y: float) -> str:
    """Lay a whole drawing into another."""
    return svg.replace("<svg ", f'<svg x="{x:.1f}" y="{y:.1f}" ', 1)
