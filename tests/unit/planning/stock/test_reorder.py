"""When to order: the distribution of what a lead time takes, beside SciPy and simulation."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import stats

from stock_work import at
from strandwright.planning.stock.reorder import (
    Reorder,
    _by_moments,
    compound_negative_binomial,
    demand_quantile,
    reorder_of,
)
from strandwright.reference import practice

SINCE, NOW = "2025-06-01T00:00:00.000Z", "2026-01-05T00:00:00.000Z"


def test_of_single_steps_it_is_the_negative_binomial():
    """Every job takes one: the sum is the number of jobs, as SciPy has it."""
    ours = compound_negative_binomial(np.array([0.0, 1.0]), 7.5, 12.0, 64)
    theirs = stats.nbinom.pmf(np.arange(64), 7.5, 12.0 / 13.0)
    assert ours == pytest.approx(theirs, abs=1e-14)


def test_by_recursion_it_is_the_same():
    """Panjer's recursion for the same sums, one after the other, as he published it in 1981."""
    share, shape, rate = np.array([0.0, 0.1, 0.0, 0.4, 0.5]), 12.5, 2.0
    a = 1.0 / (1.0 + rate)
    b = (shape - 1.0) * a
    chances = [(1.0 - a) ** shape]
    for total in range(1, 200):
        sizes = range(1, min(total, 4) + 1)
        chances.append(sum((a + b * j / total) * share[j] * chances[total - j] for j in sizes))
    ours = compound_negative_binomial(share, shape, rate, 512)
    assert ours[:200] == pytest.approx(chances, abs=1e-14)


def test_of_several_sizes_it_is_the_sum_over_the_number():
    """Beside plain convolution: a number of jobs at a time."""
    share = np.array([0.0, 0.2, 0.5, 0.0, 0.3])
    ours = compound_negative_binomial(share, 4.5, 3.0, 256)[:60]
    theirs, powered = np.zeros(60), np.eye(1, 60)[0]
    for number in range(80):
        theirs += stats.nbinom.pmf(number, 4.5, 3.0 / 4.0) * powered
        powered = np.convolve(powered, share)[:60]
    assert ours == pytest.approx(theirs, abs=1e-13)
    mean = 4.5 / 3.0 * float(share @ np.arange(5))
    assert float(np.arange(60) @ ours) == pytest.approx(mean, rel=1e-4)


def test_it_suffices_as_often_as_it_says():
    """Of 20000 lead times made by chance, 95 in 100 take no more than the level."""
    random = np.random.default_rng(7)
    sizes = [35.0, 36.0, 71.0, 35.5, 140.0, 36.0, 72.0, 35.0]
    level = demand_quantile(sizes, 160.0, [10.0], 0.95)
    rates = random.gamma(len(sizes) + 0.5, 1.0 / 160.0, 20_000)
    numbers = random.poisson(rates * 10.0)
    taken = np.array([random.choice(sizes, n).sum() for n in numbers])
    assert 0.94 < np.mean(taken <= level + 1e-9) < 0.98
    # No lower level does: one large job less, and it is under what was asked for.
    assert np.mean(taken < level - 140.0 / 40.0) < 0.955


def test_more_service_longer_leads_and_more_jobs_need_more():
    """The level grows with each of them."""
    sizes = [35.0, 70.0, 36.0, 40.0]
    base = demand_quantile(sizes, 90.0, [10.0], 0.9)
    assert demand_quantile(sizes, 90.0, [10.0], 0.99) > base
    assert demand_quantile(sizes, 90.0, [30.0], 0.9) > base
    assert demand_quantile(sizes * 3, 90.0, [10.0], 0.9) > base


def test_where_much_is_used_moments_say_the_same():
    """Of hundreds of jobs the recursion and the normal law agree to a few per cent."""
    sizes = [35.0, 70.0, 36.0, 40.0] * 60
    exact = demand_quantile(sizes, 200.0, [20.0], 0.95)
    assert _by_moments(sizes, 200.0, [20.0], 0.95) == pytest.approx(exact, rel=0.04)


def used(day: float, length: float = 0.0, count: int = 0, **more: str) -> dict[str, Any]:
    """Make a use so many days before the fifth of January."""
    base: dict[str, Any] = {"order": "", "job": "", "why": "", **more}
    moment = np.datetime64("2026-01-05T00:00:00") - np.timedelta64(int(day * 86400), "s")
    return base | {"at": f"{moment}.000Z", "length": length, "count": count}


def test_own_use_goes_before_practice():
    """Twelve sets in seven months; uses of one order are one job."""
    uses = [used(15.0 * i, 36.0, order=f"{i}") for i in range(12)]
    uses += [used(15.0 * i, 30.0, order=f"{i}") for i in range(12)]
    found = reorder_of(uses, SINCE, NOW, full=550.0, counted=False)
    assert (found.basis, found.jobs) == ("own use", 12)
    assert found.daily == pytest.approx(12 * 66.0 / 218.0, rel=0.01)
    assert 66.0 <= found.level <= 4 * 66.0


def test_too_little_use_is_told_as_such():
    """Three jobs, or three weeks, say too little: a share of a full spool, as in the trade."""
    few = [used(15.0 * i, 36.0) for i in range(3)]
    share = practice("stock.reorder_share").value
    found = reorder_of(few, SINCE, NOW, full=550.0, counted=False)
    assert (found.basis, found.level, found.daily) == ("practice", share * 550.0, 0.0)
    fresh = [used(1.0 * i, 36.0) for i in range(9)]
    new = reorder_of(fresh, "2025-12-24T00:00:00.000Z", NOW, full=550.0, counted=False)
    assert new.basis == "practice"
    parts = reorder_of([], at(0), NOW, full=0.0, counted=True)
    assert parts.level == practice("stock.reorder_count").value


def test_small_parts_are_whole():
    """A level of parts is a whole number."""
    uses = [used(10.0 * i, count=1 + i % 2, job=f"{i}") for i in range(15)]
    found = reorder_of(uses, SINCE, NOW, full=0.0, counted=True, lead=14.0)
    assert isinstance(found, Reorder)
    assert found.level == round(found.level) >= 1


def test_use_long_ago_counts_no_more():
    """What lies more than a year back says nothing of what comes."""
    uses = [used(400.0 + i, 36.0, job=f"{i}") for i in range(20)]
    found = reorder_of(uses, "2024-01-01T00:00:00.000Z", NOW, full=550.0, counted=False)
    assert (found.basis, found.jobs) == ("practice", 0)
