"""A swung arm from above: its posts, the skein round them, the served stretch and its marks.

Everything along the skein is true to one scale; the skein is drawn no thinner than can be seen.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from strandwright.drawing.svg import (
    colour_or_fail,
    document,
    is_dark,
    lettering,
    prefix_or_fail,
)
from strandwright.drawing.tokens import Palette, palette_of
from strandwright.errors import GeometryError

#: Width of the picture, and the side the arm stands at [px]
_WIDTH, _SIDE = 360.0, 34.0
#: Room the arm takes, from post to post [px]
_TALL = 176.0
_TEXT = 13.0
#: Thinnest skein and thread that can be told apart [px]
_SKEIN, _SERVED = 6.0, 10.0
#: Points along an arc [-]
_STEPS = 12

Point = tuple[float, float]


@dataclass(frozen=True)
class ArmPicture:
    """One arm of a four-post jig with a loop on it.

    Attributes
    ----------
    name : str
        Which end.
    far : bool
        True for the far end: the arm stands at the right.
    between : float
        Between the middles of the two posts, > 0 [m]
    pivot : float
        Where the arm turns: share of the way from the outer to the inner post [-]
    posts : tuple of float
        Diameter of the outer and the inner post [m]
    offset : float
        Of the skein's centreline from the posts' surface [m]
    skein, thread : str
        Colours, ``#rrggbb``.
    mark : float
        From the loop's middle along the skein to each mark [m]
    served : float
        From the loop's middle to each end of its thread; 0 for a bare loop [m]
    words : tuple of str
        What stands at the outer mark, at the inner mark, at the middle of the loop.
    tails : float
        From the loop's middle to where tails begin, towards the outer post; 0 for none told [m]
    tails_words : str
        What stands there.
    """

    name: str
    far: bool
    between: float
    pivot: float
    posts: tuple[float, float]
    offset: float
    skein: str
    thread: str
    mark: float
    served: float
    words: tuple[str, str, str]
    tails: float = 0.0
    tails_words: str = ""

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        colour_or_fail(self.skein, "arm.skein")
        colour_or_fail(self.thread, "arm.thread")
        if not self.between > 0.5 * sum(self.posts):
            rule = f"must be more than half of both posts, {0.5 * sum(self.posts)} m"
            raise GeometryError("arm.between", self.between, rule, "enter it again")


@dataclass(frozen=True)
class LegsPicture:
    """A loop with its ends level on an outer post, and the serving down both legs.

    Attributes
    ----------
    name : str
        Which end.
    far : bool
        True for the far end: the loop stands at the right.
    post : float
        Diameter of the outer post [m]
    inner : tuple of float
        Where the inner post stands, from the outside of the outer one to its middle, and its
        diameter [m]
    offset : float
        Of the skein's centreline from the post's surface [m]
    skein, thread, legs_thread : str
        Colours of the skein, of the loop's serving and of that down the legs, ``#rrggbb``.
    served : bool
        Whether the loop has a serving.
    start, stop : float
        Of the serving down both legs, from the outside of the outer post [m]
    words : tuple of str
        What stands at its start and at its stop.
    """

    name: str
    far: bool
    post: float
    inner: tuple[float, float]
    offset: float
    skein: str
    thread: str
    legs_thread: str
    served: bool
    start: float
    stop: float
    words: tuple[str, str]

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        for name in ("skein", "thread", "legs_thread"):
            colour_or_fail(getattr(self, name), f"legs.{name}")
        if not self.stop > self.start:
            rule = f"must lie beyond the start, {self.start} m"
            raise GeometryError("legs.stop", self.stop, rule, "swap the two")


@dataclass(frozen=True)
class _Sheet:
    """Where metres lie on the picture: x from the arm along the beam, y up from its axis."""

    scale: float
    left: float
    middle: float
    far: bool

    def point(self, place: Point) -> Point:
        x = self.left + self.scale * place[0]
        return (_WIDTH - x if self.far else x), self.middle - self.scale * place[1]

    def line(self, points: list[Point], width: float, colour: str, more: str = "") -> str:
        placed = " ".join(f"{x:.1f},{y:.1f}" for x, y in map(self.point, points))
        return (
            f'<polyline points="{placed}" fill="none" stroke="{colour}" '
            f'stroke-width="{width:.1f}" stroke-linejoin="round"{more}/>'
        )

    def circle(self, place: Point, diameter: float, attributes: str) -> str:
        x, y = self.point(place)
        r = 0.5 * self.scale * diameter
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{r:.1f}" {attributes}/>'

    def write(
        self, place: Point, text: str, dy: float, fill: str | None = None, *, strong: bool = False
    ) -> str:
        x, y = self.point(place)
        anchor = "end" if self.far else "start"
        return lettering(x, y + dy, text, anchor=anchor, size=_TEXT, fill=fill, strong=strong)


def arm_svg(picture: ArmPicture, *, theme: str = "light", prefix: str = "arm") -> str:
    """Draw an arm that is swung square, from above.

    Parameters
    ----------
    picture : ArmPicture
        The arm.
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
    reach = max(picture.mark, picture.served, picture.tails)
    way = _SkeinWay(picture)
    far = max(way.at(reach, hand)[0] for hand in (1, -1)) + 0.25 * picture.between
    scale = min(_TALL / picture.between, (_WIDTH - 2.0 * _SIDE) / max(far, 1e-6))
    tall = scale * (picture.between + max(picture.posts) + 2.0 * picture.offset)
    sheet = _Sheet(scale, _SIDE, 0.5 * tall + 42.0, picture.far)
    end = (_WIDTH - _SIDE) / scale
    whole = way.points(None, -1, end)[::-1] + way.points(None, 1, end)
    parts = [
        *_arm(sheet, picture, palette),
        *_banded(sheet, whole, picture.skein, _SKEIN, palette),
    ]
    if picture.served > 0.0:
        stretch = way.points(picture.served, -1, end)[::-1] + way.points(picture.served, 1, end)
        parts += _wrapped(sheet, stretch, picture.thread, palette)
    parts += _marks(sheet, picture, way, palette)
    said = "; ".join(word for word in (*picture.words, picture.tails_words) if word)
    return document(
        _WIDTH,
        tall + 84.0,
        parts,
        palette=palette,
        prefix=prefix_or_fail(prefix),
        name=f"The arm of the {picture.name} loop, swung square, from above",
        description=said,
    )


