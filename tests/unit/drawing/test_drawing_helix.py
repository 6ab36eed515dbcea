"""Helices on the drawing: the hand by ISO 2, what is seen, how bands are cut."""

from __future__ import annotations

import math

import numpy as np
import pytest
from drawn_line import SPRUCE, STRAW, packed

from strandwright.drawing.bodies import ribbon_shape
from strandwright.drawing.helix import (
    helix_point,
    packed_circle,
    surface_runs,
    top_crossings,
)
from strandwright.drawing.picture import StrandPicture
from strandwright.errors import GeometryError


@pytest.mark.parametrize(("hand", "stroke"), [("Z", 1.0), ("S", -1.0)])
def test_seen_strand_slopes_like_the_letters_stroke(hand: str, stroke: float) -> None:
    """ISO 2: with the axis vertical, the strand in front slopes as the letter's middle does.

    The middle stroke of a written Z rises to the right, that of an S falls to the right.
    """
    turns = np.array([-1e-4, 1e-4])
    heights, depths = helix_point(np.ones(2), np.full(2, math.pi / 2.0), turns, hand)
    along, up = 2e-4, float(heights[1] - heights[0])
    # A quarter round to the left stands the level axis upright.
    across_upright, up_upright = -up, along
    assert depths.min() > 0.0
    assert math.copysign(1.0, across_upright * up_upright) == stroke


@pytest.mark.parametrize(("hand", "sign"), [("Z", 1.0), ("S", -1.0)])
def test_z_is_right_handed(hand: str, sign: float) -> None:
    """The torsion of the space curve is positive for Z, whatever way one looks at it."""
    x = np.linspace(0.0, 0.3, 4)
    y, z = helix_point(np.ones(4), np.full(4, 0.7), x, hand)
    curve = np.stack([x, y, z])
    first, second, third = (np.diff(curve, n)[:, 0] for n in (1, 2, 3))
    assert math.copysign(1.0, float(np.dot(first, np.cross(second, third)))) == sign


def test_one_ribbon_follows_the_cosine() -> None:
    """The cubic that stands for half a wave is within 0.5 per cent of the diameter."""
    numbers = ribbon_shape(10.0, 2.0, 0.0).split("h")[0][1:].split()
    a, _, c, d, e, f = (float(number) for number in numbers)
    t = np.linspace(0.0, 1.0, 101)
    x = 3.0 * (1 - t) ** 2 * t * a + 3.0 * (1 - t) * t**2 * c + t**3 * e
    y = 3.0 * (1 - t) * t**2 * d + t**3 * f
    assert np.max(np.abs(y - (1.0 - np.cos(math.pi * x / 10.0)))) < 0.01


def test_each_turn_passes_the_top_once() -> None:
    """Seven and a half turns bring a strand to the top seven or eight times."""
    for phi in np.linspace(-3.0, 3.0, 13):
        for hand in ("S", "Z"):
            turns = top_crossings(float(phi), 2.0, 9.5, hand, 0.0)
            heights, _ = helix_point(np.ones(len(turns)), np.full(len(turns), phi), turns, hand)
            assert len(turns) in (7, 8)
            assert np.allclose(heights, 1.0)


def test_surface_is_covered_once() -> None:
    """Sectors follow each other round the bundle without gap or overlap."""
    for count in (2, 3, 7, 12, 19, 24, 37):
        runs, seams = surface_runs(packed(count))
        assert sum(run.stop - run.start for run in runs) == pytest.approx(2.0 * math.pi)
        for before, after in zip(runs, (*runs[1:], runs[0]), strict=True):
            assert before.stop % (2.0 * math.pi) == pytest.approx(after.start % (2.0 * math.pi))
            assert before.colour != after.colour
        assert len(seams) >= len(runs)


def test_seven_strands_show_six() -> None:
    """The middle strand of seven lies hidden; each of the others has a sixth."""
    ring = [(math.cos(k * math.pi / 3.0), math.sin(k * math.pi / 3.0)) for k in range(6)]
    strands = (
        StrandPicture(0.0, 0.0, "#FF0000"),
        *(StrandPicture(x, y, (SPRUCE, STRAW)[k % 2]) for k, (x, y) in enumerate(ring)),
    )
    runs, seams = surface_runs(strands)
    assert len(seams) == 6
    assert {run.colour for run in runs} == {SPRUCE, STRAW}
    assert [run.stop - run.start for run in runs] == pytest.approx([math.pi / 3.0] * 6, abs=0.04)


def test_bundle_has_radius_one() -> None:
    """Whatever unit the centres have, the outermost strand touches the unit circle."""
    strands = packed(19)
    large = tuple(StrandPicture(s.x * 40.0, s.y * 40.0, s.colour) for s in strands)
    for bundle in (strands, large):
        radius, _, strand_radius = packed_circle(bundle)
        assert radius.max() + strand_radius == pytest.approx(1.0)
    _, _, alone = packed_circle(strands[:1])
    assert alone == 1.0


def test_two_strands_in_one_place_are_refused() -> None:
    """Strands cannot lie inside each other."""
    strand = StrandPicture(0.2, 0.1, SPRUCE)
    with pytest.raises(GeometryError, match="one centre"):
        packed_circle((strand, strand))
