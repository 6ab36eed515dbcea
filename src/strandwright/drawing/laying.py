"""Laying in by hand: the end of the straight bundles with its marks, and the bundles on the pegs.

Everything along the bundles is true to one scale; strands and pegs are drawn as thick as can be
seen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from strandwright.drawing.lettering import text_width
from strandwright.drawing.svg import colour_or_fail, document, lettering, prefix_or_fail
from strandwright.drawing.tokens import Palette, palette_of
from strandwright.errors import GeometryError

#: Width of a picture and the margin at its sides [px]
_WIDTH, _SIDE = 360.0, 16.0
_TEXT = 13.0
#: From strand to strand, and from bundle to bundle [px]
_STRAND, _BUNDLE = 3.0, 9.0
#: From one lettered mark to the next below it [px]
_ROW = 21.0
_PEG = 7.0


@dataclass(frozen=True)
class PlaceMark:
    """A place along the bundles with what stands at it.

    Attributes
    ----------
    at : float
        From where the picture begins [m]
    words : str
        What stands there.
    main : bool
        True for the one to act on.
    """

    at: float
    words: str
    main: bool = False


@dataclass(frozen=True)
class BundleEndPicture:
    """One end of the straight bundles, from the longest strand's end.

    Attributes
    ----------
    name : str
        Which end.
    far : bool
        True for the far end: the strands' ends lie at the right.
    bundles : tuple of tuple of str
        Colour of every strand of each bundle, the longest first, ``#rrggbb``.
    step : float
        From the end of one strand to that of the next [m]
    loop : tuple of float
        Where the loop begins and closes [m]
    reach : float
        How far the picture goes, > 0 [m]
    marks : tuple of PlaceMark
        Lettered below, in order.
    """

    name: str
    far: bool
    bundles: tuple[tuple[str, ...], ...]
    step: float
    loop: tuple[float, float]
    reach: float
    marks: tuple[PlaceMark, ...]

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        _check(self.bundles, self.reach, "end.reach")


@dataclass(frozen=True)
class PegsPicture:
    """The first loop on its peg and the bundles drawn straight past the second peg.

    Attributes
    ----------
    bundles : tuple of tuple of str
        Colour of every strand of each bundle, ``#rrggbb``.
    pegs : float
        Outside to outside of the pegs [m]
    throat : float
        From the outside of the first peg to where the first loop closes [m]
    married : float
        From there to where its married part ends [m]
    reach : float
        Where the longest strands end, > 0 [m]
    marks : tuple of PlaceMark
        Of the second loop, from the outside of the first peg.
    """

    bundles: tuple[tuple[str, ...], ...]
    pegs: float
    throat: float
    married: float
    reach: float
    marks: tuple[PlaceMark, ...]

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        _check(self.bundles, self.reach, "pegs.reach")


def _check(bundles: Sequence[Sequence[str]], reach: float, field: str) -> None:
    for bundle in bundles:
        for colour in bundle:
            colour_or_fail(colour, "laying.colour")
    if not reach > 0.0:
        raise GeometryError(field, reach, "must be more than zero", "enter it again")


@dataclass(frozen=True)
class _Rule:
    """Where metres lie across the picture."""

    scale: float
    far: bool = False

    def x(self, at: float) -> float:
        across = _SIDE + self.scale * at
        return _WIDTH - across if self.far else across


def bundle_end_svg(picture: BundleEndPicture, *, theme: str = "light", prefix: str = "end") -> str:
    """Draw one end of the straight bundles with the marks of its loop.

    Parameters
    ----------
    picture : BundleEndPicture
        The end.
    theme : str
        ``light``, ``dark``, ``sun`` or ``print``.
    prefix : str
        Put before every id, so that several pictures can share a page.

    Returns
    -------
    str
        An ``svg`` element.
    """
    palette = palette_of(theme)
    rule = _Rule((_WIDTH - 2.0 * _SIDE) / picture.reach, picture.far)
    top, parts = 22.0, list[str]()
    for bundle in picture.bundles:
        for k, colour in enumerate(bundle):
            parts += _strand(rule, k * picture.step, picture.reach, top, colour, palette)
            top += _STRAND
        top += _BUNDLE
    bottom = top - _BUNDLE
    x0, x1 = sorted(rule.x(at) for at in picture.loop)
    parts.insert(
        0,
        f'<rect x="{x0:.1f}" y="12" width="{x1 - x0:.1f}" height="{bottom - 4.0:.1f}" '
        f'fill="{palette.card}" stroke="{palette.hair}"/>',
    )
    marks, tall = _lettered(rule, picture.marks, 12.0, bottom + 8.0, palette)
    return _document(
        [*parts, *marks],
        tall,
        palette,
        prefix,
        f"The {picture.name} end of the straight bundles",
        picture.marks,
    )


def pegs_svg(picture: PegsPicture, *, theme: str = "light", prefix: str = "pegs") -> str:
    """Draw the bundles on the first peg, straight past the second, with the second loop's marks.

    Parameters
    ----------
    picture : PegsPicture
        The line.
    theme : str
        ``light``, ``dark``, ``sun`` or ``print``.
    prefix : str
        Put before every id, so that several pictures can share a page.

    Returns
    -------
    str
        An ``svg`` element.
    """
    palette = palette_of(theme)
    rule = _Rule((_WIDTH - 2.0 * _SIDE) / picture.reach)
    middle, count = 34.0, len(picture.bundles)
    throat, parted = rule.x(picture.throat), rule.x(picture.throat + picture.married)
    wide = (parted - throat) / 8.0
    laid = "".join(
        f'<path d="M{throat + wide * k:.1f} {middle:.1f}h{wide:.1f}" '
        f'stroke="{picture.bundles[k % count][0]}" stroke-width="7"/>'
        for k in range(8)
    )
    parts = [
        f'<ellipse cx="{0.5 * (throat + _SIDE):.1f}" cy="{middle:.1f}" '
        f'rx="{0.5 * (throat - _SIDE):.1f}" ry="9" fill="none" '
        f'stroke="{picture.bundles[0][0]}" stroke-width="4"/>',
        laid,
    ]
    for k, bundle in enumerate(picture.bundles):
        y = middle + 5.0 * (k - 0.5 * (count - 1))
        way = f"M{parted:.1f} {middle:.1f}L{parted + 12.0:.1f} {y:.1f}H{rule.x(picture.reach):.1f}"
        parts += [
            f'<path d="{way}" fill="none" stroke="{palette.edge}" stroke-width="4"/>',
            f'<path d="{way}" fill="none" stroke="{bundle[0]}" stroke-width="3"/>',
        ]
    for at, side in ((0.0, 1.0), (picture.pegs, -1.0)):
        parts.append(
            f'<circle cx="{rule.x(at) + 0.5 * side * _PEG:.1f}" cy="{middle:.1f}" '
            f'r="{0.5 * _PEG:.1f}" fill="{palette.soft}" stroke="{palette.edge}"/>'
        )
    first = lettering(_SIDE, 14.0, "first peg", size=_TEXT, fill=palette.soft)
    second = lettering(
        rule.x(picture.pegs), 14.0, "second peg", anchor="end", size=_TEXT, fill=palette.soft
    )
    marks, tall = _lettered(rule, picture.marks, middle - 12.0, middle + 16.0, palette)
    return _document(
        [*parts, first, second, *marks],
        tall,
        palette,
        prefix,
        "The bundles on the first peg, pulled straight past the second",
        picture.marks,
    )


def _strand(
    rule: _Rule, start: float, stop: float, y: float, colour: str, palette: Palette
) -> list[str]:
    way = f"M{rule.x(start):.1f} {y:.1f}H{rule.x(stop):.1f}"
    return [
        f'<path d="{way}" stroke="{palette.edge}" stroke-width="2.6"/>',
        f'<path d="{way}" stroke="{colour}" stroke-width="2"/>',
    ]


def _lettered(
    rule: _Rule, marks: Sequence[PlaceMark], top: float, below: float, palette: Palette
) -> tuple[list[str], float]:
    """Lines down through the bundles to words below, one under the other; and where they end."""
    lines, words = list[str](), list[str]()
    for k, mark in enumerate(marks):
        x, y = rule.x(mark.at), below + _ROW * (k + 0.7)
        colour = palette.wax if mark.main else palette.ink
        lines.append(
            f'<path d="M{x:.1f} {top:.1f}V{y + 2.0:.1f}" stroke="{colour}" '
            f'stroke-width="{2.0 if mark.main else 1.0}" fill="none"/>'
        )
        # Towards the side that has more room, on a ground that stops the lines of other marks.
        right = x < 0.5 * _WIDTH
        wide = text_width(mark.words, _TEXT, strong=mark.main) + 4.0
        start = x + 3.0 if right else x - 3.0 - wide
        words.append(
            f'<rect x="{start:.1f}" y="{y - 11.0:.1f}" width="{wide:.1f}" height="17" '
            f'fill="{palette.paper}"/>'
        )
        words.append(
            lettering(
                x + (5.0 if right else -5.0), y + 2.0, mark.words,
                anchor="start" if right else "end", size=_TEXT, strong=mark.main, fill=colour,
            )
        )  # fmt: skip
    parts = [*lines, *words]
    return parts, below + _ROW * (len(marks) + 0.3)


def _document(
    parts: list[str],
    tall: float,
    palette: Palette,
    prefix: str,
    name: str,
    marks: Sequence[PlaceMark],
) -> str:
    said = "; ".join(mark.words for mark in marks)
    return document(
        _WIDTH,
        tall,
        parts,
        palette=palette,
        prefix=prefix_or_fail(prefix),
        name=name,
        description=said,
    )