class _SkeinWay:
    """The centreline of the skein on a square arm, from the loop's middle to either hand."""

    def __init__(self, picture: ArmPicture) -> None:
        outer, inner = (0.5 * post + picture.offset for post in picture.posts)
        self._half = 0.5 * picture.between
        self._lean = math.asin((outer - inner) / picture.between)
        free = picture.between * math.cos(self._lean)
        arcs = outer * (0.5 * math.pi + self._lean), inner * (0.5 * math.pi - self._lean)
        straight = 0.5 * (free + arcs[1] - arcs[0])
        # To the outer post (hand 1) and to the inner one (hand -1).
        self._side = {1: (outer, straight, arcs[0]), -1: (inner, free - straight, arcs[1])}

    def at(self, reach: float, hand: int) -> Point:
        """Point so far from the loop's middle."""
        radius, straight, arc = self._side[hand]
        first = math.pi + self._lean
        if reach <= straight:
            x, y = self._on(radius, first, hand)
            back = straight - reach
            return x + back * math.sin(self._lean) * hand, y - hand * back * math.cos(self._lean)
        if reach <= straight + arc:
            return self._on(radius, first - hand * (reach - straight) / radius, hand)
        return reach - straight - arc, hand * (self._half + radius)

    def _on(self, radius: float, angle: float, hand: int) -> Point:
        return radius * math.cos(angle), hand * self._half + radius * math.sin(angle)

    def points(self, reach: float | None, hand: int, end: float) -> list[Point]:
        """Points from the loop's middle to a reach; to the picture's end where it is None."""
        _, straight, arc = self._side[hand]
        last = straight + arc + end if reach is None else reach
        on_arc = (straight + arc * k / _STEPS for k in range(_STEPS + 1))
        stops = [0.0, *(s for s in on_arc if s < last), last]
        return [self.at(s, hand) for s in stops]

    def outward(self, reach: float, hand: int) -> Point:
        """Direction away from the posts there."""
        a, b = self.at(reach - 1e-5, hand), self.at(reach + 1e-5, hand)
        along = math.hypot(b[0] - a[0], b[1] - a[1])
        return -hand * (b[1] - a[1]) / along, hand * (b[0] - a[0]) / along


