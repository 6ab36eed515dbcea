"""Doubt: relations that hold for every shop."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pooled_shop import Shop, thrown_spreads
from strandwright.statistics.doubt import doubts_among, misfit_of_new, misfit_within
from strandwright.statistics.lesson import Lesson
from strandwright.statistics.pooling import pool_of


@st.composite
def shops(draw: st.DrawFn) -> Shop:
    """A shop with spreads, groups, readings and noise of its own."""
    seed = draw(st.integers(0, 2**32 - 1))
    return Shop(
        thrown_spreads(seed, draw(st.integers(1, 6))),
        seed,
        lots=draw(st.integers(1, 8)),
        readings=draw(st.integers(1, 5)),
        noise=10.0 ** draw(st.integers(-2, 1)),
    )


@given(shops(), st.integers(1, 10), st.data())
def test_a_build_taken_away_is_a_pool_from_scratch_without_it(shop, count, data):
    """Distance, degrees and explanations, to 1e-9 of the distance."""
    lessons = shop.builds(count)
    out = data.draw(st.integers(0, count - 1))
    within = misfit_within(pool_of(shop.spreads, shop.mean, lessons), lessons[out])
    rest = pool_of(shop.spreads, shop.mean, lessons[:out] + lessons[out + 1 :])
    without = misfit_of_new(rest, lessons[out])
    assert within.square == pytest.approx(without.square, rel=1e-9, abs=1e-9)
    assert within.degrees == without.degrees
    assert within.explains * within.square == pytest.approx(
        without.explains * without.square, rel=1e-8, abs=1e-8 * (1.0 + without.square)
    )


@given(shops(), st.integers(5, 14), st.floats(0.0, 60.0), st.randoms(use_true_random=False))
def test_the_order_of_builds_does_not_matter_to_doubt(shop, count, off, random):
    """The same builds are doubted, as far as rounding leaves it open, in any order."""
    lessons = dict(enumerate(shop.builds(count)))
    bad = lessons[0]
    value = bad.value + off * bad.slopes.sum(axis=1)
    lessons[0] = Lesson(bad.groups, bad.slopes, value, bad.noise)
    shuffled = {name: lessons[name] for name in random.sample(sorted(lessons), count)}
    one, other = (
        doubts_among(pool_of(shop.spreads, shop.mean, found.values()), found)
        for found in (lessons, shuffled)
    )
    assert [d.name for d in one.doubted] == [d.name for d in other.doubted]
    squares = [[d.misfit.square for d in found.doubted] for found in (one, other)]
    assert np.allclose(*squares, rtol=1e-7)
