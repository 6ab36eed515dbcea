"""The bow's drawings: sound SVG, all of it inside its frame, told in words, in every theme."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from svg_reading import SVG, assert_sound, parsed, size_of, text_boxes

from strandwright.drawing.bow import BowPicture, PathPicture, Point, bow_svg, bow_width
from strandwright.drawing.bow_page import bow_page_svg, side_by_side_svg
from strandwright.drawing.force_draw import ForceDraw, force_draw_scale, force_draw_svg
from strandwright.drawing.tokens import THEMES, palette_of
from strandwright.errors import SpecError


def ring(x: float, y: float, radius: float, count: int = 24) -> tuple[Point, ...]:
    """Give the outline of a round wheel."""
    turn = np.linspace(0.0, 2 * np.pi, count, endpoint=False)
    return tuple((x + radius * float(np.cos(a)), y + radius * float(np.sin(a))) for a in turn)


@cache
def picture(draw: float = 0.18, label: str = "the bow at brace") -> BowPicture:
    """Give a bow of two wheels with its string and one cable, its nock at a draw."""
    axle = (0.14, 0.42)
    limbs = tuple(((0.0, 0.0), (-0.05, s * 0.25), (axle[0], s * axle[1])) for s in (1, -1))
    wheels = tuple(ring(axle[0], s * axle[1], 0.04) for s in (1, -1))
    touching = (((axle[0] + 0.04, axle[1]), (axle[0], axle[1] + 0.04)),)
    string = ((axle[0] + 0.04, axle[1]), (draw, 0.02), (axle[0] + 0.04, -axle[1]))
    cable = ((axle[0] - 0.04, axle[1]), (axle[0], -axle[1]))
    return BowPicture(
        limbs,
        wheels,
        tuple((axle[0], s * axle[1]) for s in (1, -1)),
        (PathPicture(string, touching), PathPicture(cable, ())),
        (draw, 0.02),
        (-0.09, -0.5, 0.75, 0.5),
        label,
    )


@cache
def curve(unit: str = "in") -> ForceDraw:
    """Give force over draw of a bow that lets off, with two points of a board."""
    size, push = (1.0, 1.0) if unit == "in" else (25.4, 4.448)
    draw = np.linspace(8.7, 29.0, 30)
    force = 60.0 * np.sin(np.pi * (draw - 8.7) / 23.0) ** 0.7
    low, high = force * 0.95, force * 1.05 + 1.0
    middle, least, most = (tuple(float(v) for v in row * push) for row in (force, low, high))
    board = ((15.0 * size, 45.0 * push), (20.0 * size, 60.0 * push))
    length, pull = ("in", "lbf") if unit == "in" else ("mm", "N")
    at = tuple(float(d) * size for d in draw)
    return ForceDraw(at, middle, least, most, board, length, pull)


def drawn_places(svg: str) -> np.ndarray:
    """Give every place where something is drawn, shape (n, 2)."""
    places: list[tuple[float, float]] = []
    for element in parsed(svg).iter():
        for pair in element.get("points", "").split():
            x, y = pair.split(",")
            places.append((float(x), float(y)))
        if element.tag == SVG + "circle":
            x, y, r = (float(element.attrib[k]) for k in ("cx", "cy", "r"))
            places += [(x - r, y - r), (x + r, y + r)]
    return np.array(places)


@pytest.mark.parametrize("theme", sorted(THEMES))
@pytest.mark.parametrize("draw", [0.18, 0.69])
def test_every_bow_is_sound_and_inside_its_frame(theme: str, draw: float) -> None:
    """It parses, its ids are its own, and no part of it hangs over the edge."""
    svg = bow_svg(picture(draw), theme=theme, prefix="bow3")
    assert_sound(svg, "bow3")
    places, size = drawn_places(svg), np.array(size_of(svg))
    assert np.all(places >= 0.0)
    assert np.all(places <= size)
    assert len(places) > 60


def test_a_bow_is_to_one_scale_both_ways() -> None:
    """Its height follows from its width; wheels stay round."""
    svg = bow_svg(picture(), width=400.0)
    wide, tall = size_of(svg)
    left, bottom, right, top = picture().frame
    assert wide == 400.0
    assert tall == pytest.approx((400.0 - 44.0) * (top - bottom) / (right - left) + 44.0, abs=0.5)
    wheel = re.search(r'<polygon points="([^"]*)"', svg)
    assert wheel is not None
    outline = np.array([[float(v) for v in pair.split(",")] for pair in wheel[1].split()])
    across = np.ptp(outline, axis=0)
    assert across[0] == pytest.approx(across[1], rel=0.01)


def test_a_height_gives_the_width_that_has_it() -> None:
    """Asked how wide for a height, and drawn so wide, it is so high."""
    wide = bow_width(picture(), 300.0)
    assert size_of(bow_svg(picture(), width=wide))[1] == pytest.approx(300.0, abs=0.5)


def test_what_a_bow_shows_is_told_in_words() -> None:
    """The label is the drawing's name, whatever stands in it."""
    label = 'the bow at 29 < 30 & "more"'
    root = parsed(bow_svg(picture(label=label)))
    title = next(root.iter(SVG + "title"))
    assert title.text == label
    assert root.attrib["role"] == "img"
    assert root.attrib["aria-labelledby"] == title.attrib["id"]


