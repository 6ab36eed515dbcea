"""A few points that stand for many."""

from __future__ import annotations

import numpy as np
import pytest

from strandwright.fibre.bundle import centre_radii, filled_radii
from strandwright.numerics.few_points import few_points

COUNTS = (4, 7, 12, 19, 24, 37, 48, 61, 84, 120, 200)


@pytest.mark.parametrize("strands", COUNTS)
def test_polynomials_keep_their_means(strands):
    """Below the number of places every power has the cloud's mean, from whichever point on."""
    cloud = filled_radii(strands) ** 2
    few = few_points(cloud, 8)
    at = (few.cloud - cloud.mean()) / np.ptp(cloud) if np.ptp(cloud) else few.cloud
    places = (few.places - cloud.mean()) / np.ptp(cloud) if np.ptp(cloud) else few.places
    for power in range(len(few.places)):
        left = np.cumsum((at**power)[::-1])[::-1] / strands
        np.testing.assert_allclose(places**power @ few.onward[:, :-1], left, atol=1e-13)
        assert places**power @ few.weights == pytest.approx(left[0], abs=1e-13)
    assert (few.onward[:, -1] == 0.0).all()


def test_the_first_and_the_last_point_are_places():
    """So that who looks for the least and the most finds them, in whatever order they come."""
    cloud = np.random.default_rng(3).uniform(size=40)
    few = few_points(cloud, 6)
    assert (cloud.min(), cloud.max()) == (few.places[0], few.places[-1])
    assert 6 == len(few.places)
    assert set(few.places) <= set(cloud)


def test_points_that_lie_together_need_no_more_places():
    """Two rings, the radii of each alike to the last digits, are two places; one spot is one."""
    cloud = np.concatenate([np.full(3, 0.1), 0.6 + 1.2e-16 * np.arange(9)])
    few = few_points(cloud, 8)
    assert 2 == len(few.places)
    np.testing.assert_allclose(few.weights, [0.25, 0.75], atol=1e-12)
    alone = few_points(np.full(5, 0.3), 8)
    assert [0.3] == alone.places.tolist()
    assert [1.0] == pytest.approx(alone.weights.tolist())


@pytest.mark.parametrize("radii", [filled_radii, centre_radii])
@pytest.mark.parametrize(
    ("count", "steep"), [(7, 0.03), (8, 0.06), (9, 0.108), (10, 0.18), (12, 0.3)]
)
def test_what_a_helix_asks_of_a_bundle_is_met(radii, count, steep):
    """The sums that a twisted bundle is solved by, whichever strands are slack: to 2e-13."""
    for strands in range(count + 1, 201):
        few = few_points(radii(strands) ** 2, count)

        def carried(square):
            cosine = 1.0 / np.sqrt(1.0 + steep * square)
            strain = 1.01 / (0.7 * cosine + 0.3) - 1.0
            return (
                (1.3 * strain - 12.0 * strain**2)
                * cosine
                * np.stack([np.ones_like(square), square])
            )

        every = np.cumsum(carried(few.cloud)[:, ::-1], axis=1)[:, ::-1] / strands
        np.testing.assert_allclose(carried(few.places) @ few.onward[:, :-1], every, atol=2e-13)
