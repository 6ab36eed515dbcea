"""Pictures of a swung arm and of a loop with its ends level: true to scale, in every theme."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise

import pytest

from strandwright.drawing.arms import ArmPicture, LegsPicture, arm_svg, legs_svg
from strandwright.drawing.tokens import THEMES, palette_of
from strandwright.errors import GeometryError, SpecError

ARM = ArmPicture(
    name="upper", far=False, between=0.114, pivot=0.4, posts=(0.0127, 0.0127), offset=0.0005,
    skein="#2C5C86", thread="#6B4E9B", mark=0.078, served=0.084,
    words=("mark one", "mark two", "the middle"), tails=0.09, tails_words="tails <here>",
)  # fmt: skip
LEGS = LegsPicture(
    name="lower", far=True, post=0.0127, inner=(0.12, 0.0127), offset=0.0005, skein="#2C5C86",
    thread="#6B4E9B", legs_thread="#22201C", served=True, start=0.07, stop=0.18,
    words=("level 70", "to 180"),
)  # fmt: skip


def lines(svg: str) -> list[list[tuple[float, float]]]:
    """Give the points of every line drawn."""
    found = re.findall(r'<polyline points="([^"]*)"', svg)
    return [
        [(float(p.split(",")[0]), float(p.split(",")[1])) for p in text.split()] for text in found
    ]


def long(points: list[tuple[float, float]]) -> float:
    """Length of a line."""
    return sum(math.dist(a, b) for a, b in pairwise(points))


@pytest.mark.parametrize("theme", sorted(THEMES))
@pytest.mark.parametrize("far", [False, True])
def test_both_pictures_are_whole_in_every_theme(theme, far):
    """They can be read, and say what they show to whoever cannot see them."""
    for svg, said in (
        (arm_svg(replace(ARM, far=far), theme=theme), "mark one; mark two; the middle"),
        (legs_svg(replace(LEGS, far=far), theme=theme), "level 70; to 180"),
    ):
        root = ET.fromstring(svg)
        about = root.find("{http://www.w3.org/2000/svg}desc")
        assert about is not None
        assert said in (about.text or "")
        assert palette_of(theme).wax in svg
    assert "tails &lt;here&gt;" in arm_svg(ARM, theme=theme)


def test_the_served_stretch_is_true_to_the_arm():
    """Its length over the distance of the posts is that of the loop over the arm."""
    svg = arm_svg(ARM)
    posts = [
        (float(x), float(y))
        for x, y, fill in re.findall(
            r'<circle cx="([\d.]+)" cy="([\d.]+)" r="[\d.]+" fill="([^"]+)"', svg
        )
        if fill == palette_of("light").soft
    ]
    scale = math.dist(*posts) / ARM.between
    whole, stretch = lines(svg)[1], lines(svg)[3]
    # Arcs are drawn by chords: shorter by some thousandths.
    assert long(stretch) / scale == pytest.approx(2.0 * ARM.served, rel=5e-3)
    assert long(whole) > long(stretch)


def test_the_far_arm_is_the_mirror_of_the_zero_one():
    """Same points, the other way round the picture."""
    for one, other in zip(lines(arm_svg(ARM)), lines(arm_svg(replace(ARM, far=True))), strict=True):
        assert [x for x, _ in other] == pytest.approx([360.0 - x for x, _ in one], abs=0.11)
        assert [y for _, y in other] == [y for _, y in one]


def test_rules_reach_from_the_outside_of_the_post():
    """Start and stop are drawn in the ratio of what they measure."""
    rules = re.findall(r'<path d="M([\d.]+) [\d.]+v10M[\d.]+ [\d.]+H([\d.]+)', legs_svg(LEGS))
    first, second = (abs(float(b) - float(a)) for a, b in rules)
    assert first / second == pytest.approx(LEGS.start / LEGS.stop, rel=2e-3)


def test_what_cannot_be_drawn_is_refused():
    """Posts in each other, a serving that stops before it starts, a colour that is none."""
    with pytest.raises(GeometryError, match="half of both posts"):
        replace(ARM, between=0.01)
    with pytest.raises(GeometryError, match="beyond the start"):
        replace(LEGS, stop=0.05)
    with pytest.raises(SpecError, match="hexadecimal"):
        replace(ARM, skein="blue")
