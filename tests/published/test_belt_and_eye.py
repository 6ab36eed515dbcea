"""Belts round posts and eyes on pins against taut outlines found without tangents.

A taut closed string round convex obstacles is the boundary of their convex hull. The hull of
densely sampled circles (Barber, Dobkin, Huhdanpaa, "The Quickhull algorithm for convex hulls",
ACM Transactions on Mathematical Software 22 (1996) 469-483, through SciPy) therefore gives
lengths with no use of the formulas under test. The open-belt formula is in every handbook of
machine elements; its printed cases here are recomputed, not copied from one.

The pin-change values with three decimals (0.127, 0.107, 0.098, 0.084 in for centreline perimeters
of 2, 2 1/2, 3 and 5 in, both ends together, 1/4 to 3/8 in pins, and 0.071 in for a bare ring) were
worked out apart from this program for a leg "about 0.1 in" thick; no source. Exactly 0.100 in
gives 0.0975 for the third; all four follow from 0.1017 in, the rigid diameter of 24 strands of
0.018 in.
"""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.spatial import ConvexHull

from strandwright.geometry.belt import belt_length, centre_distance
from strandwright.geometry.eye import fit_eye, outside_offset
from strandwright.geometry.packing import enclosing_ratio

POINTS = 8192
"""Points to a circle: the polygon is short by pi^2/6/POINTS^2 = 2.5e-8 of the arc."""


def circle(x: float, radius: float) -> np.ndarray:
    """Points of a circle on the axis."""
    angle = 2 * np.pi * np.arange(POINTS) / POINTS
    return np.stack([x + radius * np.cos(angle), radius * np.sin(angle)], axis=1)


def girth(*shapes: np.ndarray) -> float:
    """Length of the taut string round all the shapes (SciPy calls it area in the plane)."""
    return float(ConvexHull(np.concatenate(shapes)).area)


def throat_by_hull(perimeter: float, rho: float, h: float) -> float:
    """Throat distance at which the taut outline, less the open throat, has the perimeter."""

    def excess(x: float) -> float:
        return girth(circle(0.0, rho), np.array([[x, h], [x, -h]])) - 2 * h - perimeter

    return float(brentq(excess, np.sqrt(rho**2 - h**2), perimeter, xtol=1e-13))  # pyright: ignore[reportArgumentType]


@pytest.mark.parametrize(
    ("c", "d1", "d2", "printed"),
    [
        (1500.0, 9.525 + 0.4572, 9.525 + 0.4572, "3031.360006"),
        (1500.0, 6.35 + 0.4572, 6.35 + 0.4572, "3021.385450"),
        (1500.0, 9.525, 6.35, "3024.938072"),
        (500.0, 12.7, 6.35, "1029.943831"),
    ],
)
def test_belts(record, c: float, d1: float, d2: float, printed: str) -> None:
    """Belts in mm agree with the recomputed digits and with the hull; the inverse comes back."""
    length = float(belt_length(c, d1 / 2, d2 / 2))
    record("Open belt on two posts, recomputed", f"{c:g} between centres, {d1:g} and {d2:g} across",
           printed, length, 5e-7, "half the last digit", "mm")  # fmt: skip
    hull = girth(circle(0.0, d1 / 2), circle(c, d2 / 2))
    assert length == pytest.approx(hull, abs=2e-6)  # 2.5e-8 of 40 mm of arc
    assert float(centre_distance(length, d1 / 2, d2 / 2)) == pytest.approx(c, abs=1e-9)


def test_near_posts_of_very_different_size() -> None:
    """The formula holds far from the nearly parallel belt of a long jig."""
    hull = girth(circle(0.0, 5.0), circle(4.5, 1.0))
    assert float(belt_length(4.5, 5.0, 1.0)) == pytest.approx(hull, rel=5e-8)


@pytest.mark.parametrize("h", [0.0, 0.05, 0.12])
@pytest.mark.parametrize("pin", [0.25, 0.375])
@pytest.mark.parametrize("perimeter", [1.6, 2.0, 2.5, 3.0, 5.0])
def test_eyes_against_the_hull(perimeter: float, pin: float, h: float) -> None:
    """Throat distances in inches; 2.5e-8 of the arc, divided by the cosine of the half angle."""
    fit = fit_eye(perimeter, 0.1, pin, h)
    hull = throat_by_hull(perimeter, (pin + 0.1) / 2, h)
    assert float(fit.throat_distance) == pytest.approx(hull, abs=2e-7)


@pytest.mark.parametrize(
    ("perimeter", "printed"), [(2.0, "0.127"), (2.5, "0.107"), (3.0, "0.098"), (5.0, "0.084")]
)
def test_a_change_of_pins_reads_shorter(record, perimeter: float, printed: str) -> None:
    """Inches over both ends, 1/4 to 3/8 in pins: all printed digits, and the hull's."""
    leg = 0.018 * enclosing_ratio(24)
    change = 2 * (outside_offset(perimeter, leg, 0.25) - outside_offset(perimeter, leg, 0.375))
    record("Both ends from 1/4 to 3/8 in pins, leg of 0.1017 in: reads shorter",
           f"perimeter {perimeter:g} in", printed, float(change), 5e-4, "half the last digit",
           "in")  # fmt: skip
    near, far = (throat_by_hull(perimeter, (pin + leg) / 2, 0.0) for pin in (0.375, 0.25))
    assert float(change) == pytest.approx(2 * (far - near) - 0.125, abs=1e-6)


def test_a_round_tenth_of_an_inch_is_close(record) -> None:
    """With a leg of 0.100 in the printed set is met within 0.0006 in."""
    perimeter = np.array([2.0, 2.5, 3.0, 5.0])
    change = 2 * (outside_offset(perimeter, 0.1, 0.25) - outside_offset(perimeter, 0.1, 0.375))
    printed = ("0.127", "0.107", "0.098", "0.084")
    for around, ours, digits in zip(perimeter, change, printed, strict=True):
        record("The same with a leg of 0.100 in", f"perimeter {around:g} in", digits, float(ours),
               6e-4, "half the last digit, and the leg is told of as about 0.1 in",
               "in")  # fmt: skip


def test_a_bare_ring_on_changed_pins(record) -> None:
    """A ring of 60 in on 3/8 in posts, moved to 1/4 in pins, reads 0.071 in longer."""
    ring = belt_length(60.0 - 0.375, 0.1925, 0.1925)
    reading = centre_distance(ring, 0.13, 0.13) + 0.25
    record("Bare ring of 60 in from 3/8 in posts to 1/4 in pins", "reads longer", "0.071",
           float(reading) - 60.0, 5e-4, "half the last digit", "in")  # fmt: skip
