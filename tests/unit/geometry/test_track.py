"""Convex tracks as support functions, held to points, arcs and circles worked out apart."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from strandwright.errors import GeometryError
from strandwright.geometry.track import Track, circle, from_outline, point

ANGLES = st.floats(-7.0, 7.0)
#: Convex: mean 0.05, and harmonics whose (k k - 1) shares stay under it.
EGG = Track(np.array(0.05), np.array([0.012, 0.004, -0.001]), np.array([-0.006, 0.003, 0.0012]))


def outline(track: Track, count: int) -> np.ndarray:
    """Points of contact all the way round."""
    return track.contact(2 * np.pi * np.arange(count) / count)


@given(ANGLES)
def test_contact_lies_on_its_tangent(psi: float) -> None:
    """The point of contact is h along the normal and h' along the tangent."""
    p = EGG.contact(psi)
    normal, along = np.array([np.cos(psi), np.sin(psi)]), np.array([-np.sin(psi), np.cos(psi)])
    assert p @ normal == pytest.approx(EGG.support(psi), abs=1e-15)
    assert p @ along == pytest.approx(EGG.tangential(psi), abs=1e-15)


@given(ANGLES)
def test_slope_and_radius_are_derivatives_of_the_support(psi: float) -> None:
    """The slope of h is h', and the contact moves along its tangent by h + h''."""
    step = 1e-5
    slope = (EGG.support(psi + step) - EGG.support(psi - step)) / (2 * step)
    assert slope == pytest.approx(EGG.tangential(psi), abs=1e-11)
    moved = (EGG.contact(psi + step) - EGG.contact(psi - step)) / (2 * step)
    radius = EGG.curvature_radius(psi)
    np.testing.assert_allclose(moved, radius * np.array([-np.sin(psi), np.cos(psi)]), atol=1e-10)


@given(ANGLES, ANGLES)
def test_arc_is_the_radius_summed_up(start: float, stop: float) -> None:
    """Arc between two normals, even more than a turn apart, is the integral of h + h''."""
    summed = quad(lambda a: float(EGG.curvature_radius(a)), start, stop, epsabs=1e-13)[0]
    assert EGG.arc(start, stop) == pytest.approx(summed, abs=1e-12)
    assert EGG.arc(stop, start) == pytest.approx(-summed, abs=1e-12)


def test_arc_is_the_length_of_the_outline() -> None:
    """The arc once round is what a polygon of many points measures."""
    points = outline(EGG, 20_000)
    around = np.linalg.norm(np.diff(points, axis=0, append=points[:1]), axis=1).sum()
    assert EGG.arc(0.0, 2 * np.pi) == pytest.approx(around, rel=1e-7)
    assert EGG.arc(0.0, 2 * np.pi) == pytest.approx(2 * np.pi * 0.05, rel=1e-13)


def test_no_point_lies_beyond_a_tangent() -> None:
    """The support is the farthest that any point of the outline lies along the normal."""
    psi = 2 * np.pi * np.arange(500) / 500
    normals = np.stack([np.cos(psi), np.sin(psi)], axis=-1)
    farthest = np.max(normals @ outline(EGG, 5000).T, axis=1)
    np.testing.assert_allclose(farthest, EGG.support(psi), atol=1e-8)


@given(ANGLES, st.floats(0.0, 0.01))
def test_offset_runs_beside(psi: float, distance: float) -> None:
    """A line's centre keeps its distance along the normal, and its arc grows with the angle."""
    outside = EGG.offset(distance)
    normal = np.array([np.cos(psi), np.sin(psi)])
    np.testing.assert_allclose(
        outside.contact(psi) - EGG.contact(psi), distance * normal, atol=1e-15
    )
    grown = outside.arc(0.3, psi) - EGG.arc(0.3, psi)
    assert grown == pytest.approx(distance * (psi - 0.3), abs=1e-14)


@given(ANGLES, ANGLES)
def test_turned_and_mirrored(psi: float, angle: float) -> None:
    """A turned outline is the outline seen from an axis turned back; a mirror turns the normal."""
    assert EGG.turned(angle).support(psi) == pytest.approx(EGG.support(psi - angle), abs=1e-14)
    assert EGG.mirrored().support(psi) == pytest.approx(EGG.support(-psi), abs=1e-15)
    c, s = np.cos(angle), np.sin(angle)
    turned = np.array([[c, -s], [s, c]]) @ EGG.contact(psi - angle)
    np.testing.assert_allclose(EGG.turned(angle).contact(psi), turned, atol=1e-14)


@given(ANGLES)
def test_circle_off_its_axle(psi: float) -> None:
    """Every contact is a radius from the centre, and the radius of curvature is the radius."""
    track = circle(0.04, 0.01, -0.02)
    assert np.linalg.norm(track.contact(psi) - [0.01, -0.02]) == pytest.approx(0.04, rel=1e-13)
    assert track.curvature_radius(psi) == pytest.approx(0.04, rel=1e-13)
    assert track.arc(psi, psi + 1.5) == pytest.approx(0.06, rel=1e-12)


