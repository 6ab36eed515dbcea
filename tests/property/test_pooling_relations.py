"""Pooling: relations that hold for every shop, and calibration of what it says."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.stats import chi2

from pooled_shop import LEVELS, Shop, dense_prior, thrown_spreads
from strandwright.statistics.lesson import Lesson
from strandwright.statistics.pooling import Pool, pool_of
from strandwright.statistics.spreads import Spreads

SEEDS = st.integers(0, 2**32 - 1)


@st.composite
def shops(draw: st.DrawFn) -> Shop:
    """A shop with spreads, groups, readings and noise of its own."""
    seed = draw(SEEDS)
    return Shop(
        thrown_spreads(seed, draw(st.integers(1, 6))),
        seed,
        lots=draw(st.integers(1, 8)),
        readings=draw(st.integers(1, 5)),
        noise=10.0 ** draw(st.integers(-3, 1)),
    )


def one_by_one(shop: Shop, lessons: list[Lesson]) -> Pool:
    """The pool, learned build by build."""
    pool = pool_of(shop.spreads, shop.mean)
    for lesson in lessons:
        pool = pool.with_build(lesson)
    return pool


def alike(first: Pool, second: Pool, groups: tuple[tuple[str, str], ...]) -> None:
    """Hold two pools' priors together, to 1e-9 of their largest number."""
    for one, other in zip(first.prior_for(groups), second.prior_for(groups), strict=True):
        assert one == pytest.approx(other, rel=1e-9, abs=1e-9 * np.abs(other).max())


@given(shops(), st.integers(1, 12), st.randoms(use_true_random=False))
def test_the_order_of_builds_does_not_matter(shop, count, random):
    """Any order, one by one or from scratch: the same prior for old and new groups."""
    lessons = shop.builds(count)
    shuffled = random.sample(lessons, count)
    step, scratch = one_by_one(shop, shuffled), pool_of(shop.spreads, shop.mean, lessons)
    assert step.counts == scratch.counts
    for groups in (lessons[0].groups, (("lot", "new"),), ()):
        alike(step, scratch, groups)


@given(shops(), st.integers(1, 10))
def test_a_pool_is_generalised_least_squares(shop, count):
    """All readings in one matrix, solved by other code, say the same."""
    lessons = shop.builds(count)
    pool = pool_of(shop.spreads, shop.mean, lessons)
    groups = shop.groups()
    mean, covariance = pool.prior_for(groups)
    dense_mean, dense = dense_prior(shop.spreads, shop.mean, lessons, groups)
    # the dense covariance is a difference, and the finest noise is 1e-6 of what it is taken from
    assert mean == pytest.approx(dense_mean, abs=1e-7 * (1.0 + np.abs(dense_mean).max()))
    assert covariance == pytest.approx(dense, abs=1e-7 * dense.max())


@given(shops(), st.integers(0, 8))
def test_one_build_more_never_raises_a_variance(shop, count):
    """No sum of unknowns of any build is known worse afterwards."""
    pool = pool_of(shop.spreads, shop.mean, shop.builds(count))
    new = shop.build()
    for groups in (new.groups, shop.groups(), (("lot", "new"),)):
        before, after = pool.prior_for(groups)[1], pool.with_build(new).prior_for(groups)[1]
        assert np.linalg.eigvalsh(before - after).min() >= -1e-10 * before.max()


@given(shops())
def test_without_builds_the_prior_stands(shop):
    """No data: the start, and all levels' variances added up."""
    mean, covariance = pool_of(shop.spreads, shop.mean).prior_for(shop.groups())
    assert np.array_equal(mean, shop.mean)
    assert covariance == pytest.approx(np.diag(shop.spreads.variance.sum(axis=0)))


@given(shops(), st.integers(1, 8), st.data())
def test_a_parameter_nobody_reads_stays_as_it_was(shop, count, data):
    """Slopes of zero tell nothing of it, and tie nothing to it."""
    silent = data.draw(st.integers(0, shop.mean.size - 1))
    lessons = []
    for lesson in shop.builds(count):
        slopes = lesson.slopes.copy()
        slopes[:, silent] = 0.0
        lessons.append(Lesson(lesson.groups, slopes, lesson.value, lesson.noise))
    pool = pool_of(shop.spreads, shop.mean, lessons)
    mean, covariance = pool.prior_for(lessons[0].groups)
    expected = np.zeros(shop.mean.size)
    expected[silent] = shop.spreads.variance[:, silent].sum()
    assert mean[silent] == shop.mean[silent]
    assert covariance[silent] == pytest.approx(expected, rel=1e-12, abs=1e-14)


@given(shops(), st.integers(1, 8), st.sampled_from(LEVELS[1:-1]))
def test_a_new_key_starts_from_the_shop(shop, count, level):
    """Its effect is its level's prior; its build is as one that leaves that level out."""
    pool = pool_of(shop.spreads, shop.mean, shop.builds(count))
    mean, covariance = pool.effect(level, "new")
    assert not mean.any()
    assert np.array_equal(covariance, np.diag(shop.spreads.variance[LEVELS.index(level)]))
    for one, other in zip(pool.prior_for(((level, "new"),)), pool.prior_for(()), strict=True):
        assert np.array_equal(one, other)


