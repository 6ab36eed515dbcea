"""Belts round two posts."""

import numpy as np
import pytest

from strandwright.geometry.belt import belt_length, centre_distance, layer_build_up


def test_equal_posts_by_hand() -> None:
    """Two straights and one whole turn; the inverse is exact."""
    length = belt_length(1.5, 0.005, 0.005)
    assert length == pytest.approx(3.0 + 2 * np.pi * 0.005, rel=1e-15)
    assert centre_distance(length, 0.005, 0.005) == pytest.approx(1.5, rel=1e-15)


def test_order_of_posts_does_not_matter() -> None:
    """A belt may be read from either end."""
    assert belt_length(0.8, 0.02, 0.005) == belt_length(0.8, 0.005, 0.02)
    np.testing.assert_array_equal(
        centre_distance(2.0, 0.02, 0.005), centre_distance(2.0, 0.005, 0.02)
    )


def test_a_post_inside_the_other_has_no_belt() -> None:
    """NaN stands where one circle swallows the other, and only there."""
    length = belt_length([0.01, 0.02, 0.5], 0.03, 0.01)
    assert [True, False, False] == np.isnan(length).tolist()
    assert length[1] == pytest.approx(2 * np.pi * 0.03)


def test_too_short_a_belt_has_no_centre_distance() -> None:
    """A belt that cannot go round the larger post gives NaN, its neighbours their answer."""
    least = 2 * np.pi * 0.03
    found = centre_distance([0.9 * least, least, 2.0], 0.03, 0.01)
    assert [True, False, False] == np.isnan(found).tolist()
    assert found[1] == pytest.approx(0.02)
    assert belt_length(found[2], 0.03, 0.01) == pytest.approx(2.0, rel=1e-14)


def test_a_batch_may_mix_equal_and_unequal_posts() -> None:
    """Broadcasting runs over both cases at once."""
    r1, r2 = np.array([[0.005], [0.010]]), np.array([0.005, 0.010, 0.002])
    c = centre_distance(3.0, r1, r2)
    assert (2, 3) == c.shape
    np.testing.assert_allclose(belt_length(c, r1, r2), 3.0, rtol=1e-14)


def test_layers_rise_by_nesting_or_by_whole_diameters() -> None:
    """One layer adds nothing; three add one rise on average."""
    d = 0.4572e-3
    assert layer_build_up(1, d) == 0.0
    assert layer_build_up(3, d) == pytest.approx(np.sqrt(3) / 2 * d)
    np.testing.assert_allclose(layer_build_up([2, 3], d, "square"), [0.5 * d, d])
