"""Loops served on swung arms: where the marks fall, and what a mark off its place does."""

import numpy as np
import pytest

from strandwright.geometry.swung_arms import SQUARE, Arms, swung_length
from strandwright.line.swung_loop import (
    Place,
    arm_side,
    least_between,
    off_allowed,
    throat_from_outside,
    uneven_share,
)

INCH = 0.0254
POST, OFFSET = 0.5 * INCH, 0.02 * INCH


def test_equal_posts_by_hand():
    """The middle of the loop is the middle of the arm; each corner is a quarter round."""
    side = arm_side(4.0 * INCH, (POST, POST), OFFSET)
    assert side.free == pytest.approx(4.0 * INCH)
    for corner in (side.outer, side.inner):
        assert corner.straight == pytest.approx(2.0 * INCH)
        assert corner.arc == pytest.approx(0.5 * np.pi * 0.27 * INCH)
        assert corner.from_middle == pytest.approx(0.0, abs=1e-15)


def test_a_spot_goes_round_the_corner():
    """Along the short side, round the post, then past the outside of the posts."""
    corner = arm_side(4.0 * INCH, (POST, POST), OFFSET).outer
    assert corner.spot(1.5 * INCH).place is Place.SHORT
    assert corner.spot(1.5 * INCH).distance == pytest.approx(1.5 * INCH)
    assert corner.spot(2.1 * INCH).place is Place.POST
    assert corner.spot(2.1 * INCH).distance == pytest.approx(0.1 * INCH)
    # The long side begins abreast of the post's middle, a quarter inch behind its outside.
    past = corner.spot((2.0 + 0.5 * np.pi * 0.27 + 0.3) * INCH)
    assert past.place is Place.LONG
    assert past.distance == pytest.approx(0.55 * INCH)


def test_the_middles_of_both_loops_have_the_same_way_to_each_other():
    """Posts of two sizes: the two ways round the belt, from loop to loop, are its halves."""
    posts = (0.6 * INCH, 0.3 * INCH)
    side = arm_side(4.0 * INCH, posts, OFFSET)
    radii = tuple(0.5 * p + OFFSET for p in posts)
    arms = Arms(4.0 * INCH, 0.5, (radii[0], radii[0]), (radii[1], radii[1]))
    apart = 50.0 * INCH
    belt = float(swung_length(arms, apart, SQUARE, SQUARE))
    by_outer = 2.0 * (side.outer.straight + side.outer.arc) + apart
    by_inner = 2.0 * (side.inner.straight + side.inner.arc) + apart
    assert by_outer == pytest.approx(by_inner, rel=1e-14)
    assert by_outer + by_inner == pytest.approx(belt, rel=1e-13)
    # Told from the middle of the arm, both marks are as far apart as their reaches together.
    outer, inner = side.outer.spot(INCH), side.inner.spot(INCH)
    assert outer.distance + inner.distance == pytest.approx(2.0 * INCH)
    assert outer.distance > inner.distance


def test_half_a_loop_lies_free_between_the_posts():
    """Half the served stretch, what goes past the mark, and room for the tool at both posts."""
    assert least_between(6.0, 0.25, 0.3) == pytest.approx(3.0 + 0.25 + 0.6)


def test_the_ends_lie_level_where_the_halves_of_the_loop_end():
    """Half the loop: a quarter round the post, and the rest along the beam from its middle."""
    served = 6.0 * INCH
    found = throat_from_outside(served, POST, OFFSET)
    along = found - 0.5 * POST
    assert 2.0 * along + np.pi * (0.5 * POST + OFFSET) == pytest.approx(served)


def test_a_loop_off_its_middle_loads_one_side_more():
    """Two sides held at one length, by hand: the shorter is strained more by e over the body."""
    body, strain, off, stiffness = 1.4, 0.005, 0.0005, 30_000.0
    held = body * (1.0 + strain)
    short, long = (stiffness * (held - side) / side for side in (body - off, body + off))
    mean = 0.5 * (short + long)
    assert float(uneven_share(off, body, strain)) == pytest.approx(short / mean - 1.0, rel=0.01)
    assert float(off_allowed(0.1, body, strain)) == pytest.approx(0.1 * body * strain)
    found = uneven_share(off_allowed([0.05, 0.1], body, strain), body, strain)
    np.testing.assert_allclose(found, [0.05, 0.1])
