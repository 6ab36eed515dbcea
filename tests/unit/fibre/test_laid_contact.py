"""Two and three touching bundles."""

from __future__ import annotations

import numpy as np
import pytest

from strandwright.errors import InputError
from strandwright.fibre.laid.contact import steepest, touching, winding_at
from strandwright.fibre.laid.hands import hand_of, hand_turns_for, own_turns
from strandwright.fibre.laid.lay import lay_of

COUNTS = pytest.mark.parametrize("count", [2, 3])


def least_distance(count: int, radius: float, pitch: float) -> float:
    """Least distance of two neighbouring centrelines, by looking along one of them."""
    step = 2.0 * np.pi / count
    angle = np.linspace(-2.0 * step, 2.0 * step, 400_001)
    square = 2.0 * radius**2 * (1.0 - np.cos(angle + step)) + (pitch * angle / 2.0 / np.pi) ** 2
    return float(np.sqrt(square.min()))


@COUNTS
@pytest.mark.parametrize("winding", [0.05, 0.3, 0.6, 0.9, 1.02])
def test_bundles_touch_and_do_not_overlap(count: int, winding: float) -> None:
    """The least distance of the centrelines is one bundle diameter."""
    radius = 0.001
    lay = lay_of(radius, 2.0 * np.pi * radius / winding, count)
    assert least_distance(count, float(lay.helix_radius), float(lay.pitch)) == pytest.approx(
        2.0 * radius, rel=1e-9
    )


@COUNTS
def test_no_lay_is_side_by_side(count: int) -> None:
    """Two touch on the axis, three leave the gap between three rounds."""
    lay = lay_of(0.001, np.inf, count)
    assert float(lay.helix_radius) == pytest.approx(0.001 / np.sin(np.pi / count), rel=1e-14)
    assert float(lay.angle) == float(lay.curvature) == float(lay.torsion) == 0.0
    assert float(lay.path) == 1.0


@COUNTS
def test_slopes_are_those_of_the_numbers(count: int) -> None:
    """Angle with winding, spread with angle, and bundle length with rope length at held turns."""
    for winding in (0.2, 0.7, 0.98):
        step = 1e-6
        low, here, high = (touching(winding + d, count) for d in (-step, 0.0, step))
        slope = (high.angle - low.angle) / (2.0 * step)
        assert float(here.turning_slope) == pytest.approx(float(slope), rel=1e-8)
        widening = np.log(high.spread / low.spread) / np.log(np.tan(high.angle) / np.tan(low.angle))
        assert float(here.opening) == pytest.approx(float(widening), abs=1e-8)
        longer, shorter = (
            length / np.cos(touching(winding / length, count).angle)
            for length in (1.0 + step, 1.0 - step)
        )
        stand = (longer - shorter) / (2.0 * step)
        assert float(here.stand) == pytest.approx(float(stand), abs=1e-8)


@COUNTS
@pytest.mark.parametrize("nesting", [0.75, 1.0])
def test_angle_gives_its_winding_back(count: int, nesting: float) -> None:
    """There and back, either hand, flat and steep."""
    winding = np.linspace(-0.95, 0.95, 21) * np.pi / count
    angle = touching(winding, count, nesting).angle
    np.testing.assert_allclose(winding_at(angle, count, nesting), winding, atol=1e-12)
    np.testing.assert_allclose(angle, -angle[::-1], atol=1e-15)


@COUNTS
def test_steepest_lay_has_the_most_turns(count: int) -> None:
    """Turns in bundles of a length are at their most there."""

    def turns(winding: float) -> float:
        return winding * float(np.cos(touching(winding, count).angle))

    top = float(steepest(count).winding)
    assert turns(top) > turns(top * 0.999)
    assert turns(top) > turns(top * 1.001)
    assert float(touching(1.01 * top, count).stand) < 0.0 < float(touching(0.99 * top, count).stand)


@COUNTS
def test_nested_bundles_lie_nearer(count: int) -> None:
    """At the stated least nesting the mean square radius is that of one round bundle."""
    least = {2: np.sqrt(0.5), 3: np.sqrt(0.75)}[count]
    spread = float(touching(0.0, count, least).spread)
    assert spread**2 + 0.5 == pytest.approx(count / 2.0, rel=1e-14)


@COUNTS
def test_more_winding_than_fits_is_no_rope(count: int) -> None:
    """Bundles stacked on each other are the end of it."""
    assert np.isnan(float(touching(1.001 * np.pi / count, count).angle))
    assert np.isfinite(float(touching(0.999 * np.pi / count, count).angle))


def test_four_bundles_are_refused() -> None:
    """The gap between four lets them slide, so they have no one lay."""
    with pytest.raises(InputError, match="must be 2 or 3"):
        touching(0.3, 4)


def test_turns_by_hand_and_lay_add_by_their_hand() -> None:
    """Opposite hands take from each other; there and back."""
    assert [hand_of(n) for n in (-3.0, 3.0)] == ["S", "Z"]
    assert float(own_turns(-90.0, 30.0, 0.0)) == -60.0
    assert float(own_turns(0.0, 30.0, np.pi / 3.0)) == pytest.approx(15.0)
    assert float(hand_turns_for(own_turns(-90.0, 30.0, 0.4), 30.0, 0.4)) == pytest.approx(-90.0)


@COUNTS
def test_torsion_is_what_laying_twists(count: int) -> None:
    """Over a turn of lay the helix's torsion comes to the cosine of the lay angle in turns."""
    lay = lay_of(0.001, 0.012, count)
    over = float(lay.torsion * lay.path * lay.pitch) / (2.0 * np.pi)
    assert over == pytest.approx(float(own_turns(0.0, 1.0, lay.angle)), rel=1e-13)
