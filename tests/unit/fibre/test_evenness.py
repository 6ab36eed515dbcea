"""How unequal strands share a load."""

import numpy as np
import pytest
from scipy.optimize import brentq

from strandwright.fibre.evenness import capstan_ratio, share_load, tension_deviation, wound_lengths


def test_two_strands_by_hand() -> None:
    """A strand 10 % longer hangs slack until the short one is drawn out to it."""
    shared = share_load([1.0, 1.1], 1e4, 100.0)
    np.testing.assert_allclose(shared.tensions, [100.0, 0.0])
    assert float(shared.length) == pytest.approx(1.01)
    assert int(shared.slack_count) == 1
    assert float(shared.greatest) == pytest.approx(2.0)


@pytest.mark.parametrize("load", [0.1, 30.0, 445.0, 2000.0])
def test_against_brent(load: float) -> None:
    """Tensions of random strands, with and without slack, against a scalar root."""
    natural = np.random.default_rng(3).normal(1.5, 0.002, 24)

    def miss(x: float) -> float:
        return float(12360.0 * np.maximum(x / natural - 1, 0.0).sum()) - load

    shared = share_load(natural, 12360.0, load)
    assert float(shared.length) == pytest.approx(brentq(miss, 1.4, 1.7, xtol=1e-14), abs=1e-12)
    assert float(shared.tensions.sum()) == pytest.approx(load, rel=1e-9)


def test_a_batch_keeps_the_order_given() -> None:
    """Rows are cases; each strand's tension stays in its column."""
    natural = np.array([[1.0, 1.001, 1.002], [1.002, 1.001, 1.0]])
    shared = share_load(natural, np.array([1e4, 1e4]), np.array([60.0, 60.0]))
    np.testing.assert_allclose(shared.tensions[0], shared.tensions[1][::-1])
    assert shared.tensions[0, 0] > shared.tensions[0, 2]


def test_small_deviations_are_the_straight_rule() -> None:
    """The closed rule is the slope of the exact sharing."""
    natural = wound_lengths(1.5, 1e-6, 24)
    shared = share_load(natural, 12360.0, 445.0)
    rule = tension_deviation(natural - natural.mean(), 1.5, 12360.0, 445.0 / 24)
    np.testing.assert_allclose(shared.tensions / (445.0 / 24) - 1, rule, rtol=2e-3, atol=1e-9)


def test_wound_lengths_span_the_spread() -> None:
    """From the longest, laid first, to the shortest; the mean is kept; one strand has none."""
    lengths = wound_lengths(np.array([1.5, 2.0]), np.array([0.002, 0.0]), 24)
    np.testing.assert_allclose(lengths.mean(axis=1), [1.5, 2.0])
    assert lengths[0, 0] - lengths[0, -1] == pytest.approx(0.003)
    assert wound_lengths(1.5, 0.01, 1).tolist() == [1.5]


def test_no_friction_no_difference() -> None:
    """Without friction or contact the two sides of a post pull alike."""
    assert capstan_ratio(0.0, np.pi) == 1.0
    assert capstan_ratio(0.1, 0.0) == 1.0
