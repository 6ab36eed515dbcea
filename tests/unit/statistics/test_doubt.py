"""Doubt: a build that fits no other is found, and good ones are left in peace."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import chi2

from pooled_shop import LEVELS, Shop, thrown_spreads
from strandwright.statistics.doubt import (
    FEWEST,
    Doubts,
    doubts_among,
    misfit_of_new,
    misfit_within,
)
from strandwright.statistics.lesson import Lesson
from strandwright.statistics.pooling import pool_of
from strandwright.statistics.quantiles import chi_square_above
from strandwright.statistics.spreads import Spreads

BAD = 7


def spoiled(lesson: Lesson, *off: float) -> Lesson:
    """The same build with unknowns of its own off by so much."""
    value = lesson.value + lesson.slopes @ np.asarray(off)
    return Lesson(lesson.groups, lesson.slopes, value, lesson.noise)


def shop_of(seed: int, bad: float, builds: int = 20) -> tuple[Shop, dict[int, Lesson]]:
    """Twenty builds; one whose unknowns are all off by so many deviations of all levels."""
    shop = Shop(thrown_spreads(seed), seed, readings=4)
    lessons = dict(enumerate(shop.builds(builds)))
    deviation = np.sqrt(shop.spreads.variance.sum(axis=0))
    way = np.random.default_rng(seed).choice([-1.0, 1.0], deviation.size)
    lessons[BAD] = spoiled(lessons[BAD], *(bad * way * deviation))
    return shop, lessons


def doubts_of(shop: Shop, lessons: dict[int, Lesson]) -> Doubts[int]:
    """What the shop doubts."""
    return doubts_among(pool_of(shop.spreads, shop.mean, lessons.values()), lessons)


def test_a_bad_build_is_found_and_good_ones_are_not():
    """Of a hundred shops of twenty builds, 95 find the bad one; 2 or fewer doubt a good one."""
    found = good = 0
    for seed in range(100):
        doubted = {d.name for d in doubts_of(*shop_of(seed, 8.0)).doubted}
        found += BAD in doubted
        good += bool(doubted - {BAD})
    assert found >= 95
    assert good <= 2


def test_shops_of_good_builds_are_left_in_peace():
    """Two hundred shops without a bad build: one in a hundred doubts one, give or take."""
    doubting = sum(bool(doubts_of(*shop_of(seed, 0.0)).doubted) for seed in range(1000, 1200))
    assert doubting <= 6


def test_the_bad_one_does_not_put_its_neighbours_in_doubt():
    """All of one lot, one of them far off: it alone is doubted, whatever it did to the lot."""
    shop = Shop(thrown_spreads(3), 3, lots=1, readings=4, noise=0.05)
    lessons = dict(enumerate(shop.builds(12)))
    lessons[BAD] = spoiled(lessons[BAD], 40.0, 40.0, 40.0, 40.0)
    assert [d.name for d in doubts_of(shop, lessons).doubted] == [BAD]


def test_of_two_that_differ_alone_in_their_lot_either_may_be_the_one():
    """Far apart, and no third build of that lot: the doubt names both."""
    variance = np.full((len(LEVELS), 4), 0.01)
    variance[LEVELS.index("lot")] = 100.0
    shop = Shop(Spreads(LEVELS, ("a", "b", "c", "d"), variance), 5, readings=4, noise=0.01)
    rest = [shop.build((("lot", "old"),)) for _ in range(8)]
    twins = [shop.build((("lot", "new"),)) for _ in range(2)]
    twins[1] = spoiled(twins[1], 2.0, 2.0, 2.0, 2.0)
    (doubt, *more) = doubts_of(shop, dict(enumerate([*rest, *twins]))).doubted
    assert not more
    assert {doubt.name, *doubt.or_else} == {8, 9}


def test_few_builds_doubt_nobody():
    """Four builds do not tell which is the odd one."""
    shop, lessons = shop_of(1, 30.0)
    few = {name: lessons[name] for name in (BAD, *range(FEWEST - 2))}
    assert doubts_of(shop, few).doubted == ()
    more = few | {11: lessons[11]}
    assert [d.name for d in doubts_of(shop, more).doubted] == [BAD]


def test_where_many_do_not_fit_the_spreads_are_in_doubt():
    """Every second build from a wider world: said as many, and the search ends."""
    shop, lessons = shop_of(2, 0.0)
    wide = {
        name: spoiled(lesson, *(10.0 * (1 + name) * (-1.0) ** name * np.ones(4)))
        for name, lesson in lessons.items()
        if name % 2
    }
    found = doubts_of(shop, lessons | wide)
    assert found.are_many
    assert len(found.doubted) == 6
    assert not doubts_of(shop, lessons).are_many


def test_it_says_which_unknown_would_explain_it():
    """One unknown far off: that one alone would take nearly all of the misfit away."""
    shop, lessons = shop_of(4, 0.0)
    lessons[BAD] = spoiled(lessons[BAD], 0.0, 0.0, 25.0, 0.0)
    (doubt,) = doubts_of(shop, lessons).doubted
    assert int(np.argmax(doubt.misfit.explains)) == 2
    assert doubt.misfit.explains[2] > 0.9
    assert doubt.misfit.chance < 1e-6


def test_a_build_is_held_to_the_others_whether_it_is_in_the_pool_or_not():
    """Out of the pool and in it: one answer."""
    shop, lessons = shop_of(6, 3.0)
    pool = pool_of(shop.spreads, shop.mean, lessons.values())
    rest = [lesson for name, lesson in lessons.items() if name != BAD]
    within = misfit_within(pool, lessons[BAD])
    without = misfit_of_new(pool_of(shop.spreads, shop.mean, rest), lessons[BAD])
    assert within.square == pytest.approx(without.square, rel=1e-9)
    assert within.degrees == without.degrees == 4


@pytest.mark.parametrize("degrees", [1, 2, 5, 8, 30])
def test_upper_tails_are_fine_however_small(degrees):
    """Beside a statistics library, down to one in 1e60."""
    for value in (0.0, 0.3, 1.0, 8.0, 40.0, 280.0):
        expected = chi2.sf(value, degrees)
        assert chi_square_above(value, degrees) == pytest.approx(expected, rel=1e-10)
