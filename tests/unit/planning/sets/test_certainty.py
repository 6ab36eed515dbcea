"""How surely all lines land: common unknowns counted once."""

from __future__ import annotations

import math

import pytest

from line_sets import changed_plan, planned, ridge_plans, twin_of
from strandwright.planning.sets.certainty import doubt_of, pair_chance, set_chance
from strandwright.statistics.joint_chance import chance_jointly


def alone(plan, *, proof):
    """Give the chance of one line by its doubt."""
    doubt = doubt_of(plan, proof=proof)
    covariance = doubt.rows @ doubt.rows.T + doubt.own
    return chance_jointly([doubt.error], covariance, [doubt.tolerance], [doubt.step])


@pytest.mark.parametrize("number", [0, 1, 2])
def test_a_line_by_its_doubt_is_the_line_by_its_plan(number):
    """Parting what is unknown by whose it is changes nothing of one line."""
    plan = ridge_plans()[number]
    assert plan.landing.chance_first == pytest.approx(alone(plan, proof=False), abs=1e-3)
    assert plan.landing.chance == pytest.approx(alone(plan, proof=True), abs=1e-3)


def test_readings_that_a_job_holds_already_are_counted():
    """A line half built is as sure in the set as by its own plan."""
    plan = changed_plan(build={"wound_at": "37 3/16 in", "readings": [
        {"stage": "bare", "length": "37 5/16 in"}]})  # fmt: skip
    assert plan.landing.chance_first == pytest.approx(alone(plan, proof=False), abs=2e-3)


def test_a_set_of_one_line_is_that_line():
    """To the last digit."""
    plan = ridge_plans()[0]
    chance = set_chance((plan,))
    assert (plan.landing.chance_first, plan.landing.chance) == (chance.first, chance.after)
    assert plan.landing.chance_first == chance.alone


def test_lines_that_share_unknowns_land_together_more_often_than_by_the_product():
    """Never less than the product, never more than the least sure line."""
    chance = set_chance(ridge_plans())
    assert chance.alone == pytest.approx(math.prod(chance.each))
    assert chance.alone < chance.first <= min(chance.each) + 1e-3
    assert chance.first < chance.after
    assert chance.shared


def test_lines_of_other_fibres_on_other_benches_share_less():
    """Then the set is nearer to the product."""
    same = (ridge_plans()[0], ridge_plans()[1])
    other = changed_plan(bench__name="other", bench__drag="5 lbf +- 1", makeup__strand="hmpe")
    gains = [
        set_chance(plans).first - set_chance(plans).alone
        for plans in (same, (ridge_plans()[0], other))
    ]
    assert gains[0] > gains[1]


def test_two_cables_of_one_make_are_more_alike_than_they_are_right():
    """What is wrong in both falls out of their difference."""
    one, other = ridge_plans()[1], twin_of(ridge_plans()[1], "RIDGE-2.2")
    shared = pair_chance(one, other, 1.0 / 32.0 * 0.0254)
    apart = changed_plan(id="OTHER", bench__name="other", makeup__strand="hmpe")
    length = apart.target.length.value
    assert length == pytest.approx(one.target.length.value)
    assert shared > pair_chance(one, apart, 1.0 / 32.0 * 0.0254)


def test_no_line_no_chance():
    """A set whose lines cannot be planned says nothing."""
    assert set_chance(()) is None
    assert planned(ridge_plans()).chance is not None
