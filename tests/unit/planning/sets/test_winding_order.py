"""The order of winding, held against every order there is."""

from __future__ import annotations

import itertools

import pytest

from line_sets import changed_plan, ridge_plans, twin_of
from strandwright.planning.sets.winding_order import Stop, order_on, winding_orders

SET, CHANGE = 240.0, 120.0


def stop(job, setting, first, last, length=1.0):
    """Give a line by its setting and colours."""
    spools = [("f", "", colour, "#000000") for colour in (first, last)]
    return Stop(job, 0.01 * setting, setting, spools[0], spools[1], length)


def cost(order):
    """Time and travel of an order, counted by hand."""
    pairs = list(itertools.pairwise(order))
    time = sum(SET * (a.setting != b.setting) + CHANGE * (a.last != b.first) for a, b in pairs)
    return time, sum(abs(a.posts - b.posts) for a, b in pairs)


def stops_of(*lines):
    """Give lines by their settings and colours, such as ``3rg``."""
    return [stop("abcdef"[k], int(line[0]), line[1], line[2]) for k, line in enumerate(lines)]


CASES = [
    stops_of("3rg", "1gr", "3rr", "2gg"),
    stops_of("1rr", "1gg", "1rg", "5rg"),
    stops_of("0rg", "1gb", "2br", "3rg", "4gb", "5br"),
    stops_of("7rg"),
]


@pytest.mark.parametrize("stops", CASES)
def test_no_order_costs_less_and_none_more_than_the_worst(stops):
    """By dynamic programming as by trying them all."""
    found = order_on("jig", stops)
    every = [cost(order) for order in itertools.permutations(stops)]
    best, worst = min(every), max(every)
    assert best == pytest.approx((found.time, found.travel))
    assert worst[0] - best[0] == pytest.approx(found.saves)
    assert worst[1] == pytest.approx(found.worst_travel)


@pytest.mark.parametrize("stops", CASES)
def test_the_order_they_are_given_in_changes_nothing(stops):
    """Any shuffle gives the same answer."""
    found = order_on("jig", stops)
    assert all(found == order_on("jig", order) for order in itertools.permutations(stops[:4])
               if len(stops) <= 4)  # fmt: skip
    assert found == order_on("jig", stops[::-1])


def test_of_orders_that_cost_the_same_the_longest_line_goes_first():
    """String, then upper cable, then lower: the other way round costs the same."""
    (order,) = winding_orders(ridge_plans())
    assert ("RIDGE-1", "RIDGE-2", "RIDGE-3") == order.jobs
    assert 2 == order.moves == order.spool_changes
    assert order.travel < order.worst_travel


def test_twins_are_wound_on_one_setting():
    """Two lines of one job stand at one setting, and nothing is moved between them."""
    plans = (ridge_plans()[1], twin_of(ridge_plans()[1], "RIDGE-2.2"))
    (order,) = winding_orders(plans)
    assert (("RIDGE-2", "RIDGE-2.2"),) == order.together
    assert (0, 0.0) == (order.moves, order.travel)


def test_each_bench_has_an_order_of_its_own():
    """A line on another bench is not in it."""
    plans = (*ridge_plans()[:2], changed_plan("ridge-lower-cable", bench__name="short beam"))
    orders = winding_orders(plans)
    assert ["long beam", "short beam"] == [order.bench for order in orders]
    assert ("RIDGE-3",) == orders[1].jobs
