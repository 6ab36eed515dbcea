"""Bundles from their strand counts."""

from __future__ import annotations

import numpy as np
import pytest

from strandwright.errors import InputError
from strandwright.fibre.bundle import bundle_diameter
from strandwright.fibre.laid.bundle import LaidBundles
from strandwright.fibre.laid.equilibrium import held_ends
from strandwright.fibre.laid.make_up import bundles_of
from strandwright.fibre.laid.strength import laid_breaking_load

SINGLE = float(bundle_diameter(1, 2.5e-4, 1380.0, 0.7)) / 2.0


def made(*counts: int, grip: float = 0.0) -> LaidBundles:
    """Give bundles of polyester strands."""
    return bundles_of(counts, SINGLE, 2000.0, 1.3, 0.1, 1.0, grip)


def test_a_bundle_is_as_thick_as_its_strands_pack() -> None:
    """Radius as the bundle's own formula has it; stiffness of the rod it would be if glued."""
    rope = made(7, 7, grip=1.0)
    diameter = float(bundle_diameter(7, 2.5e-4, 1380.0, 0.7))
    assert float(rope.radius) == pytest.approx(0.5 * diameter, rel=1e-14)
    assert rope.strands.count == 7
    rod = 7 * 2000.0 * 1.3 * float(rope.radius) ** 2 / 4.0
    assert float(rope.bending) == pytest.approx(rod, rel=1e-14)
    assert float(rope.torsion) == pytest.approx(2.0 * 0.05 * rod, rel=1e-14)


@pytest.mark.parametrize("counts", [(7, 8), (6, 7), (5, 5, 6)])
def test_uneven_bundles_have_the_strands_of_both(counts: tuple[int, ...]) -> None:
    """Breaking load without turns is that of all strands; length lies between the even ropes."""
    rope = made(*counts)
    whole = sum(counts) * 2000.0 * 0.1
    assert float(laid_breaking_load(0.0, 0.0, rope)) == pytest.approx(whole, rel=1e-12)
    few, many = (made(*(n,) * len(counts)) for n in (min(counts), max(counts)))
    lengths = [float(held_ends(250.0, 1.5, 30.0, 0.0, b).value.length) for b in (many, rope, few)]
    assert lengths == sorted(lengths)
    assert lengths[0] < lengths[1] < lengths[2]


def test_a_batch_of_strands_is_a_batch_of_bundles() -> None:
    """Stiffness as a batch, all else single."""
    rope = bundles_of((7, 7), SINGLE, np.array([1900.0, 2000.0]), 1.3, 0.1, 1.0)
    held = held_ends(250.0, 1.5, 30.0, -60.0, rope).raise_for_failure().value
    alone = held_ends(250.0, 1.5, 30.0, -60.0, made(7, 7)).value
    assert held.length.shape == (2,)
    assert float(held.length[1]) == pytest.approx(float(alone.length), rel=1e-13)


@pytest.mark.parametrize(
    ("counts", "rule"),
    [((7,), "2 or 3 bundles"), ((4, 4, 4, 4), "2 or 3 bundles"), ((0, 1), "1 or more"),
     ((6, 8), "differ by 1 at most")],
)  # fmt: skip
def test_what_the_model_does_not_hold_for_is_refused(counts: tuple[int, ...], rule: str) -> None:
    """One, four, empty and very uneven."""
    with pytest.raises(InputError, match=rule):
        made(*counts)