@given(shops(), st.integers(1, 6))
def test_one_lot_is_shop_and_lot_together(shop, count):
    """With one lot only, its variance might as well be the shop's: same prior for its builds."""
    lessons = [shop.build((("lot", "only"),)) for _ in range(count)]
    parted = pool_of(shop.spreads, shop.mean, lessons)
    variance = shop.spreads.variance.copy()
    variance[0] += variance[LEVELS.index("lot")]
    variance[LEVELS.index("lot")] = 0.0
    merged = pool_of(Spreads(LEVELS, shop.spreads.names, variance), shop.mean, lessons)
    alike(parted, merged, (("lot", "only"),))


@given(SEEDS, st.integers(1, 4))
def test_a_lot_read_without_end_has_its_own_mean(seed, size):
    """Very many builds of one lot: its mean is theirs, whatever the shop's other lots say."""
    names = tuple(f"x{i}" for i in range(size))
    spreads = Spreads(("shop", "lot", "build"), names, np.full((3, size), 0.5))
    random = np.random.default_rng(seed)
    own = random.normal(size=size)
    # the mean of 10^9 builds, told at once
    many = Lesson((("lot", "a"),), np.eye(size), own, 1e-9 * np.eye(size))
    others = [
        Lesson((("lot", key),), np.eye(size), random.normal(size=size) + 5.0, np.eye(size))
        for key in "bcd"
    ]
    without_own = spreads.variance * np.array([[1.0], [1.0], [0.0]])
    quiet = Spreads(spreads.levels, names, without_own)
    pool = pool_of(quiet, np.zeros(size), [many, *others])
    mean, covariance = pool.prior_for((("lot", "a"),))
    assert mean == pytest.approx(own, abs=1e-7)
    assert np.diagonal(covariance) == pytest.approx(1e-9, rel=1e-6)


def unevenness(shops_thrown: int, width: float = 1.0) -> float:
    """Chi-square over 19 degrees of ranks in twenty bins, draws being made so much wider."""
    counts = np.bincount(ranks(shops_thrown, width) // 5, minlength=20)
    expected = counts.sum() / 20.0
    assert counts.sum() > 0.8 * shops_thrown
    return float(((counts - expected) ** 2).sum() / expected)


def ranks(shops_thrown: int, width: float) -> NDArray[np.intp]:
    """Where true effects and unknowns stand among draws of what the pool says of them.

    Simulation-based calibration: effects from the prior, builds from the effects, the pool from
    the builds. One number a shop, so that ranks are independent: an effect of one level or one
    unknown of a new build, in turn.
    """
    found: list[int] = []
    for seed in range(shops_thrown):
        random = np.random.default_rng(10_000 + seed)
        shop = Shop(thrown_spreads(seed, 3), seed, lots=4, readings=2, noise=0.3)
        lessons = shop.builds(8)
        pool = pool_of(shop.spreads, shop.mean, lessons)
        known = (("shop", ""), *lessons[0].groups)
        if seed % 2:
            level, key = known[seed // 2 % len(known)]
            truth, (mean, covariance) = shop.effect(level, key), pool.effect(level, key)
        else:
            groups = shop.groups() if seed % 4 else (*lessons[0].groups[:2], ("lot", "new"))
            truth, (mean, covariance) = thrown_build(shop, groups, random), pool.prior_for(groups)
        open_still = np.flatnonzero(np.diagonal(covariance) > 0.0)
        if open_still.size:
            place = int(random.choice(open_still))
            draws = random.normal(mean[place], width * np.sqrt(covariance[place, place]), 99)
            found.append(int((draws < truth[place]).sum()))
    return np.array(found)


def thrown_build(
    shop: Shop, groups: tuple[tuple[str, str], ...], random: np.random.Generator
) -> NDArray[np.float64]:
    """Give the true unknowns of a new build; a level left out is thrown for it alone."""
    left = set(LEVELS) - {level for level, _ in groups} - {"shop"}
    rows = [level in left for level in LEVELS]
    own = np.sqrt(shop.spreads.variance[rows].sum(axis=0)) * random.normal(size=shop.mean.size)
    return own + sum(shop.effect(level, key) for level, key in (("shop", ""), *groups))


def test_what_a_pool_says_is_calibrated():
    """Ranks over two thousand shops fall evenly into twenty bins: chi-square, one in a thousand."""
    assert unevenness(2000) < chi2.ppf(0.999, 19)


def test_a_pool_a_fifth_too_sure_would_show():
    """Half as many shops are enough to see deviations that are a fifth too small."""
    assert unevenness(1000, 0.8) > chi2.ppf(0.999, 19)
