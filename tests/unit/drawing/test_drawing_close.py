"""Close views: true-scale strands and wraps, the cross-section, the colour bar."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace

import pytest
from drawn_line import BRICK, INCH, SPRUCE, STRAW, packed, sample_strip, spans_of
from svg_reading import SVG, assert_sound, parsed, text_boxes

from strandwright.drawing import THEMES, colour_bar_svg, cross_section_svg, twisted_svg
from strandwright.drawing.helix import packed_circle
from strandwright.errors import GeometryError, SpecError

SCALE = (900.0 - 36.0) / (4.0 * INCH)


def slopes(svg: str, width: float) -> list[float]:
    """Give rise over run, y downwards, of every piece of strand of one stroke width."""
    found: list[float] = []
    for path in parsed(svg).iter(SVG + "path"):
        if path.get("stroke-width") == f"{width:.2f}":
            for run, rise in re.findall(r"l(-?[\d.]+) (-?[\d.]+)", path.attrib["d"]):
                found.append(float(rise) / float(run))
    return found


@pytest.mark.parametrize("theme", sorted(THEMES))
@pytest.mark.parametrize("width", [200.0, 390.0, 900.0])
def test_close_view_is_sound(width: float, theme: str) -> None:
    """Parses, ids its own, no text on another, at any width."""
    svg = twisted_svg(sample_strip(), 20 * INCH, 30 * INCH, width=width, theme=theme, prefix="c")
    assert_sound(svg, "c")


@pytest.mark.parametrize(("hand", "sign"), [("Z", 1.0), ("S", -1.0)])
def test_strands_have_their_true_slope(hand: str, sign: float) -> None:
    """The steepest strand seen slopes by the helix angle of the outermost strand."""
    picture = sample_strip(hand)
    svg = twisted_svg(picture, 22.4 * INCH, 26.4 * INCH)
    radius, _, strand_radius = packed_circle(picture.strands)
    bundle = 0.088 * INCH / 2.0
    steepest = sorted(slopes(svg, 2.0 * strand_radius * bundle * SCALE), key=abs)[-1]
    turns_per_metre = 29.0 / (55.0 * INCH)
    outermost = 2.0 * math.pi * turns_per_metre * float(radius.max()) * bundle
    # A chord over a ninth of the half round is a little less steep than the tangent.
    assert steepest * sign == pytest.approx(outermost, rel=0.03)


def test_untwisted_strands_lie_level() -> None:
    """Without turns each strand is one straight line."""
    picture = replace(sample_strip(), spans=spans_of([(1.0, 56.0, None)], 0.0))
    svg = twisted_svg(picture, 10 * INCH, 14 * INCH)
    assert_sound(svg, "close")
    assert len(set(re.findall(r'd="M18\.00 ([\d.]+)H882\.00', svg))) > 4


@pytest.mark.parametrize(("hand", "sign"), [("Z", 1.0), ("S", -1.0)])
def test_wraps_show_their_hand_and_pitch(hand: str, sign: float) -> None:
    """Grooves between wraps stand one pitch apart and lean with the thread's hand."""
    picture = sample_strip()
    spans = tuple(
        replace(span, served=replace(span.served, hand=hand) if span.served else None)
        for span in picture.spans
    )
    svg = twisted_svg(replace(picture, spans=spans), 2 * INCH, 6 * INCH)
    paths = [p for p in parsed(svg).iter(SVG + "path") if p.get("fill") == "none"]
    groove = next(p for p in paths if "c" in p.attrib["d"])
    starts = [float(x) for x in re.findall(r"M(-?[\d.]+) ", groove.attrib["d"])]
    pitch = 0.022 * INCH * SCALE
    assert starts[10] - starts[0] == pytest.approx(10.0 * pitch, abs=0.02)
    lean = re.match(r"M\S+ \S+c\S+ 0 \S+ \S+ (\S+) ", groove.attrib["d"])
    assert lean is not None
    assert float(lean[1]) == pytest.approx(sign * pitch / 2.0, abs=0.01)


def test_impossible_stretch_is_refused() -> None:
    """A stretch off the line or turned about is named."""
    for start, stop in ((0.3, 0.2), (-0.1, 0.2), (0.1, 9.0)):
        with pytest.raises(GeometryError, match="along the line"):
            twisted_svg(sample_strip(), start, stop)
    with pytest.raises(GeometryError, match="200 px"):
        twisted_svg(sample_strip(), 0.1, 0.2, width=50.0)


@pytest.mark.parametrize("count", [1, 2, 7, 24, 37])
def test_cross_section_packs_circles_inside_the_bundle(count: int) -> None:
    """Strands touch but do not overlap, and none sticks out of the bundle."""
    svg = cross_section_svg(packed(count), 0.088 * INCH, 0.118 * INCH)
    assert_sound(svg, "section")
    circles = [
        tuple(float(circle.attrib[name]) for name in ("cx", "cy", "r"))
        for circle in parsed(svg).iter(SVG + "circle")
        if circle.get("fill") in (SPRUCE, STRAW)
    ]
    assert len(circles) == count
    bundle = (260.0 - 36.0) / 2.0 * 0.088 / 0.118
    for x, y, r in circles:
        assert math.hypot(x - 130.0, y - 130.0) + r <= bundle + 0.03
    for (xa, ya, ra), (xb, yb, rb) in itertools.combinations(circles, 2):
        assert math.hypot(xa - xb, ya - yb) >= ra + rb - 0.03


def test_cross_section_is_labelled() -> None:
    """Diameters with unit, and colours in words, stand under the circles."""
    svg = cross_section_svg(packed(24), 0.0022, 0.003, BRICK, units="mm")
    texts = {box.text for box in text_boxes(svg)}
    assert {"bundle 2.20 mm", "served 3.00 mm", "12 spruce · 12 straw"} <= texts
    assert BRICK in svg


def test_cross_section_refuses_thread_thinner_than_nothing() -> None:
    """Served is thicker than bare; there are strands; sizes are sizes."""
    with pytest.raises(GeometryError, match="served_diameter"):
        cross_section_svg(packed(3), 0.003, 0.002)
    with pytest.raises(GeometryError, match="diameter"):
        cross_section_svg(packed(3), 0.0)
    with pytest.raises(SpecError, match="strands"):
        cross_section_svg((), 0.003)


@pytest.mark.parametrize("width", [200.0, 390.0, 600.0])
def test_colour_bar_counts_runs_in_order(width: float) -> None:
    """Every run of one colour is named with its count, in winding order."""
    strands = packed(24, (SPRUCE, STRAW, SPRUCE, STRAW, SPRUCE, STRAW))
    svg = colour_bar_svg(strands, width=width, theme="dark")
    assert_sound(svg, "colours")
    assert [box.text for box in text_boxes(svg)] == ["4 spruce", "4 straw"] * 3
    fills = [r.get("fill") for r in parsed(svg).iter(SVG + "rect")][1:]
    assert fills == [strand.colour for strand in strands]
