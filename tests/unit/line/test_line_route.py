"""Orders of work and their stages."""

from itertools import pairwise

import pytest

from sample_line import LOADS, model
from strandwright.line.route import Order, Pins, make_route

PINS = Pins(0.0127, 0.019, 0.00635, 0.00635)


@pytest.mark.parametrize("order", list(Order))
def test_every_order_can_be_marked_and_proved(order: Order) -> None:
    """One marking stage, the proof last, and three readings that tell the unknowns apart."""
    route = make_route(order, LOADS, PINS)
    keys = [s.key for s in route.stages]
    assert keys.count("marking") == 1
    assert keys[-1] == "proof"
    assert len(set(keys)) == len(keys)
    assert {"bare", "half", "proof"} <= {s.key for s in route.stages if s.reading}
    assert route.stage("proof").served and route.stage("proof").turns_share == 1.0
    assert route.stage("proof").load == LOADS.measure
    assert not route.stage("marking").served


@pytest.mark.parametrize("order", list(Order))
def test_nothing_is_undone(order: Order) -> None:
    """Turns, servings, closed loops and highest loads only grow along a route."""
    stages = make_route(order, LOADS, PINS).stages
    for before, after in pairwise(stages):
        assert after.turns_share >= before.turns_share
        assert after.served >= before.served
        assert after.closed >= before.closed
        assert after.highest_load >= before.highest_load
        assert after.creep_dwell >= before.creep_dwell


@pytest.mark.parametrize("order", list(Order))
def test_no_load_is_forgotten(order: Order) -> None:
    """The highest load of a stage is never below what the gauge shows there."""
    for stage in make_route(order, LOADS, PINS).stages:
        assert stage.highest_load >= stage.load or stage.key == "bare"
        assert stage.highest_load >= stage.highest_twisted


def test_twist_finds_its_way_through_servings_in_one_order_only() -> None:
    """Only a line that is served first has its servings on when the turns go in."""
    assert [model(order).route.served_before_twist for order in Order] == [True, False, False]
