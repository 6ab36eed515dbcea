"""Tally: counts that add up the same in any order."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from strandwright.errors import InputError
from strandwright.numerics.tally import Counted, Ruler, Tally

RULER = Ruler(-5.0, 5.0, 1000)


def drawn(seed: int, count: int = 5000) -> np.ndarray:
    """Normal draws."""
    return np.random.default_rng(seed).standard_normal(count)


def test_mean_and_deviation_are_those_of_the_values():
    """Rounding to grains moves neither by more than a grain."""
    values = drawn(1, 100_000) * 0.8 + 0.3
    counted = RULER.counted(values)
    assert counted.mean == pytest.approx(values.mean(), abs=RULER.grain)
    assert counted.standard_deviation == pytest.approx(values.std(ddof=1), rel=1e-6)
    assert len(values) == counted.count


@pytest.mark.parametrize("probability", [0.0, 0.005, 0.025, 0.5, 0.975, 1.0])
def test_quantiles_are_those_of_the_values_to_a_cell(probability):
    """A quantile lies within a cell of the one of the values themselves."""
    values = drawn(2, 20_000)
    ours = RULER.counted(values).quantile(probability)
    assert ours == pytest.approx(np.quantile(values, probability), abs=0.011)


def test_what_lies_beyond_is_counted_at_the_ends():
    """Values off the ruler count in share and mean; a quantile there is the ruler's end."""
    counted = RULER.counted(np.array([-7.0, -6.0, 0.0, 6.0]))
    assert 3 == counted.beyond
    assert counted.mean == pytest.approx(-1.75, abs=RULER.grain)
    assert -5.0 == counted.quantile(0.25)
    assert 5.0 == counted.quantile(1.0)


def test_what_is_no_number_is_left_out():
    """NaN and infinity count nowhere."""
    counted = RULER.counted(np.array([1.0, math.nan, math.inf]))
    assert 1 == counted.count
    assert counted.mean == pytest.approx(1.0, abs=RULER.grain)
    assert math.isnan(counted.standard_deviation)


def test_nothing_counted_has_no_mean():
    """No values, no numbers."""
    counted = RULER.counted(np.array([]))
    assert math.isnan(counted.mean) and math.isnan(counted.quantile(0.5))


def test_no_order_of_adding_shows():
    """Every order in which five batches are added gives the same, to the last bit."""
    parts = [
        Tally({"all": 100, f"only {seed}": seed}, {"x": RULER.counted(drawn(seed, 100))})
        for seed in range(5)
    ]
    whole = set()
    for order in itertools.permutations(parts):
        tally = Tally()
        for part in order:
            tally = tally.merged(part)
        counted = tally.spreads["x"]
        whole.add((tuple(tally.counts.items()), counted, counted.mean.hex(),
                   counted.standard_deviation.hex(), counted.quantile(0.3).hex()))  # fmt: skip
    assert 1 == len(whole)
    together = RULER.counted(np.concatenate([drawn(seed, 100) for seed in range(5)]))
    assert together == next(iter(whole))[1]


def test_far_values_cannot_overflow():
    """Whatever is counted, the squares stay whole numbers that are right or at their limit."""
    counted = RULER.counted(np.full(40_000, 1e30))
    assert 40_000 * (2**24) ** 2 == counted.square
    assert 0.0 == counted.standard_deviation


def test_other_rulers_are_not_added():
    """Values counted on another ruler cannot be put in."""
    with pytest.raises(InputError, match="must be the same"):
        RULER.counted(drawn(1)).merged(Ruler(-4.0, 5.0, 1000).counted(drawn(1)))


@pytest.mark.parametrize(("low", "high", "cells"), [(1.0, 1.0, 5), (0.0, math.nan, 5), (0, 1, 0)])
def test_a_ruler_without_length_is_refused(low, high, cells):
    """A ruler has a length and a cell."""
    with pytest.raises(InputError):
        Ruler(low, high, cells)


def test_a_share_past_one_is_refused():
    """Quantiles are of shares."""
    with pytest.raises(InputError, match="must be 0 to 1"):
        Counted(RULER, (0,) * 1002).quantile(1.1)
