"""Strands of a twisted bundle in the simulated world: each at its own place, pulling only."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from simulated_bench.world import Random, Truth

Array = NDArray[np.float64]


def places(truth: Truth, random: Random, count: int) -> Array:
    """Radius of each strand's helix over the bundle's, in the order of laying [-].

    Evenly filled rings, jittered, scaled to the world's second moment; where a strand comes to
    lie has nothing to do with when it was wound.
    """
    square = (np.arange(count) + random.uniform(0.2, 0.8, size=count)) / count
    square *= truth["second_moment"] / square.mean()
    return np.sqrt(random.permutation(square))


def pull_of(truth: Truth, strain: Array, stiffness: Array) -> Array:
    """Tension of strands at a strain: bent, through the break point, none when slack [N]."""
    bend, e = truth["bend"], np.maximum(strain, 0.0)
    return stiffness * e * (1.0 + bend * (1.0 - e / truth.fibre.break_strain))


def stretched(
    truth: Truth,
    load: float,
    rates: Array,
    radii: Array,
    place: Array,
    unevenness: Array,
    stiffness: Array,
) -> Array:
    """Length under load over mean natural length, for each kind of segment.

    ``rates`` are turns over natural length [turn/m] and ``radii`` the bundle's radius [m], shape
    (kinds,); ``place``, ``unevenness`` (natural length over the mean) and ``stiffness`` are of
    each strand, shape (n,). Strands are fixed in place but for their migration.
    """  # fmt: skip
    lean = np.square(2.0 * np.pi * rates[:, None] * radii[:, None] * place)
    mix = truth["migration"]

    def miss(length: Array) -> Array:
        path = np.sqrt(1.0 + lean / np.square(length)[:, None])
        way = (1.0 - mix) * path + mix * path.mean(axis=1, keepdims=True)
        strain = length[:, None] * way / unevenness - 1.0
        return (pull_of(truth, strain, stiffness) / path).sum(axis=1) - load

    straight = 1.0 + load / stiffness.sum()
    first = straight / np.sqrt(1.0 + lean.mean(axis=1))
    before, here = first, first - 1e-4
    wrong = miss(before)
    for _ in range(40):
        now = miss(here)
        slope = (now - wrong) / np.where(here == before, np.inf, here - before)
        slope = np.where(slope <= 0.0, stiffness.sum(), slope)
        before, wrong = here, now
        step = np.clip(now / slope, -2e-3, 2e-3)
        here = here - step
        if np.abs(step).max() < 1e-10:
            break
    return here
