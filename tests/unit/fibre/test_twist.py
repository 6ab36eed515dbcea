"""Twisted spans."""

import numpy as np
import pytest

from strandwright.fibre.bundle import filled_radii
from strandwright.fibre.twist import (
    StrandSet,
    area_mean_contraction,
    breaking_load,
    span_length,
    span_with_slopes,
)

RADIUS = 0.0013


def strands(share: float = 0.7, softening: float = 1.2) -> StrandSet:
    """Give 24 strands."""
    return StrandSet(
        filled_radii(24), np.array(12360.0), np.array(softening), 0.025, np.array(share)
    )


def test_contraction_series_meets_the_formula() -> None:
    """Either side of the switch to a series the values join, and none is below 1."""
    angle = np.arctan(np.sqrt(1e-4 * np.array([0.999, 1.001])))
    low, high = area_mean_contraction(angle)
    assert high - low == pytest.approx(0.25 * 1e-4 * 0.002, rel=1e-3)
    assert area_mean_contraction(0.0) == 1.0


def test_both_hands_are_alike() -> None:
    """Turns the other way give the same length and the opposite torque."""
    left, right = (span_length(400.0, 1.5, n, RADIUS, strands()) for n in (-30.0, 30.0))
    assert float(left.length) == float(right.length)
    assert float(left.torque) == -float(right.torque)


def test_a_batch_is_its_cases() -> None:
    """Many cases in one call give what each gives alone."""
    loads, turns = np.array([50.0, 445.0, 1500.0]), np.array([0.0, 30.0, 60.0])
    together = span_length(loads, 1.5, turns, RADIUS, strands())
    alone = [float(span_length(f, 1.5, n, RADIUS, strands()).length)
             for f, n in zip(loads, turns, strict=True)]  # fmt: skip
    np.testing.assert_allclose(together.length, alone, rtol=1e-13)


def test_a_heavy_twist_at_a_light_load_is_solved() -> None:
    """A softening law once threw the first step to where all strands are slack."""
    span = span_length(44.5, 1.0, 36.0, RADIUS, strands(0.5, 1.2))
    assert np.isfinite(span.length)
    assert int(span.slack_count) > 0


def test_more_than_the_law_carries_is_nan() -> None:
    """A load over the top of the curve gives NaN and no warning; the others stand."""
    span = span_length(np.array([1e6, 445.0]), 1.0, 20.0, RADIUS, strands())
    assert [True, False] == np.isnan(span.length).tolist()


def test_breaking_load_falls_with_twist() -> None:
    """Straight it is the sum of the strands; twisted less, and least with strands fixed."""
    total = 24 * 12360.0 * 0.025
    assert float(breaking_load(0.0, RADIUS, strands())) == pytest.approx(total)
    fixed, shared = (float(breaking_load(25.0, RADIUS, strands(s))) for s in (0.0, 1.0))
    assert fixed < shared < total


@pytest.mark.parametrize("share", [0.0, 0.3, 1.0])
@pytest.mark.parametrize("turns", [0.0, 8.0, 20.0, 33.0, 60.0])
def test_few_strands_stand_for_all(share: float, turns: float) -> None:
    """Taut or some of them slack, a span is that of the same strands solved one by one."""
    loads = np.array([5.0, 30.0, 120.0, 600.0, 2500.0])
    radii = filled_radii(48)
    law = (np.array(12360.0), np.array(1.2), 0.025, np.array(share))
    few = span_length(loads, 1.0, turns, 0.0018, StrandSet(radii, *law))
    # Radii told for each case are not looked through for what strands have in common.
    own = StrandSet(np.broadcast_to(radii, (len(loads), len(radii))), *law)
    whole = span_length(loads, 1.0, turns, 0.0018, own)
    np.testing.assert_allclose(few.length, whole.length, rtol=2e-12)
    np.testing.assert_allclose(few.torque, whole.torque, rtol=1e-9, atol=1e-15)


@pytest.mark.parametrize("share", [0.0, 0.6, 1.0])
@pytest.mark.parametrize("load", [40.0, 445.0])
def test_slopes_with_the_turns_are_differences(share: float, load: float) -> None:
    """Length and torsion over length by a little more turns, the load held."""
    turns, step = np.array([6.0, 17.0, 31.0]), 1e-5
    _, slopes = span_with_slopes(load, 1.0, turns, RADIUS, strands(share))
    less, more = (
        span_length(load, 1.0, turns * (1.0 + s), RADIUS, strands(share)) for s in (-step, step)
    )
    length = np.log(more.length / less.length) / (2.0 * step)
    torsion = np.log(more.torsion * less.length / (less.torsion * more.length)) / (2.0 * step)
    np.testing.assert_allclose(slopes.length, length, rtol=1e-5, atol=1e-9)
    np.testing.assert_allclose(slopes.torsion, torsion, rtol=1e-4, atol=1e-7)
