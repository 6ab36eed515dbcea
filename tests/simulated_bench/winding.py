"""Winding in the simulated world: strand by strand, on posts with play that lean."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from simulated_bench.world import Random, Truth

Array = NDArray[np.float64]
#: Load by which most of the play is out [N]
PLAY_LOAD = 60.0


def give(truth: Truth, load: float) -> float:
    """How far two posts come together under a load: the play first, then the lean of both [m]."""
    return truth["play"] * (1.0 - math.exp(-load / PLAY_LOAD)) + 2.0 * load / truth["post"]


def strand_diameter(truth: Truth) -> float:
    """Diameter of one strand as it lies on the posts [m]."""
    return math.sqrt(4.0 * truth["tex"] / (truth.fibre.density * math.pi * truth["packing"]))


def offsets(truth: Truth, passes: int) -> Array:
    """Distance of each pass's centre from the post's surface, layer upon layer [m]."""
    in_layer = max(passes / (2.0 * truth["layers"]), 1.0)
    layer = np.floor((np.arange(passes) // 2) / in_layer)
    return strand_diameter(truth) * (0.5 + 0.85 * layer)


def paths(centres: float, post: float, offset: Array) -> Array:
    """Way of each pass from the middle of one post's back to that of the other [m]."""
    return centres + math.pi * (0.5 * post + offset)


def wind_strands(
    truth: Truth, random: Random, centres: float, post: float, stiffness: Array
) -> Array:
    """Wind: natural length of each pass, by the drag it was laid with and where the posts stood.

    ``centres`` is the true centre distance of the empty posts [m], ``stiffness`` the EA of each
    strand [N]; the answer is in the order of laying [m].
    """
    passes = len(stiffness)
    offset = offsets(truth, passes)
    along = np.linspace(-0.5, 0.5, passes)
    noise = random.normal(size=passes + 4)
    uneven = 0.03 * np.convolve(noise, np.ones(5) / math.sqrt(5.0), "valid")
    drag = truth["drag"] * np.exp(truth["drag_drift"] * along + uneven)
    natural = np.zeros(passes)
    stand = give(truth, drag[0])
    for j in range(passes):
        for _ in range(60):
            now = paths(centres - stand, post, offset[:j])
            pull = (stiffness[:j] * np.maximum(now / natural[:j] - 1.0, 0.0)).sum() + drag[j]
            new = give(truth, float(pull))
            if abs(new - stand) < 1e-8:
                break
            # The laid strands push back: damp the step by what they and the posts weigh.
            damping = 1.0 + 2.0 * stiffness[:j].sum() / centres / truth["post"]
            stand += (new - stand) / damping
        natural[j] = (centres - stand + math.pi * (0.5 * post + offset[j])) / (
            1.0 + drag[j] / stiffness[j]
        )
    return natural
