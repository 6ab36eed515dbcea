"""The yoke: its two legs on the ends of an axle, what they pull, and the lean that follows."""

from __future__ import annotations

import math
from dataclasses import dataclass

from strandwright.drawing.lettering import wrap_text
from strandwright.drawing.svg import colour_or_fail, document, lettering, prefix_or_fail
from strandwright.drawing.tokens import TEXT_SIZE, Palette, palette_of

_WIDTH, _MARGIN = 420.0, 18.0
#: Axle, throat and end of the body, downwards from the end of the small print above [px]
_AXLE, _THROAT, _END = 90.0, 244.0, 300.0
#: Half of the axle between the middles of its loops, and what it goes on past them [px]
_HALF, _PAST = 118.0, 20.0
#: Half the height of the wheel's edge, and how far a lean is drawn [px, rad]
_WHEEL, _LEAN = 58.0, 0.2


@dataclass(frozen=True)
class YokePicture:
    """A yoke on its axle, its left leg the shorter, seen along the line of the limb.

    Attributes
    ----------
    span : str
        Between the middles of the two loops, in words.
    pulls : tuple of str
        What the left and the right leg pull, in words.
    about : str
        What the picture holds for; a line or two above it.
    lean : str
        What the wheel does; beneath it.
    colours : tuple of str
        ``#rrggbb`` of the left leg, the right leg and the body.
    is_strap : bool
        True where both legs are one strap in an eye.
    """

    span: str
    pulls: tuple[str, str]
    about: str
    lean: str
    colours: tuple[str, str, str]
    is_strap: bool = False

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        for colour in self.colours:
            colour_or_fail(colour, "yoke.colours")


def yoke_svg(picture: YokePicture, *, theme: str = "light", prefix: str = "yoke") -> str:
    """Draw a yoke on its axle.

    Parameters
    ----------
    picture : YokePicture
        What to draw.
    theme : str
        ``light``, ``dark``, ``sun`` or ``print``.
    prefix : str
        Put before every id, so that several pictures can share a page.

    Returns
    -------
    str
        An SVG document, 420 px wide.

    Raises
    ------
    SpecError
        If theme or prefix cannot be used.
    """
    palette, prefix = palette_of(theme), prefix_or_fail(prefix)
    room = _WIDTH - 2.0 * _MARGIN
    parts: list[str] = []
    y = _MARGIN
    for line in wrap_text(picture.about, TEXT_SIZE, room):
        y += 18.0
        parts.append(lettering(_MARGIN, y, line, fill=palette.soft))
    parts += _yoke(picture, palette, y)
    y += _END + 10.0
    for line in wrap_text(picture.lean, TEXT_SIZE, room):
        y += 18.0
        parts.append(lettering(_MARGIN, y, line))
    said = (
        f"Span {picture.span}; left leg {picture.pulls[0]}, right leg {picture.pulls[1]}. "
        f"{picture.lean}"
    )
    return document(
        _WIDTH,
        y + _MARGIN,
        parts,
        palette=palette,
        prefix=prefix,
        name="The yoke on its axle",
        description=said,
    )


def _yoke(picture: YokePicture, palette: Palette, top: float) -> list[str]:
    """Axle, wheel, legs, body and their words."""
    middle, axle, throat = 0.5 * _WIDTH, top + _AXLE, top + _THROAT
    left, right = middle - _HALF, middle + _HALF
    body = _line(middle, throat, middle, top + _END, picture.colours[2], 11.0, palette)
    legs = [
        _line(x, axle, middle, throat, colour, 7.0, palette)
        for x, colour in zip((left, right), picture.colours, strict=False)
    ]
    tie = (
        f'<circle cx="{middle}" cy="{throat:.1f}" r="9" fill="none" stroke="{palette.ink}" '
        'stroke-width="3"/>'
        if picture.is_strap
        else f'<rect x="{middle - 8.0}" y="{throat:.1f}" width="16" height="24" rx="2" '
        f'fill="{palette.ink}"/>'
    )
    pins = [
        f'<circle cx="{x}" cy="{axle:.1f}" r="7" fill="{palette.card}" stroke="{palette.ink}" '
        'stroke-width="2"/>'
        for x in (left, right)
    ]
    rod = (
        f'<path d="M{left - _PAST} {axle:.1f}H{right + _PAST}" stroke="{palette.soft}" '
        'stroke-width="5" stroke-linecap="round"/>'
    )
    return [
        _span(picture.span, left, right, top + 16.0, palette),
        _wheel(middle, axle, 0.0, palette),
        _wheel(middle, axle, -_LEAN, palette),
        rod, body, *legs, tie, *pins,
        *_pulls(picture, left, right, 0.5 * (axle + throat) + 8.0),
    ]  # fmt: skip


def _line(
    x0: float, y0: float, x1: float, y1: float, colour: str, wide: float, palette: Palette
) -> str:
    """A leg or the body, with an edge so that it stands on any ground."""
    path = f"M{x0:.1f} {y0:.1f}L{x1:.1f} {y1:.1f}"
    return (
        f'<path d="{path}" stroke="{palette.edge}" stroke-width="{wide + 1.6:.1f}"/>'
        f'<path d="{path}" stroke="{colour}" stroke-width="{wide:.1f}"/>'
    )


def _wheel(x: float, y: float, lean: float, palette: Palette) -> str:
    """The wheel's edge; level it is an outline, leaning it is dashed."""
    dash = ' stroke-dasharray="4 4"' if lean else ""
    return (
        f'<rect x="{x - 9.0}" y="{y - _WHEEL:.1f}" width="18" height="{2.0 * _WHEEL:.1f}" rx="5" '
        f'fill="none" stroke="{palette.touch if lean else palette.soft}" stroke-width="1.6"{dash} '
        f'transform="rotate({math.degrees(lean):.1f} {x} {y:.1f})"/>'
    )


def _span(text: str, left: float, right: float, y: float, palette: Palette) -> str:
    """The dimension between both loops, its number over the left half clear of the wheel."""
    return (
        f'<path fill="none" stroke="{palette.soft}" stroke-width=".9" '
        f'd="M{left} {y - 4.0:.1f}v8m0 -4H{right}m0 -4v8"/>' + lettering(right + 8.0, y + 5.0, text)
    )


def _pulls(picture: YokePicture, left: float, right: float, y: float) -> list[str]:
    """What either leg pulls, beside it."""
    inner = 30.0
    return [
        lettering(left + inner - 6.0, y, picture.pulls[0], anchor="end", strong=True),
        lettering(left + inner - 6.0, y + 18.0, "left leg", anchor="end"),
        lettering(right - inner + 6.0, y, picture.pulls[1], strong=True),
        lettering(right - inner + 6.0, y + 18.0, "right leg"),
    ]
