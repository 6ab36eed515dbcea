"""Pool: effects of shop, bench, fibre, lot and builder, against one dense solution of the same."""

from __future__ import annotations

import numpy as np
import pytest

from pooled_shop import LEVELS, Shop, dense_prior, thrown_spreads
from strandwright.errors import InputError, SpecError
from strandwright.statistics.lesson import Lesson
from strandwright.statistics.pooling import Pool, pool_of
from strandwright.statistics.spreads import WHOLE, Spreads

NOBODY: tuple[tuple[str, str], ...] = ()


def one_by_one(shop: Shop, lessons: list[Lesson]) -> Pool:
    """The pool, learned build by build."""
    pool = pool_of(shop.spreads, shop.mean)
    for lesson in lessons:
        pool = pool.with_build(lesson)
    return pool


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("many", ["lot", "fibre", "shop", "none of them"])
def test_a_pool_is_generalised_least_squares(seed, many):
    """Whichever level is integrated out first, all readings in one matrix say the same."""
    table = thrown_spreads(seed)
    shop = Shop(Spreads(table.levels, table.names, table.variance, many), seed)
    lessons = [*shop.builds(12), shop.build((("bench", "bench 1"),)), shop.build(NOBODY)]
    pool = pool_of(shop.spreads, shop.mean, lessons)
    for groups in (lessons[0].groups, (("lot", "new"), ("bench", "bench 1")), NOBODY):
        mean, covariance = pool.prior_for(groups)
        dense_mean, dense = dense_prior(shop.spreads, shop.mean, lessons, groups)
        assert mean == pytest.approx(dense_mean, rel=1e-9, abs=1e-10)
        assert covariance == pytest.approx(dense, rel=1e-9, abs=1e-10)


def test_a_pool_about_a_mean_is_the_pool_about_zero_moved():
    """The mean only shifts: readings are taken less what it expects of them."""
    shop = Shop(thrown_spreads(1), 1)
    lessons, middle = shop.builds(5), np.array([3.0, -1.0, 0.5, 100.0])
    moved = [
        Lesson(one.groups, one.slopes, one.value + one.slopes @ middle, one.noise)
        for one in lessons
    ]
    about_zero = pool_of(shop.spreads, np.zeros(4), lessons).prior_for(lessons[0].groups)
    about_middle = pool_of(shop.spreads, middle, moved).prior_for(lessons[0].groups)
    assert about_middle[0] == pytest.approx(about_zero[0] + middle)
    assert about_middle[1] == pytest.approx(about_zero[1])


def test_build_by_build_is_from_scratch():
    """Sixty builds, one after the other or together: 1e-9 relative."""
    shop = Shop(thrown_spreads(5, 8), 5, lots=9, noise=0.01)
    lessons = shop.builds(60)
    step, scratch = one_by_one(shop, lessons), pool_of(shop.spreads, shop.mean, lessons[::-1])
    assert step.counts == scratch.counts
    for groups in (lessons[0].groups, lessons[7].groups, NOBODY):
        for first, second in zip(step.prior_for(groups), scratch.prior_for(groups), strict=True):
            assert first == pytest.approx(second, rel=1e-9, abs=1e-9 * np.abs(second).max())


def test_a_pool_stays_as_it_is():
    """Learning makes a new pool; the old one still says what it said."""
    shop = Shop(thrown_spreads(2), 2)
    first, second = shop.builds(2)
    pool = pool_of(shop.spreads, shop.mean, [first])
    before = pool.prior_for(second.groups)
    after = pool.with_build(second).prior_for(second.groups)
    again = pool.prior_for(second.groups)
    assert np.array_equal(before[0], again[0]) and np.array_equal(before[1], again[1])
    assert not np.array_equal(before[0], after[0])
    assert pool.count("shop", "any") == 1


def test_builds_are_counted_behind_every_group():
    """Each level and key has its builds; the shop has all that were read."""
    shop = Shop(thrown_spreads(3), 3)
    groups = (("lot", "a"), ("builder", "b"))
    silent = Lesson(groups, np.zeros((0, 4)), np.zeros(0), np.zeros((0, 0)))
    pool = pool_of(
        shop.spreads, shop.mean, [shop.build(groups), shop.build((("lot", "a"),)), silent]
    )
    assert dict(pool.counts) == {("shop", WHOLE): 2, ("lot", "a"): 2, ("builder", "b"): 1}
    assert (pool.count("lot", "a"), pool.count("lot", "z"), pool.count("shop", "ours")) == (2, 0, 2)


