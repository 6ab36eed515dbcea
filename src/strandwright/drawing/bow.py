"""The bow at one point of its draw, the archer on the right: from the side, or from above."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from strandwright.drawing.svg import document, prefix_or_fail
from strandwright.drawing.tokens import Palette, palette_of

Point = tuple[float, float]
#: Places one after the other: an array of shape (places, 2), or pairs.
Places = NDArray[np.float64] | Sequence[Point]
_MARGIN = 22.0


@dataclass(frozen=True)
class PathPicture:
    """A line of the bow as it runs, and the parts of it that lie on tracks.

    Attributes
    ----------
    points : ndarray, shape (places, 2)
        Along the line [m].
    touching : tuple of ndarray, shape (places, 2)
        The same for each part that lies on a track [m].
    """

    points: Places
    touching: tuple[Places, ...]


@dataclass(frozen=True)
class BowPicture:
    """A bow at one point of its draw.

    Attributes
    ----------
    limbs : tuple of ndarray, shape (places, 2)
        Centreline of each limb, from the riser to the axle [m].
    outlines : tuple of ndarray, shape (places, 2)
        Outline of each track of each wheel [m].
    axles : tuple of (float, float)
        Where the wheels turn [m].
    paths : tuple of PathPicture
        The lines; the string first.
    nock : (float, float)
        The nocking point [m].
    frame : (float, float, float, float)
        Left, bottom, right and top of what is shown, the same for every point of a draw [m].
    label : str
        What the picture shows, for those who cannot see it.
    rail : (float, float, float) or None
        Of a crossbow: where its rail begins and where the latch holds the string, and the rail's
        width [m].
    """

    limbs: tuple[Places, ...]
    outlines: tuple[Places, ...]
    axles: tuple[Point, ...]
    paths: tuple[PathPicture, ...]
    nock: Point
    frame: tuple[float, float, float, float]
    label: str
    rail: tuple[float, float, float] | None = None


def bow_svg(
    picture: BowPicture, *, width: float = 520.0, theme: str = "light", prefix: str = "bow"
) -> str:
    """Draw the bow.

    Parameters
    ----------
    picture : BowPicture
        The bow at one point of its draw.
    width : float
        Of the drawing [px].
    theme : str
        ``light``, ``dark``, ``sun`` or ``print``.
    prefix : str
        Put before every id.

    Returns
    -------
    str
        An SVG document; to one scale both ways.
    """
    prefix_or_fail(prefix)
    palette = palette_of(theme)
    left, bottom, right, top = picture.frame
    scale = (width - 2 * _MARGIN) / (right - left)
    height = scale * (top - bottom) + 2 * _MARGIN

    def at(point: Point) -> Point:
        return _MARGIN + scale * (point[0] - left), _MARGIN + scale * (top - point[1])

    lines = [path.points for path in picture.paths]
    on_tracks = [part for path in picture.paths for part in path.touching]
    written = iter(_written([*picture.limbs, *picture.outlines, *lines, *on_tracks], at))
    parts = [_grip(at, palette) if picture.rail is None else _rail(at, picture.rail, palette)]
    parts += [_stroke(next(written), palette.soft, 6.0) for _ in picture.limbs]
    parts += [_outline(next(written), palette) for _ in picture.outlines]
    parts += [_dot(at(axle), 3.0, palette.ink) for axle in picture.axles]
    runs = [next(written) for _ in lines]
    for k, (run, path) in enumerate(zip(runs, picture.paths, strict=True)):
        parts.append(_stroke(run, palette.ink, 2.0 if k == 0 else 1.4))
        parts += [_stroke(next(written), palette.touch, 4.5) for _ in path.touching]
    parts.append(_dot(at(picture.nock), 4.0, palette.wax))
    return document(width, height, parts, palette=palette, prefix=prefix, name=picture.label)


def bow_width(picture: BowPicture, tall: float) -> float:
    """Tell how wide a bow is drawn where its height is given.

    Parameters
    ----------
    picture : BowPicture
        The bow.
    tall : float
        Height of the drawing, over 60 [px]

    Returns
    -------
    float
        Its width [px].
    """
    left, bottom, right, top = picture.frame
    return (tall - 2 * _MARGIN) / (top - bottom) * (right - left) + 2 * _MARGIN


def _written(parts: list[Places], at: Callable[[Point], Point]) -> list[str]:
    """Places of every part on the drawing, all of them written in one go."""
    corner, unit = np.array(at((0.0, 0.0))), np.array(at((1.0, 1.0)))
    places = [np.asarray(part, dtype=np.float64) for part in parts]
    shown = corner + (unit - corner) * np.concatenate(places)
    counts = [len(part) for part in places]
    text = "|".join([_pairs(count) for count in counts]) % tuple(shown.ravel().tolist())
    return text.split("|")


@cache
def _pairs(count: int) -> str:
    """How so many places are written."""
    return " ".join(["%.1f,%.1f"] * count)


def _stroke(text: str, colour: str, thick: float) -> str:
    return (
        f'<polyline points="{text}" fill="none" stroke="{colour}" stroke-width="{thick:g}"'
        ' stroke-linecap="round" stroke-linejoin="round"/>'
    )


def _outline(text: str, palette: Palette) -> str:
    return (
        f'<polygon points="{text}" fill="{palette.card}" fill-opacity="0.55"'
        f' stroke="{palette.edge}" stroke-width="1.2"/>'
    )


def _dot(point: Point, radius: float, colour: str) -> str:
    return f'<circle cx="{point[0]:.1f}" cy="{point[1]:.1f}" r="{radius:g}" fill="{colour}"/>'


def _grip(at: Callable[[Point], Point], palette: Palette) -> str:
    """The pivot of the grip, from which draw is measured: a cross."""
    x, y = at((0.0, 0.0))
    arms = f"M{x - 7:.1f},{y:.1f}h14M{x:.1f},{y - 7:.1f}v14"
    return f'<path d="{arms}" stroke="{palette.soft}" stroke-width="1.5" fill="none"/>'


def _rail(at: Callable[[Point], Point], rail: tuple[float, float, float], palette: Palette) -> str:
    """The rail a crossbow's string slides on, and the latch at its end: a claw."""
    start, stop, wide = rail
    (x1, y1), (x2, y2) = at((start, 0.5 * wide)), at((stop, -0.5 * wide))
    bed = (
        f'<rect x="{x1:.1f}" y="{y1:.1f}" width="{x2 - x1:.1f}" height="{y2 - y1:.1f}"'
        f' fill="{palette.hair}" stroke="{palette.edge}" stroke-width="1"/>'
    )
    claw = f"M{x2 - 5:.1f},{y1:.1f}H{x2 + 5:.1f}V{y2:.1f}H{x2 - 5:.1f}"
    return bed + f'<path d="{claw}" stroke="{palette.soft}" stroke-width="2.5" fill="none"/>'
