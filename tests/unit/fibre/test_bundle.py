"""Bundles: diameter from mass, and the radii of their strands."""

import numpy as np
import pytest

from strandwright.fibre.bundle import bundle_diameter, centre_radii, filled_radii
from strandwright.geometry.packing import enclosing_ratio


def test_diameter_by_hand() -> None:
    """24 strands of 150 tex at 975 kg/m^3, filled to 0.75: 2.504 mm, worked on paper."""
    diameter = float(bundle_diameter(24, 150e-6, 975.0, 0.75))
    assert diameter == pytest.approx(2.504e-3, abs=5e-7)
    assert np.pi / 4 * diameter**2 * 0.75 * 975.0 == pytest.approx(24 * 150e-6)


def test_centres_of_seven() -> None:
    """One strand on the axis and six at two thirds of the radius."""
    np.testing.assert_allclose(centre_radii(7), [0, *[2 / 3] * 6], atol=1e-6)


@pytest.mark.parametrize("n", [2, 3, 12, 24, 60])
def test_centres_lie_inside_the_rim(n: int) -> None:
    """Ascending, and the outermost half a strand inside."""
    radii = centre_radii(n)
    assert np.all(np.diff(radii) >= 0.0)
    assert radii[-1] <= 1 - 1 / enclosing_ratio(n) + 1e-6


@pytest.mark.parametrize("n", [1, 2, 7, 24, 60])
def test_filled_radii_are_those_of_a_disc(n: int) -> None:
    """Their mean square is one half, and their order that of the centres."""
    assert float((filled_radii(n) ** 2).mean()) == pytest.approx(0.5, rel=1e-12)
    assert np.all(filled_radii(n) >= centre_radii(n))


def test_radii_cannot_be_spoilt() -> None:
    """They are shared between callers and therefore read-only."""
    with pytest.raises(ValueError, match="read-only"):
        centre_radii(24)[0] = 1.0