@given(ANGLES)
def test_a_point_has_no_arc(psi: float) -> None:
    """A peg of no size is touched at its one place, whatever the normal."""
    peg = point(0.03, 0.02)
    np.testing.assert_allclose(peg.contact(psi), [0.03, 0.02], atol=1e-16)
    assert peg.arc(0.0, psi) == pytest.approx(0.0, abs=1e-16)


def test_a_batch_is_its_cases() -> None:
    """A batch of circles answers as each of them does."""
    radius, x = np.array([0.02, 0.03]), np.array([0.0, 0.01])
    batch, psi = circle(radius, x), np.array([0.4, 2.0])
    for i in range(2):
        one = circle(radius[i], x[i])
        assert batch.support(psi)[i] == one.support(psi[i])
        np.testing.assert_array_equal(batch.contact(psi)[i], one.contact(psi[i]))


def test_a_traced_track_comes_back() -> None:
    """Points of a smooth convex outline give its own track."""
    traced = from_outline(outline(EGG, 720), harmonics=6)
    np.testing.assert_allclose(traced.track.cosine[:3], EGG.cosine, atol=2e-7)
    np.testing.assert_allclose(traced.track.sine[:3], EGG.sine, atol=2e-7)
    assert float(traced.track.mean) == pytest.approx(0.05, abs=1e-6)
    assert traced.misfit < 1e-6
    assert traced.deepest_hollow < 2e-6


def test_a_hollow_is_bridged_and_told() -> None:
    """A dent 5 mm deep in a square of 60 mm leaves the square's track and is told as 5 mm."""
    square = [(0.03, 0.03), (0.0, 0.025), (-0.03, 0.03), (-0.03, -0.03), (0.03, -0.03)]
    found = from_outline(square, harmonics=40)
    whole = from_outline([p for p in square if p != (0.0, 0.025)], harmonics=40)
    assert found.deepest_hollow == pytest.approx(0.005, abs=1e-12)
    assert whole.deepest_hollow == pytest.approx(0.0, abs=1e-12)
    np.testing.assert_array_equal(found.track.cosine, whole.track.cosine)


def test_a_point_on_a_flat_is_no_hollow() -> None:
    """A point traced on a straight side that lies between the normals looked at is not inside."""
    turn = np.radians(0.25)
    corners = np.array([(0.03, 0.03), (0.0, 0.03), (-0.03, 0.03), (-0.03, -0.03), (0.03, -0.03)])
    c, s = np.cos(turn), np.sin(turn)
    found = from_outline(corners @ np.array([[c, s], [-s, c]]))
    assert found.deepest_hollow == pytest.approx(0.0, abs=1e-12)


def test_a_corner_wants_more_harmonics() -> None:
    """A polygon's support is met the better the more harmonics are kept, and misfit says so."""
    triangle = [(0.04, 0.0), (-0.03, 0.03), (-0.02, -0.035)]
    few, many = (from_outline(triangle, harmonics=n) for n in (6, 60))
    assert many.misfit < 0.2 * few.misfit
    psi = 0.37
    wanted = max(x * np.cos(psi) + y * np.sin(psi) for x, y in triangle)
    assert abs(float(many.track.support(psi)) - wanted) <= many.misfit
    sides = np.subtract(triangle, [*triangle[1:], triangle[0]])
    around = np.hypot(sides[:, 0], sides[:, 1]).sum()
    assert many.track.arc(0.0, 2 * np.pi) == pytest.approx(around, rel=1e-4)


def test_an_axle_outside_the_outline() -> None:
    """An outline that does not enclose its axle has a support below zero on one side."""
    away = [(0.05, 0.01), (0.09, 0.01), (0.09, -0.01), (0.05, -0.01)]
    track = from_outline(away, harmonics=60).track
    assert float(track.support(np.pi)) == pytest.approx(-0.05, abs=1e-3)


@pytest.mark.parametrize(
    "points",
    [
        [(0.0, 0.0), (0.01, 0.0)],
        [(0.0, 0.0), (0.01, 0.01), (0.02, 0.02)],
        [(0.01, 0.01)] * 4,
        [0.0, 1.0, 2.0],
    ],
)
def test_what_encloses_nothing_is_refused(points: list) -> None:
    """Two points, a straight line, one point or no points at all are no outline."""
    with pytest.raises(GeometryError, match="outline"):
        from_outline(points)


def test_a_negative_radius_is_refused() -> None:
    """No circle is smaller than a point."""
    with pytest.raises(GeometryError, match="radius"):
        circle([0.01, -0.01])