def test_effects_add_up_to_a_prior():
    """Mean of a prior = start + effects of its groups; a key never met adds none."""
    shop = Shop(thrown_spreads(4), 4)
    lessons = shop.builds(8)
    pool = pool_of(shop.spreads, shop.mean, lessons)
    groups = (*lessons[0].groups[:2], ("lot", "new"))
    effects = [pool.effect(level, key)[0] for level, key in (("shop", ""), *groups)]
    assert pool.prior_for(groups)[0] == pytest.approx(np.sum(effects, axis=0))


def test_the_shop_need_not_be_named():
    """One shop: named in a lesson or not, by any key, it is the same."""
    shop = Shop(thrown_spreads(6), 6)
    one = shop.build()
    named = Lesson((("shop", "ours"), *one.groups), one.slopes, one.value, one.noise)
    first = pool_of(shop.spreads, shop.mean, [one]).prior_for(one.groups)
    second = pool_of(shop.spreads, shop.mean, [named]).prior_for((("shop", "theirs"), *one.groups))
    assert np.array_equal(first[0], second[0]) and np.array_equal(first[1], second[1])


def test_what_has_no_spread_is_not_carried():
    """A level without variance costs no effects, but its builds are counted."""
    variance = np.array([[1.0, 0.0], [0.0, 0.0], [0.0, 2.0], [1.0, 1.0]])
    spreads = Spreads(("shop", "bench", "lot", "build"), ("a", "b"), variance)
    groups = (("bench", "x"), ("lot", "y"))
    pool = pool_of(spreads, [0.0, 0.0], [Lesson(groups, np.eye(2), np.ones(2), np.eye(2))])
    assert pool.stack.width == 1
    assert pool.count("bench", "x") == 1
    mean, covariance = pool.effect("bench", "x")
    assert not mean.any() and not covariance.any()
    # b: reading 1 of variance 1, own 1, lot 2; so half of the reading is the lot's
    assert pool.effect("lot", "y")[0] == pytest.approx([0.0, 0.5])
    assert pool.effect("lot", "y")[1] == pytest.approx(np.diag([0.0, 1.0]))


@pytest.mark.parametrize("level", ["build", "moon"])
def test_only_levels_of_groups_are_named(level):
    """The build itself and levels that are none are refused, in lessons and in questions."""
    shop = Shop(thrown_spreads(7), 7)
    pool = pool_of(shop.spreads, shop.mean)
    with pytest.raises(InputError, match="choose from"):
        pool.prior_for(((level, "x"),))
    lesson = Lesson(((level, "x"),), np.ones((1, 4)), np.ones(1), np.eye(1))
    with pytest.raises(InputError, match="choose from"):
        pool.with_build(lesson)


def test_other_parameters_are_refused():
    """Slopes and mean need one number for each parameter."""
    shop = Shop(thrown_spreads(8), 8)
    with pytest.raises(InputError, match="needs 4 columns"):
        pool_of(shop.spreads, shop.mean, [Lesson((), np.ones((1, 3)), np.ones(1), np.eye(1))])
    with pytest.raises(InputError, match="needs 4 numbers"):
        pool_of(shop.spreads, [0.0])


@pytest.mark.parametrize(
    ("levels", "names", "variance"),
    [
        (LEVELS, ("a",), np.ones((5, 1))),
        (("shop",), ("a",), np.ones((1, 1))),
        (("shop", "shop"), ("a",), np.ones((2, 1))),
        (("shop", "build"), ("a", "a"), np.ones((2, 2))),
        (("shop", "build"), ("a",), np.array([[1.0], [-1.0]])),
        (("shop", "build"), ("a",), np.array([[1.0], [np.inf]])),
    ],
)
def test_spreads_that_make_no_sense_are_refused(levels, names, variance):
    """Shapes, repeats and variances that are none."""
    with pytest.raises(SpecError):
        Spreads(levels, names, variance)