def _arm(sheet: _Sheet, picture: ArmPicture, palette: Palette) -> list[str]:
    """The beam, the arm with its pivot, and both posts."""
    half = 0.5 * picture.between
    pivot = half - picture.pivot * picture.between
    wide = 0.35 * min(picture.posts)
    ends = [sheet.point((-wide, half)), sheet.point((wide, -half))]
    x, y = min(e[0] for e in ends), min(e[1] for e in ends)
    wider, taller = (abs(ends[0][i] - ends[1][i]) for i in (0, 1))
    beam = sheet.point((0.0, pivot))[1]
    hub = f'fill="{palette.paper}" stroke="{palette.edge}" stroke-width="1.5"'
    return [
        *(
            f'<line x1="0" x2="{_WIDTH:.0f}" y1="{beam + dy:.1f}" y2="{beam + dy:.1f}" '
            f'stroke="{palette.hair}"/>'
            for dy in (-9.0, 9.0)
        ),
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{wider:.1f}" height="{taller:.1f}" rx="3" '
        f'fill="{palette.card}" stroke="{palette.soft}"/>',
        sheet.circle((0.0, pivot), 10.0 / sheet.scale, hub),
        *(
            sheet.circle((0.0, side), post, f'fill="{palette.soft}" stroke="{palette.edge}"')
            for side, post in zip((half, -half), picture.posts, strict=True)
        ),
    ]


def _banded(
    sheet: _Sheet, points: list[Point], colour: str, width: float, palette: Palette
) -> list[str]:
    """A skein with an edge that shows on any ground."""
    return [
        sheet.line(points, width + 2.0, palette.edge),
        sheet.line(points, width, colour),
    ]


def _wrapped(sheet: _Sheet, points: list[Point], colour: str, palette: Palette) -> list[str]:
    """Thread round a skein: its colour, and lines across for the wraps."""
    lines = "#FFFFFF" if is_dark(colour) else "#000000"
    dashes = ' stroke-dasharray="0.8 2.4" stroke-opacity="0.45"'
    return [
        *_banded(sheet, points, colour, _SERVED, palette),
        sheet.line(points, _SERVED, lines, dashes),
    ]


def _marks(sheet: _Sheet, picture: ArmPicture, way: _SkeinWay, palette: Palette) -> list[str]:
    """Ticks across the skein at both marks, at the middle and where tails begin."""
    outer, inner, middle = picture.words
    parts: list[str] = []
    for hand, text in ((1, outer), (-1, inner)):
        parts.append(_tick(sheet, way, picture.mark, hand, palette.wax))
        # Above the upper long side and below the lower one, from the arm's own side.
        edge = hand * (0.5 * picture.between + 0.5 * max(picture.posts) + picture.offset)
        dy = -18.0 if hand > 0 else 28.0
        parts.append(sheet.write((0.0, edge), text, dy, palette.wax, strong=True))
    parts.append(_tick(sheet, way, 0.0, 1, palette.ink))
    x, y = way.at(0.0, 1)
    parts.append(sheet.write((x + 26.0 / sheet.scale, y), middle, 4.0))
    if picture.tails > 0.0 and picture.tails_words:
        at = way.at(picture.tails, 1)
        parts.append(_tick(sheet, way, picture.tails, 1, palette.touch))
        # Inside the arm, clear of its short side.
        below = (max(at[0], 26.0 / sheet.scale), at[1] - 24.0 / sheet.scale)
        parts.append(sheet.write(below, picture.tails_words, 4.0, palette.touch))
    return parts


