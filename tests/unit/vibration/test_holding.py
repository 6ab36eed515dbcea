"""Friction that holds a loop on its pin, and a skein's bundles on posts that they share."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from scipy.linalg import eigh

from strandwright.vibration.ends import LoopOnPin, swings_sideways
from strandwright.vibration.holding import loosened_length, skein_bundle, sliding_slope
from strandwright.vibration.modes import modes
from strandwright.vibration.sounding_line import sounding_line

Floats = np.ndarray
LOOP = LoopOnPin(0.048, np.radians(9.0), 3.1e-3, 1.6e5)


@pytest.mark.parametrize("tension", [60.0, 450.0, 1300.0])
def test_a_loop_slides_when_its_legs_part_as_rope_friction_says(tension: float) -> None:
    """At that slope the throat has moved so far that the legs' loads are e^(mu phi) apart."""
    friction, wrapped = 0.08, np.pi + 2 * np.radians(9.0)
    slope = float(sliding_slope(LOOP, tension, friction, wrapped))
    end = swings_sideways(LOOP, tension)
    aside = tension * slope / (end.throat_spring[0] + tension / end.length[0])
    each = tension / (2 * np.cos(np.radians(9.0)))
    more = 1.6e5 / 0.048 * aside * np.sin(np.radians(9.0))
    assert (each + more) / (each - more) == pytest.approx(np.exp(friction * wrapped), rel=1e-10)
    # A swing of some millimetres on a string is far from it.
    assert slope > 4.0 * np.pi * 2e-3 / 1.45


def test_parallel_legs_never_slide() -> None:
    """Neither is stretched by what moves across."""
    flat = replace(LOOP, half_angle=0.0)
    assert np.isinf(sliding_slope(flat, 450.0, 0.1, np.pi))


def test_a_leg_works_loose_until_friction_holds_its_slope() -> None:
    """Steps of a string round a pin, each turned aside by no more than friction allows."""
    slope, radius, friction = 0.02, 6e-3, 0.1
    step, left, loose = 1e-8, slope, 0.0
    steps = 0
    while left > 0.0:
        # Load S turns by step/R into the pin, presses with S step/R, and is held by mu times that.
        left -= friction * step / radius
        loose += step
        steps += 1
    assert steps > 10_000
    assert loosened_length(-slope, radius, friction) == pytest.approx(loose, rel=1e-4)


def shared_posts(length: float, pull: float, mass: float, post: float, count: int) -> Floats:
    """Frequencies of two bundles of straight elements between two posts that bend sideways."""
    parts = 150
    h, size = length / parts, 2 + 2 * (parts - 1)
    firm, heavy = np.zeros((size, size)), np.zeros((size, size))
    for bundle in range(2):
        inner = 2 + bundle * (parts - 1)
        nodes = [0, *range(inner, inner + parts - 1), 1]
        for a, b in pairwise(nodes):
            two = np.ix_([a, b], [a, b])
            firm[two] += np.array([[1, -1], [-1, 1]]) * pull / h
            heavy[two] += np.array([[5, 1], [1, 5]]) * mass * h / 12
    firm[0, 0] += post
    firm[1, 1] += post
    squares = eigh(firm, heavy, eigvals_only=True, subset_by_index=[0, count - 1])
    return np.sqrt(squares) / (2 * np.pi)


@pytest.mark.parametrize(("post", "near"), [(2e4, 2e-5), (1e6, 5e-7)])
def test_a_skein_on_posts_that_give_has_two_pitches(post: float, near: float) -> None:
    """Together the bundles bend the posts, opposed they do not: each one as a line of its own."""
    skein = skein_bundle(1.45, 8e-3, 8e-3, post)
    load, mass = 900.0, 4.2e-3
    pull, each = load * skein.share, mass * skein.share
    own = [
        sounding_line([float(skein.length)], each, pull, end_spring=spring)
        for spring in (float(skein.together_spring), skein.opposed_spring)
    ]
    found = [modes(line, 3).raise_for_failure().value.frequency[0] for line in own]
    wanted = shared_posts(1.45, pull, each, post, 6)
    np.testing.assert_allclose(np.sort(np.concatenate(found)), wanted, rtol=near)
    assert np.all(found[0] < found[1])


def test_a_skein_round_posts_of_two_sizes() -> None:
    """Its bundles run along the tangent."""
    skein = skein_bundle(1.2, 0.02, 0.005)
    across, along = 0.015, 1.2
    assert float(skein.length) ** 2 + across**2 == pytest.approx(along**2, rel=1e-14)
    assert np.isinf(skein.together_spring)
