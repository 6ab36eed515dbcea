"""Batches: streams that hang on seed and place alone."""

from __future__ import annotations

import numpy as np
import pytest

from strandwright.errors import InputError
from strandwright.numerics.batches import Batches


def test_every_draw_is_in_one_batch():
    """Batches are whole but for the last, and hold what was asked for."""
    batches = Batches(10_001, seed=1, size=4096)
    assert 3 == batches.count
    assert [4096, 4096, 1809] == [batches.drawn_in(i) for i in range(3)]
    assert 1 == Batches(4096, 1).count


def test_a_stream_hangs_on_seed_and_index_alone():
    """The same place gives the same numbers, whoever asked for what before."""
    first = Batches(100, 7, 10).stream(4).standard_normal(10)
    again = Batches(1000, 7, 10)
    again.stream(2).standard_normal(3)
    assert np.array_equal(first, again.stream(4).standard_normal(10))


def test_streams_differ():
    """No batch has the numbers of another, nor of another seed, however large."""
    seeds = (0, 1, 2**32, 2**32 + 1, 2**62)
    begun = {
        float(Batches(1000, seed, 10).stream(i).standard_normal()) for seed in seeds
        for i in range(100)
    }  # fmt: skip
    assert 500 == len(begun)


def test_streams_of_neighbours_are_uncorrelated():
    """Normal draws of 200 batches have the mean and covariance of independent ones."""
    count = 2000
    drawn = np.stack([Batches(10**6, 3, 10).stream(i).standard_normal(count) for i in range(200)])
    correlation = np.asarray(np.corrcoef(drawn))[np.triu_indices(200, 1)]
    assert np.abs(correlation).max() < 5.5 / np.sqrt(count)
    assert correlation.std() == pytest.approx(1.0 / np.sqrt(count), rel=0.05)


@pytest.mark.parametrize(
    ("draws", "seed", "size"), [(0, 1, 10), (-1, 1, 10), (5, -1, 10), (5, 1, 0)]
)
def test_nothing_to_draw_is_refused(draws, seed, size):
    """No draws, no seed below zero, no empty batch."""
    with pytest.raises(InputError):
        Batches(draws, seed, size)


@pytest.mark.parametrize("index", [-1, 3])
def test_a_batch_that_is_not_there_is_refused(index):
    """An index past the end gives no numbers."""
    with pytest.raises(InputError, match="must be 0 to 2"):
        Batches(30, 1, 10).stream(index)