def test_the_string_is_drawn_stronger_than_a_cable_and_what_touches_stands_out() -> None:
    """Three thicknesses: cable, string, and the parts that lie on tracks in their own colour."""
    svg = bow_svg(picture())
    touch = palette_of("light").touch
    lines = [e.attrib for e in parsed(svg).iter(SVG + "polyline")]
    ink = [float(a["stroke-width"]) for a in lines if a["stroke"] == palette_of("light").ink]
    assert ink == sorted(ink, reverse=True)
    assert len(set(ink)) == 2
    assert [a["stroke"] for a in lines].count(touch) == 1


@pytest.mark.parametrize("theme", sorted(THEMES))
@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("width", [320.0, 520.0, 900.0])
def test_every_curve_is_sound(theme: str, unit: str, width: float) -> None:
    """It parses, no figure of an axis lies on another, and all of it is inside."""
    svg = force_draw_svg(curve(unit), width=width, theme=theme, prefix="f")
    assert_sound(svg, "f")
    places, size = drawn_places(svg), np.array(size_of(svg))
    assert np.all(places >= 0.0)
    assert np.all(places <= size)


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_the_curve_lies_where_its_axes_say(unit: str) -> None:
    """A marker laid by the axes' scale falls on the curve's own points."""
    shown = curve(unit)
    scale = force_draw_scale(shown, 520.0, 320.0)
    line = next(parsed(force_draw_svg(shown)).iter(SVG + "polyline"))
    points = np.array([[float(v) for v in p.split(",")] for p in line.attrib["points"].split()])
    across = (np.array(shown.draw) - scale.first) / (scale.last - scale.first)
    up = np.array(shown.force) / scale.most
    assert points[:, 0] == pytest.approx(scale.left + across * (scale.right - scale.left), abs=0.06)
    assert points[:, 1] == pytest.approx(scale.bottom - up * (scale.bottom - scale.top), abs=0.06)
    assert scale.first <= shown.draw[0]
    assert scale.last >= shown.draw[-1]
    assert scale.most >= max(shown.high)


def test_a_curve_tells_units_and_its_most() -> None:
    """Both axes carry their unit; the name says how high the force goes."""
    svg = force_draw_svg(curve("mm"))
    said = {box.text for box in text_boxes(svg)}
    assert {"true draw length, mm", "force, N"} <= said
    title = next(parsed(svg).iter(SVG + "title")).text
    assert title == f"force over draw: up to {max(curve('mm').force):.0f} N"


def test_board_points_are_dots() -> None:
    """One for each point read; none without a board."""
    count = {
        len(list(parsed(force_draw_svg(c)).iter(SVG + "circle")))
        for c in (curve(), replace(curve(), board=()))
    }
    assert count == {0, 2}


@pytest.mark.parametrize("theme", sorted(THEMES))
def test_the_page_holds_both_bows_to_one_scale_and_the_curve(theme: str) -> None:
    """Three whole drawings beside and under each other, with ids of their own."""
    brace, drawn = picture(), picture(0.69, "the bow at 29 in of true draw")
    svg = bow_page_svg(brace, drawn, curve(), theme=theme, prefix="p")
    root = parsed(svg)
    inner = [e.attrib for e in root.iter(SVG + "svg")][1:]
    assert len(inner) == 3
    ids = [e.attrib["id"] for e in root.iter() if "id" in e.attrib]
    assert len(ids) == len(set(ids))
    wide, tall = size_of(svg)
    boxes = [tuple(float(a[k]) for k in ("x", "y", "width", "height")) for a in inner]
    assert all(x + w <= wide + 1.0 and y + h <= tall + 1.0 for x, y, w, h in boxes)
    assert boxes[0][0] + boxes[0][2] <= boxes[1][0] <= wide
    assert boxes[0][3] == boxes[1][3], "one height of one frame: one scale"
    assert max(b[1] + b[3] for b in boxes[:2]) <= boxes[2][1]
    said = {"".join(e.itertext()) for e in root.iter(SVG + "text")}
    assert {"at brace", "at 29 in of true draw"} <= said


def test_bows_side_by_side_keep_the_nock_inside() -> None:
    """The picture at brace is cut behind its string, not through it."""
    svg = side_by_side_svg(picture(), picture(0.69, "the bow drawn"))
    first = next(e for e in parsed(svg).iter(SVG + "svg") if "x" in e.attrib)
    nocks = [float(e.attrib["cx"]) for e in first.iter(SVG + "circle")]
    assert max(nocks) < float(first.attrib["width"]) - 10.0


@pytest.mark.parametrize("draw", [bow_svg, force_draw_svg])
def test_a_prefix_that_no_id_can_begin_with_is_refused(draw) -> None:
    """As everywhere: a letter first."""
    shown = picture() if draw is bow_svg else curve()
    with pytest.raises(SpecError, match="prefix"):
        draw(shown, prefix="3d")
