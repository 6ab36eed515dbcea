"""A rigid link on a pivot: tip, energy and what is refused."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from limb_derivatives import assert_exact_derivatives

from strandwright.bow.limb import PivotLimb
from strandwright.errors import InputError

ANGLES = st.floats(-3.0, 3.0)


@given(ANGLES, ANGLES, st.floats(0.0, 5.0))
def test_derivatives_are_exact(angle: float, rest: float, hardening: float) -> None:
    """Every first and second derivative is what differences give."""
    limb = PivotLimb(length=0.6, stiffness=7.0, rest_angle=rest, hardening=hardening)
    assert_exact_derivatives(limb, np.array([[angle], [angle + 0.1]]), 1e-6)


def test_tip_runs_on_a_circle() -> None:
    """At no angle the link lies on +x; at a quarter turn on +y; the heading is its angle."""
    limb = PivotLimb(length=0.5, stiffness=1.0)
    tip = limb.tip(np.array([[0.0], [np.pi / 2]]))
    np.testing.assert_allclose(tip.position, [[0.5, 0.0], [0.0, 0.5]], atol=1e-15)
    np.testing.assert_array_equal(tip.angle, [0.0, np.pi / 2])


def test_slack_at_rest() -> None:
    """At its rest angle a limb holds no energy and pushes nowhere, bolts turned or not."""
    limb = PivotLimb(0.5, [3.0, 4.0], rest_angle=[-0.4, -0.5], hardening=2.0)
    energy, gradient, hessian = limb.energy(limb.rest())
    assert np.all(energy == 0.0)
    assert np.all(gradient == 0.0)
    np.testing.assert_array_equal(hessian[:, 0, 0], [3.0, 4.0])


def test_a_family_is_its_members() -> None:
    """Cases solved together are the same as one by one."""
    length, stiffness, rest = [0.5, 0.6, 0.7], [3.0, 4.0, 5.0], [0.0, -0.1, -0.2]
    q = np.array([[0.3], [0.4], [0.5]])
    together = PivotLimb(length, stiffness, rest, 1.5)
    for i in range(3):
        alone, row = PivotLimb(length[i], stiffness[i], rest[i], 1.5), q[i : i + 1]
        for a, b in zip(alone.energy(row), together.energy(q), strict=True):
            np.testing.assert_array_equal(a[0], b[i])
        np.testing.assert_array_equal(alone.tip(row).position[0], together.tip(q).position[i])
        np.testing.assert_array_equal(
            alone.tip(row).position_hessian[0], together.tip(q).position_hessian[i]
        )


def test_mirror() -> None:
    """Turned the other way, the tip is mirrored and the energy is the same."""
    limb, q = PivotLimb(0.5, 3.0, hardening=1.0), np.array([[0.7]])
    there, back = limb.tip(q), limb.tip(-q)
    np.testing.assert_allclose(back.position, there.position * [1, -1], rtol=1e-15)
    assert limb.energy(q)[0] == limb.energy(-q)[0]


def test_shape_is_a_straight_link() -> None:
    """The points drawn run from the pivot to the tip."""
    limb, q = PivotLimb(0.5, 3.0), np.array([[0.7], [0.9]])
    points = limb.shape(q, np.array([0.0, 0.25, 1.0]))
    assert points.shape == (2, 3, 2)
    np.testing.assert_array_equal(points[:, 0], 0.0)
    np.testing.assert_array_equal(points[:, 2], limb.tip(q).position)
    np.testing.assert_allclose(points[:, 1], 0.25 * points[:, 2], rtol=1e-15)


@pytest.mark.parametrize(
    ("name", "bad"),
    [
        ("length", 0.0),
        ("length", [[0.5]]),
        ("stiffness", [1.0, -1.0]),
        ("stiffness", float("nan")),
        ("rest_angle", float("inf")),
        ("hardening", -1.0),
    ],
)
def test_what_is_no_limb(name: str, bad: Any) -> None:
    """A number that cannot be is refused with its name."""
    numbers: dict[str, Any] = {"length": 0.5, "stiffness": 1.0} | {name: bad}
    with pytest.raises(InputError, match=f"limb.{name}"):
        PivotLimb(**numbers)
