"""The drawing of a standing line: every look is on it, in both plots, in every light."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from strandwright.drawing.tokens import THEMES, palette_of
from strandwright.drawing.watching import WatchChart, WatchMark, watching_svg

SVG = "{http://www.w3.org/2000/svg}"


def chart(**changes):
    """Give five looks, one on a gauge, one the curve does not rest on."""
    marks = tuple(
        WatchMark(
            minutes=minutes,
            load=300.0 - minutes,
            load_half=1.0,
            heard=minutes != 4.0,
            length=None if minutes == 1.0 else 0.001 * minutes,
            length_half=0.002,
        )
        for minutes in (1.0, 2.0, 4.0, 9.0, 19.0)
    )
    about = {
        "marks": marks,
        "minutes": (1.0, 9.0, 19.0),
        "middle": (0.0, 0.01, 0.02),
        "low": (0.0, 0.005, 0.01),
        "high": (0.0, 0.015, 0.03),
        "load_unit": "lbf",
        "length_unit": "in",
        "length_name": "line alone, at 300 lbf",
    }
    return WatchChart(**(about | changes))  # pyright: ignore[reportArgumentType]


def drawn(**about):
    """Draw it and read it back."""
    return ElementTree.fromstring(watching_svg(chart(), **about))


def test_every_look_is_marked_in_its_plot():
    """Five loads above, four lengths below, each where its time is."""
    circles = drawn().findall(f"{SVG}circle")
    assert len(circles) == 9
    xs = sorted({float(c.get("cx", "")) for c in circles})
    assert len(xs) == 5
    # Time is drawn out by its logarithm: 1, 9, 19 min are one, 3.3 and 4.3 halvings.
    assert (xs[3] - xs[0]) / (xs[4] - xs[0]) == pytest.approx(0.699, abs=0.005)


def test_what_was_read_on_a_gauge_is_open():
    """And the words above the plot say so."""
    root = drawn()
    paper, wax = palette_of("light").paper, palette_of("light").wax
    fills = [c.get("fill") for c in root.findall(f"{SVG}circle")]
    assert fills.count(paper) == 1
    assert fills.count(wax) == 8
    texts = [t.text for t in root.iter(f"{SVG}text")]
    assert "load, lbf: filled heard, open on the gauge" in texts
    assert "line alone, at 300 lbf, in" in texts


@pytest.mark.parametrize("theme", sorted(THEMES))
def test_it_is_drawn_in_every_light(theme):
    """With that light's colours."""
    svg = watching_svg(chart(), theme=theme)
    assert palette_of(theme).ink in svg
    assert "nan" not in svg


def test_one_look_alone_can_be_drawn():
    """No curve, no range, no width of time."""
    one = WatchMark(0.0, 300.0, 0.0, True, None, 0.0)
    svg = watching_svg(chart(marks=(one,), minutes=(), middle=(), low=(), high=()))
    assert svg.count("<circle") == 1
    assert "polyline" not in svg
    assert "nan" not in svg
    assert "load, lbf: heard" in svg


def test_everything_lies_inside_the_drawing():
    """At any size it is asked for."""
    for width, height in ((300.0, 300.0), (420.0, 360.0), (900.0, 500.0)):
        root = drawn(width=width, height=height)
        for circle in root.findall(f"{SVG}circle"):
            assert 0.0 < float(circle.get("cx", "")) < width
            assert 0.0 < float(circle.get("cy", "")) < height
        for points in (p.get("points", "") for p in root.iter(f"{SVG}polygon")):
            pairs = [tuple(map(float, xy.split(","))) for xy in re.split(r"\s+", points)]
            assert all(0.0 < x < width and 0.0 < y < height for x, y in pairs)