def _tick(sheet: _Sheet, way: _SkeinWay, reach: float, hand: int, colour: str) -> str:
    x, y = way.at(reach, hand)
    dx, dy = way.outward(max(reach, 1e-5), hand)
    long = 11.0 / sheet.scale
    ends = [(x + s * long * dx, y + s * long * dy) for s in (-1.0, 1.0)]
    return sheet.line(ends, 3.0, colour)


def legs_svg(picture: LegsPicture, *, theme: str = "light", prefix: str = "legs") -> str:
    """Draw a loop on its outer post, its ends level, and the serving down both legs.

    Parameters
    ----------
    picture : LegsPicture
        The loop and the serving.
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
    radius = 0.5 * picture.post + picture.offset
    scale = (_WIDTH - 2.0 * _SIDE) / (1.15 * picture.stop)
    sheet = _Sheet(scale, _SIDE + scale * 0.5 * picture.post, 62.0, picture.far)
    throat, stop = picture.start - 0.5 * picture.post, picture.stop - 0.5 * picture.post
    end = (_WIDTH - _SIDE) / scale
    loop = _eye(radius, throat)
    body = [(throat, 0.0), (end, 0.0)]
    inner = picture.inner[0] - 0.5 * picture.post
    dashed = f'fill="none" stroke="{palette.soft}" stroke-dasharray="3 3"'
    parts = [
        sheet.circle((0.0, 0.0), picture.post, f'fill="{palette.soft}" stroke="{palette.edge}"'),
        *_banded(sheet, body, picture.skein, 1.6 * _SKEIN, palette),
        sheet.line(body, 1.0, palette.edge),
        *(
            _wrapped(sheet, loop, picture.thread, palette)
            if picture.served
            else _banded(sheet, loop, picture.skein, _SKEIN, palette)
        ),
        *_wrapped(sheet, [(throat, 0.0), (stop, 0.0)], picture.legs_thread, palette),
        sheet.line([(throat, 0.0), (stop, 0.0)], 3.0, picture.legs_thread),
        sheet.circle((inner, 0.0), picture.inner[1], dashed),
        *_distances(sheet, picture, palette),
    ]
    return document(
        _WIDTH,
        164.0,
        parts,
        palette=palette,
        prefix=prefix_or_fail(prefix),
        name=f"The {picture.name} loop, its ends level, and the serving down both legs",
        description="; ".join(picture.words),
    )


def _eye(radius: float, throat: float) -> list[Point]:
    """A closed loop round a post: from the throat, round, and back."""
    lean = math.acos(min(radius / max(throat, radius), 1.0))
    angles = (lean + (2.0 * math.pi - 2.0 * lean) * k / (4 * _STEPS) for k in range(4 * _STEPS + 1))
    arc = [(radius * math.cos(a), radius * math.sin(a)) for a in angles]
    return [(throat, 0.0), *arc, (throat, 0.0)]


def _distances(sheet: _Sheet, picture: LegsPicture, palette: Palette) -> list[str]:
    """Rules from the outside of the post to where the serving starts and stops."""
    outside = -0.5 * picture.post
    parts: list[str] = []
    for row, (to, text) in enumerate(
        zip((picture.start, picture.stop), picture.words, strict=True)
    ):
        y = 116.0 + 32.0 * row
        x0, x1 = (sheet.point((x, 0.0))[0] for x in (outside, outside + to))
        parts.append(
            f'<path d="M{x0:.1f} {y - 5:.1f}v10M{x0:.1f} {y:.1f}H{x1:.1f}M{x1:.1f} {y - 5:.1f}v10" '
            f'stroke="{palette.wax}" stroke-width="1.5" fill="none"/>'
        )
        before, anchor = (x1 - 6.0, "end") if picture.far else (x1 + 6.0, "start")
        room = x1 if picture.far else _WIDTH - x1
        if room < 8.0 * len(text):
            before, anchor = 0.5 * (x0 + x1), "middle"
        parts.append(
            lettering(before, y + (4.5 if anchor != "middle" else -6.0), text, anchor=anchor,
                      size=_TEXT, strong=True, fill=palette.wax)
        )  # fmt: skip
    return parts
