"""Belts round four posts on swung arms."""

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from strandwright.geometry.belt import belt_length
from strandwright.geometry.swung_arms import (
    SQUARE,
    Arms,
    arm_moment,
    greatest_on_the_way,
    hull_length,
    pivots_for,
    post_places,
    swung_length,
)

EVEN = Arms(0.1, 0.5, (0.007, 0.007), (0.007, 0.007))


def arms(pivot: float, outer=(0.007, 0.007), inner=(0.007, 0.007)) -> Arms:
    """Give arms 100 mm long that turn at this share of the way."""
    return Arms(0.1, pivot, outer, inner)


def hull_by_points(centres: np.ndarray, radii: np.ndarray, points: int = 20_000) -> float:
    """Measure the hull of circles made of points, by another program."""
    angle = np.linspace(0.0, 2.0 * np.pi, points, endpoint=False)
    ring = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    cloud = (centres[:, None, :] + radii[:, None, None] * ring).reshape(-1, 2)
    # In the plane this library calls the outline's length the area.
    return float(ConvexHull(cloud).area)


@pytest.mark.parametrize("pivot", [0.0, 0.3, 0.5, 0.8, 1.0])
@pytest.mark.parametrize(
    "angles", [(0.0, 0.0), (0.4, 0.4), (SQUARE, 0.0), (0.2, 1.3), (SQUARE,) * 2]
)
def test_the_hull_is_that_of_another_program(pivot, angles):
    """SciPy's hull of 80,000 points is shorter by what a polygon is than its circle, no more."""
    made = arms(pivot, outer=(0.006, 0.009), inner=(0.005, 0.012))
    placed = post_places(made, 1.5, *angles)
    ours = float(hull_length(placed, made.radii))
    theirs = hull_by_points(placed, made.radii)
    assert 0.0 <= ours - theirs < 1e-8


def test_random_circles_have_the_hull_of_another_program():
    """Also where one circle swallows another, or three stand in a row."""
    rng = np.random.default_rng(11)
    for _ in range(12):
        centres, radii = rng.uniform(-1.0, 1.0, (5, 2)), rng.uniform(0.0, 0.6, 5)
        ours = float(hull_length(centres, radii))
        assert 0.0 <= ours - hull_by_points(centres, radii) < 1e-6
    row = np.array([[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]])
    assert float(hull_length(row, [0.1, 0.1, 0.1])) == pytest.approx(4.0 + 0.2 * np.pi, rel=1e-14)
    assert float(hull_length(row[:1], [0.1])) == pytest.approx(0.2 * np.pi, rel=1e-14)


def test_in_line_it_is_the_belt_round_the_outer_posts():
    """Inner posts that are no thicker do not touch the skein."""
    made = arms(0.4, outer=(0.006, 0.009), inner=(0.004, 0.005))
    length = float(swung_length(made, 1.5, 0.0, 0.0))
    assert length == pytest.approx(float(belt_length(1.5 + 2 * 0.04, 0.006, 0.009)), rel=1e-14)


def test_arms_that_turn_about_their_middles_keep_the_length():
    """2 (D + s) and one whole turn of the post, in line, square and at every angle between."""
    by_hand = 2.0 * (1.5 + 0.1) + 2.0 * np.pi * 0.007
    angles = np.linspace(0.0, SQUARE, 19)
    np.testing.assert_allclose(swung_length(EVEN, 1.5, angles, angles), by_hand, rtol=1e-14)
    assert greatest_on_the_way(EVEN, 1.5, together=True) == pytest.approx(by_hand, rel=1e-14)


@pytest.mark.parametrize("pivot", [0.0, 0.25, 0.45, 0.6, 1.0])
def test_a_pivot_off_the_middle_by_hand(pivot):
    """Turning together it goes with the cosine, from in line to square by 2 s (1 - 2p)."""
    angles = np.linspace(0.0, SQUARE, 19)
    by_hand = 3.2 + 2 * 0.1 * (2 * pivot - 1) * np.cos(angles) + 2 * np.pi * 0.007
    found = swung_length(arms(pivot), 1.5, angles, angles)
    np.testing.assert_allclose(found, by_hand, rtol=1e-13)
    assert found[-1] - found[0] == pytest.approx(0.2 * (1 - 2 * pivot), abs=1e-14)


def test_one_arm_after_the_other_peaks_when_one_is_square():
    """By Pythagoras: the square arm's posts stand half an arm off the beam."""
    by_hand = 0.1 + 2.0 * np.hypot(1.55, 0.05) + 2.0 * np.pi * 0.007
    assert greatest_on_the_way(EVEN, 1.5, together=False) == pytest.approx(by_hand, rel=1e-12)
    # To the first order that is a quarter of the arm's square over the distance.
    more = by_hand - float(swung_length(EVEN, 1.5, 0.0, 0.0))
    assert more == pytest.approx(0.1**2 / 4.0 / 1.55, rel=1e-3)


@pytest.mark.parametrize("angles", [(0.0, 0.0), (0.7, 0.2), (SQUARE, SQUARE)])
def test_the_distance_of_the_pivots_comes_back(angles):
    """The inverse, for a batch of belts and posts of several sizes."""
    made = arms(0.35, outer=(0.006, 0.009), inner=(0.005, 0.012))
    apart = np.array([0.5, 1.5, 2.5])
    found = pivots_for(made, swung_length(made, apart, *angles), *angles)
    np.testing.assert_allclose(found, apart, atol=1e-13)


def test_a_belt_too_short_for_the_arms_has_no_distance():
    """NaN there, and an answer beside it."""
    found = pivots_for(EVEN, [0.1, 3.0], SQUARE, SQUARE)
    assert [True, False] == np.isnan(found).tolist()


def test_an_arm_turns_back_by_what_its_pivot_is_off():
    """Square, each of its two posts is pulled by the belt: moment t s (1 - 2p)."""
    for pivot in (0.3, 0.5, 0.7):
        by_hand = 200.0 * 0.1 * (1.0 - 2.0 * pivot)
        found = float(arm_moment(arms(pivot), 1.5, 200.0, SQUARE))
        assert found == pytest.approx(by_hand, abs=1e-6)
