"""The drawing of a line over its shots: well formed, inside its frame, every reading in it."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from strandwright.drawing.settling import SettlingChart, SettlingMark, settling_svg

CHART = SettlingChart(
    marks=(
        SettlingMark(0.0, 0.0, 0.03, False, False, "a" * 32),
        SettlingMark(60.0, 0.03, 0.03, True, False, "b" * 32),
        SettlingMark(120.0, 0.9, 0.03, False, True, "c" * 32),
    ),
    shots=(0.0, 50.0, 100.0, 100.0, 200.0),
    middle=(0.0, 0.02, 0.03, -0.01, 0.0),
    low=(-0.03, 0.0, 0.01, -0.03, -0.02),
    high=(0.03, 0.04, 0.05, 0.01, 5.0),
    tolerance=(-0.0625, 0.0625),
    now=120.0,
    look=180.0,
    look_text="look: 180 shots or 7 March 2026",
    unit="in",
    name="length over the one asked for",
    said="Still <moving>",
)


@pytest.mark.parametrize("theme", ["light", "dark", "sun", "print"])
@pytest.mark.parametrize("width", [300.0, 390.0, 640.0])
def test_it_is_well_formed_and_keeps_to_its_frame(theme, width):
    """No mark, band or word begins outside the drawing, not even a range off the scale."""
    svg = settling_svg(CHART, width=width, theme=theme)
    root = ElementTree.fromstring(svg)
    points = " ".join(node.get("points", "") for node in root.iter())
    for x, y in re.findall(r"([0-9.-]+),([0-9.-]+)", points):
        assert -0.1 <= float(x) <= width + 0.1
        assert -0.1 <= float(y) <= 340.1
    for node in root.iter():
        if node.get("cx"):
            assert 0.0 <= float(node.get("cx", "")) <= width
            assert 0.0 <= float(node.get("cy", "")) <= 340.0


def test_every_reading_can_be_opened_and_doubt_is_shown():
    """Each is a group with its entry; a hollow one by a figure; a crossed one counts for little."""
    svg = settling_svg(CHART)
    assert ["a" * 32, "b" * 32, "c" * 32] == re.findall(r'data-entry="(\w+)"', svg)
    assert 1 == svg.count('stroke-dasharray="2 3"')
    assert "Still &lt;moving&gt;" in svg


def test_a_doubted_reading_does_not_flatten_the_others():
    """The scale is that of what counts."""
    without = replace(CHART, marks=CHART.marks[:2])
    place = r'points="([^"]+)" fill="none"'
    one, other = (re.search(place, settling_svg(chart)) for chart in (CHART, without))
    assert one is not None
    assert other is not None
    assert one[1] == other[1]


def test_the_next_look_is_flagged_where_it_fits():
    """And left out where it lies beyond what is drawn, or is not asked for."""
    assert "look: 180 shots" in settling_svg(CHART)
    assert "look: 180 shots" not in settling_svg(replace(CHART, look=None))
    assert "look: 180 shots" not in settling_svg(replace(CHART, look=5000.0))
