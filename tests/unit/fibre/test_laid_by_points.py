"""A laid rope followed strand by strand along its points, beside the model.

The other computation shares nothing with the model but the strands' law: it looks for the helix
radius at which the bundles touch, lays every strand as a curve through space, measures it, and
finds the length at which the energy less the work is least.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq, minimize

from strandwright.fibre.laid.equilibrium import held_ends
from strandwright.fibre.laid.make_up import bundles_of

SINGLE, STIFFNESS, NATURAL = 0.00026, 2000.0, 0.3
STRANDS = 7


def helix_radius(count: int, radius: float, pitch: float) -> float:
    """Look for the radius at which neighbouring centrelines come within two bundle radii."""
    step = 2.0 * np.pi / count
    angle = np.linspace(-step, 0.5 * step, 4_001)

    def gap(helix: float) -> float:
        across = 2.0 * helix**2 * (1.0 - np.cos(angle + step))
        return float(np.sqrt((across + (pitch * angle / 2.0 / np.pi) ** 2).min())) - 2.0 * radius

    root = brentq(gap, 0.9 * radius, 2.0 * radius, xtol=1e-11)
    assert isinstance(root, float)
    return root


def strand_lengths(count: int, length: float, lay: float, hand: float, radii: np.ndarray):
    """Measure the strands of one bundle along their points, each on both sides of its axis.

    A strand's radius stands for filaments all round the axis, so no side of the bundle is heavier.
    """
    helix = helix_radius(count, SINGLE * np.sqrt(STRANDS), length / lay)
    angle = np.arctan(2.0 * np.pi * helix * lay / length)
    part = np.linspace(0.0, 1.0, 3_001)
    around = 2.0 * np.pi * lay * part
    sides = np.concatenate([np.arange(STRANDS) / STRANDS, np.arange(STRANDS) / STRANDS + 0.5])
    # Against the frame of the helix, which turns with it, a strand has the turns by hand alone.
    phase = 2.0 * np.pi * (hand * part + sides[:, None])
    out = np.stack([np.cos(around), np.sin(around), np.zeros_like(around)])
    beside = np.stack([np.cos(angle) * np.sin(around), -np.cos(angle) * np.cos(around),
                       np.full_like(around, np.sin(angle))])  # fmt: skip
    centre = helix * out + np.stack([0.0 * part, 0.0 * part, length * part])
    across = -np.cos(phase) * out[:, None] + np.sin(phase) * beside[:, None]
    points = centre[:, None] + np.tile(radii, 2)[:, None] * across
    return np.linalg.norm(np.diff(points), axis=0).sum(axis=-1)


@pytest.mark.parametrize("count", [2, 3])
@pytest.mark.parametrize(("lay", "hand"), [(8.0, 0.0), (8.0, -24.0), (12.0, 10.0), (16.0, -30.0)])
def test_length_of_a_rope_whose_strands_share(count: int, lay: float, hand: float) -> None:
    """To 2e-5 of the length; what is left out is the bend of the bundles."""
    load = 150.0
    rope = bundles_of((STRANDS,) * count, SINGLE, STIFFNESS, 1.0, 0.1, 1.0)
    radii = float(rope.radius) * rope.strands.radii

    def potential(length: np.ndarray) -> float:
        paths = strand_lengths(count, float(length[0]), lay, hand, radii)
        strain = max(float(paths.mean()) / NATURAL - 1.0, 0.0)
        return 0.5 * STIFFNESS * strain**2 * NATURAL * STRANDS * count - load * float(length[0])

    held = held_ends(load, NATURAL, lay, hand, rope).raise_for_failure().value
    near = float(held.length)
    simplex = {"initial_simplex": [[0.99 * near], [1.01 * near]], "xatol": 3e-7, "fatol": 1e-9}
    least = minimize(potential, [near], method="Nelder-Mead", options=simplex)
    assert near == pytest.approx(float(least.x[0]), rel=2e-5)
