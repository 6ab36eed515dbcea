"""Arrow speed, mass on the string, cost of each item: relations and refusals."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import numpy as np
import pytest

from strandwright.bow.item_cost import cost_of
from strandwright.bow.launch import (
    Shot,
    ShotSpread,
    arrow_speed,
    efficiency,
    speed_uncertainty,
)
from strandwright.bow.near_wheel import NearWheel, Verdict, weight_bounds
from strandwright.bow.string_mass import (
    Item,
    effective_string_mass,
    effective_string_mass_u,
    fraction_along,
    uniform_string,
    weight_at_nock,
)
from strandwright.bow.virtual_mass import virtual_mass
from strandwright.errors import InputError, SpecError
from strandwright.units import GRAIN

LIMBS = virtual_mass(0.004, 0.05, constant_u=0.002, slope_u=0.03, energy_u=0.02, arrow=0.024)
SHOT = Shot(90.0, 0.0227, LIMBS, hysteresis=0.06)
ITEMS = (
    uniform_string(0.0078),
    Item("centre serving", 0.0012, -0.12, 0.10),
    Item("peep", 25 * GRAIN, 0.25, mass_u=1 * GRAIN),
    Item("silencer", 0.0012, -0.6),
)
WHEEL = NearWheel(0.25, 0.5)


# ------------------------------------------------------------------------- mass on the string


def test_weights_known_in_closed_form() -> None:
    """1 at the nocking point, 0 at a tip, 1/3 over a half and over the whole, 7/12 in the near."""
    assert weight_at_nock(0.0, 0.0) == 1.0
    assert weight_at_nock(1.0, 1.0) == weight_at_nock(-1.0, -1.0) == 0.0
    for ends in ((0.0, 1.0), (-1.0, 0.0), (-1.0, 1.0)):
        assert weight_at_nock(*ends) == pytest.approx(1 / 3, rel=1e-15)
    assert weight_at_nock(0.0, 0.5) == pytest.approx(7 / 12, rel=1e-15)


@pytest.mark.parametrize("ends", [(-0.9, -0.2), (-0.3, 0.7), (0.0, 0.4), (0.25, 0.26), (-1.0, 1.0)])
def test_weight_is_the_mean_square_of_the_speed(ends: tuple[float, float]) -> None:
    """A sum over a hundred thousand points gives the same as the closed form."""
    edges = np.linspace(*ends, 100_001)
    middle = 0.5 * (edges[1:] + edges[:-1])
    assert weight_at_nock(*ends) == pytest.approx(np.mean((1 - np.abs(middle)) ** 2), abs=1e-9)


def test_a_short_interval_is_a_point() -> None:
    """The weight of an interval goes to that of its middle, without cancellation."""
    for middle in (-0.8, -1e-6, 0.0, 0.3, 0.999):
        half = 1e-13
        short = weight_at_nock(max(middle - half, -1.0), middle + half)
        assert short == pytest.approx(float(weight_at_nock(middle, middle)), rel=1e-9)


@pytest.mark.parametrize("cut", [-0.9, -0.4, 0.0, 0.2, 0.75, 0.8, 0.95])
def test_cutting_an_item_changes_nothing(cut: float) -> None:
    """Effective mass and both bounds near a wheel add up over the two parts."""
    whole = Item("string", 0.008, -1.0, 1.0)
    below = Item("below", 0.008 * (cut + 1.0) / 2.0, -1.0, cut)
    above = Item("above", 0.008 * (1.0 - cut) / 2.0, cut, 1.0)
    parts = effective_string_mass([below, above])
    assert parts == pytest.approx(effective_string_mass([whole]), rel=1e-14)
    for end in ("low", "high"):
        total = sum(p.mass * getattr(weight_bounds(p, WHEEL), end) for p in (below, above))
        assert total == pytest.approx(whole.mass * getattr(weight_bounds(whole, WHEEL), end))


def test_mirrored_items_weigh_the_same() -> None:
    """The string has no preferred end."""
    for start, stop in ((0.1, 0.4), (-0.2, 0.7)):
        assert weight_at_nock(start, stop) == weight_at_nock(-stop, -start)


def test_weights_come_in_batches() -> None:
    """Arrays of intervals give the numbers one by one, on both sides and across."""
    start, stop = np.array([-0.5, -0.2, 0.1, 0.3]), np.array([-0.4, 0.6, 0.1, 1.0])
    one_by_one = [float(weight_at_nock(a, b)) for a, b in zip(start, stop, strict=True)]
    np.testing.assert_array_equal(weight_at_nock(start, stop), one_by_one)


def test_fraction_along_the_half_string() -> None:
    """A quarter of the half string is 0.25."""
    assert fraction_along(0.2, 0.8) == pytest.approx(0.25)


def test_uncertainty_of_the_string_mass_adds_in_squares() -> None:
    """Two items of 3 and 4 mg at the nocking point are known to 5 mg."""
    items = [Item("a", 0.001, 0.0, mass_u=3e-6), Item("b", 0.001, 0.0, mass_u=4e-6)]
    assert effective_string_mass_u(items) == pytest.approx(5e-6)


# ------------------------------------------------------------------------------ near a wheel


def test_without_wheels_the_model_tells() -> None:
    """Both bounds are the weight itself, and of the cost the cost, wherever the item sits."""
    for cost in cost_of(ITEMS, SHOT):
        assert cost.low == cost.lost == cost.high > 0.0
    for item in ITEMS:
        bounds = weight_bounds(item)
        assert bounds.low == bounds.high == item.weight
        assert bounds.verdict is Verdict.TELLS


def test_near_a_wheel_the_model_says_that_it_cannot_tell() -> None:
    """The bounds of a weight near a wheel hold zero, a gain, and the model's own answer."""
    item = Item("small weight", 0.0005, 0.92)
    bounds = weight_bounds(item, WHEEL)
    assert bounds.verdict is Verdict.CANNOT_TELL
    assert bounds.low == -0.5 < 0.0 < bounds.high == pytest.approx(0.08**2)
    (cost,) = cost_of([item], SHOT, near_wheel=WHEEL)
    assert cost.low < 0.0 < cost.lost == cost.high
    assert "cannot tell" in cost.statement


def test_the_reach_of_a_wheel_ends_where_it_says() -> None:
    """On the inner side of the edge the model tells; an item over it is told in part."""
    assert weight_bounds(Item("a", 0.001, 0.749), WHEEL).verdict is Verdict.TELLS
    assert weight_bounds(Item("b", 0.001, 0.751), WHEEL).verdict is Verdict.CANNOT_TELL
    assert weight_bounds(Item("c", 0.001, -0.8, -0.7), WHEEL).verdict is Verdict.PARTLY
    assert weight_bounds(Item("d", 0.001, 0.0, 0.75), WHEEL).verdict is Verdict.TELLS


# ------------------------------------------------------------------------------------- speed


def test_energy_balances() -> None:
    """Half the moving mass by the square of the speed is what the losses leave."""
    shot = dataclasses.replace(SHOT, string_mass=0.003, wheel_mass=0.001, other_loss=2.0)
    moving = 0.0227 + 0.004 + 0.05 * 0.0227 + 0.003 + 0.001
    assert shot.moving_mass == pytest.approx(moving, rel=1e-14)
    assert 0.5 * moving * arrow_speed(shot) ** 2 == pytest.approx(0.94 * 90.0 - 2.0, rel=1e-14)
    assert efficiency(shot) == pytest.approx((0.94 * 90 - 2) / 90 * 0.0227 / moving, rel=1e-14)


@pytest.mark.parametrize("field", ["arrow_mass", "string_mass", "wheel_mass"])
def test_more_mass_is_always_slower(field: str) -> None:
    """Speed falls with every mass; efficiency rises with the arrow's and falls with the others."""
    shot = dataclasses.replace(SHOT, **{field: np.linspace(0.0, 0.05, 40)})
    assert np.all(np.diff(arrow_speed(shot)) < 0.0)
    rise = np.diff(efficiency(shot))
    assert np.all(rise > 0.0) if field == "arrow_mass" else np.all(rise < 0.0)


def test_without_an_arrow_nothing_is_delivered() -> None:
    """The limit exists: a finite speed of the nocking point, no energy in an arrow."""
    bare = dataclasses.replace(SHOT, arrow_mass=0.0)
    assert efficiency(bare) == 0.0
    light = dataclasses.replace(SHOT, arrow_mass=1e-12)
    assert arrow_speed(bare) == pytest.approx(float(arrow_speed(light)), rel=1e-9)
    assert np.isfinite(speed_uncertainty(bare))


def test_a_batch_is_its_shots() -> None:
    """Energies and arrows in arrays give the speeds and +- one by one."""
    energy, arrow = np.array([80.0, 90.0]), np.array([0.02, 0.03])
    batch = Shot(energy, arrow, LIMBS, hysteresis=0.06)
    singles = [Shot(e, m, LIMBS, hysteresis=0.06) for e, m in zip(energy, arrow, strict=True)]
    np.testing.assert_allclose(arrow_speed(batch), [arrow_speed(s) for s in singles], rtol=1e-15)
    ours = speed_uncertainty(batch)
    np.testing.assert_allclose(ours, [speed_uncertainty(s) for s in singles], rtol=1e-14)
    costs = cost_of(ITEMS, batch)
    for n, single in enumerate(singles):
        lost = [float(c.lost) for c in cost_of(ITEMS, single)]
        np.testing.assert_allclose([c.lost[n] for c in costs], lost, rtol=1e-13)


def test_uncertainty_agrees_with_a_simulation() -> None:
    """Shots drawn from all the +- scatter as the first-order formula says, to 3 %."""
    generator = np.random.default_rng(5)
    spread = ShotSpread(1.0, 2e-4, 3e-4, 1e-4, 0.01, 0.5)
    whole = dataclasses.replace(SHOT, string_mass=0.003, wheel_mass=0.001, other_loss=2.0)
    count = 20_000
    reference, slope, scale = generator.multivariate_normal(
        [LIMBS.reference, LIMBS.slope, LIMBS.energy_scale], LIMBS.covariance, count
    ).T

    def drawn(field: str) -> np.ndarray:
        return getattr(whole, field) + generator.normal(0.0, getattr(spread, field), count)

    arrow = drawn("arrow_mass")
    moving = arrow + reference + slope * (arrow - LIMBS.arrow)
    moving = moving + drawn("string_mass") + drawn("wheel_mass")
    kept = scale * (1 - drawn("hysteresis")) * drawn("energy") - drawn("other_loss")
    scatter = np.std(np.sqrt(2 * kept / moving))
    assert speed_uncertainty(whole, spread) == pytest.approx(scatter, rel=0.03)


# ------------------------------------------------------------------------------ cost of items


def test_an_item_costs_what_leaving_it_off_gains() -> None:
    """The loss is the difference of two shots, with it and without it."""
    whole = dataclasses.replace(SHOT, string_mass=effective_string_mass(ITEMS))
    for item, cost in zip(ITEMS, cost_of(ITEMS, SHOT), strict=True):
        rest = [other for other in ITEMS if other is not item]
        without = dataclasses.replace(SHOT, string_mass=effective_string_mass(rest))
        expected = float(arrow_speed(without) - arrow_speed(whole))
        assert cost.lost == pytest.approx(expected, rel=1e-9)
        assert cost.equivalent == pytest.approx(item.mass * item.weight)


def test_slope_is_the_numeric_derivative() -> None:
    """A milligram more at the same place costs what the slope says."""
    step = 1e-6
    base = arrow_speed(dataclasses.replace(SHOT, string_mass=effective_string_mass(ITEMS)))
    for n, cost in enumerate(cost_of(ITEMS, SHOT)):
        heavier = [
            dataclasses.replace(item, mass=item.mass + step * (k == n))
            for k, item in enumerate(ITEMS)
        ]
        mass = effective_string_mass(heavier)
        slower = arrow_speed(dataclasses.replace(SHOT, string_mass=mass))
        assert cost.per_mass == pytest.approx((base - slower) / step, rel=1e-4)


def test_slopes_add_up_and_small_costs_too() -> None:
    """Two halves of an item have its slope between them; grains cost in proportion."""
    whole = Item("serving", 0.001, 0.1, 0.5)
    parts = [Item("lower", 0.0005, 0.1, 0.3), Item("upper", 0.0005, 0.3, 0.5)]
    (one,) = cost_of([whole], SHOT)
    two = cost_of(parts, SHOT)
    together = sum(p.item.mass * p.per_mass for p in two)
    assert together == pytest.approx(one.item.mass * one.per_mass, rel=1e-13)
    assert sum(p.lost for p in two) == pytest.approx(float(one.lost), rel=0.03)
    assert sum(p.lost for p in two) != pytest.approx(float(one.lost), rel=1e-6)


def test_items_may_stand_in_the_shot_or_in_the_list() -> None:
    """What is on the string besides counts the same whether it is named or not."""
    besides = dataclasses.replace(SHOT, string_mass=effective_string_mass(ITEMS[:2]))
    named = cost_of(ITEMS, SHOT)[2]
    unnamed = cost_of(ITEMS[2:], besides)[0]
    assert named.lost == pytest.approx(float(unnamed.lost), rel=1e-12)


def test_nothing_costs_nothing() -> None:
    """An item without mass loses nothing and is known exactly."""
    (cost,) = cost_of([Item("nothing", 0.0, 0.3)], SHOT)
    assert cost.lost == cost.low == cost.high == cost.u == 0.0
    assert cost_of([], SHOT) == ()


def test_uncertainty_of_a_cost_agrees_with_differences() -> None:
    """Each source of +-, moved by itself, moves the cost as the formula says."""
    exact = dataclasses.replace(SHOT, virtual=virtual_mass(0.004, 0.05))
    item = ITEMS[2]

    def lost(shot: Shot, mass: float = item.mass) -> float:
        (cost,) = cost_of([dataclasses.replace(item, mass=mass)], shot)
        return float(cost.lost)

    moved = (
        lost(dataclasses.replace(exact, energy=90.1)) - lost(exact),
        lost(dataclasses.replace(exact, arrow_mass=0.0227 + 1e-5)) - lost(exact),
        lost(exact, item.mass + item.mass_u) - lost(exact),
    )
    (cost,) = cost_of([item], exact, spread=ShotSpread(energy=0.1, arrow_mass=1e-5))
    assert cost.u == pytest.approx(np.sqrt(np.sum(np.square(moved))), rel=5e-3)


# ---------------------------------------------------------------------------------- refusals


@pytest.mark.parametrize(
    ("call", "field", "given"),
    [
        (lambda: Shot(0.0, 0.02, LIMBS), "shot.energy", 0.0),
        (lambda: Shot([90.0, -1.0], 0.02, LIMBS), "shot.energy", -1.0),
        (lambda: Shot(90.0, -0.02, LIMBS), "shot.arrow_mass", -0.02),
        (lambda: Shot(90.0, 0.02, LIMBS, string_mass=-1.0), "shot.string_mass", -1.0),
        (lambda: Shot(90.0, 0.02, LIMBS, wheel_mass=-1.0), "shot.wheel_mass", -1.0),
        (lambda: Shot(90.0, 0.02, LIMBS, hysteresis=1.0), "shot.hysteresis", 1.0),
        (lambda: Shot(90.0, 0.02, LIMBS, other_loss=90.0), "shot.available_energy", 0.0),
        (lambda: Shot(90.0, 0.0, virtual_mass(0.0, 0.0)), "shot.moving_mass", 0.0),
        (lambda: ShotSpread(energy=-1.0), "spread.energy", -1.0),
        (lambda: Item("peep", -0.1, 0.0), "peep.mass", -0.1),
        (lambda: Item("peep", 0.1, 1.2), "peep.start", 1.2),
        (lambda: Item("peep", 0.1, 0.2, 0.1), "peep.stop", 0.1),
        (lambda: Item("peep", 0.1, 0.2, mass_u=-0.1), "peep.mass_u", -0.1),
        (lambda: weight_at_nock(-1.5, 0.0), "start", -1.5),
        (lambda: fraction_along(0.9, 0.8), "distance", 0.9),
        (lambda: fraction_along(0.9, 0.0), "half_string", 0.0),
        (lambda: NearWheel(1.0, 0.5), "near_wheel.within", 1.0),
        (lambda: NearWheel(0.2, -0.5), "near_wheel.gain", -0.5),
    ],
)
def test_what_cannot_be_is_refused_by_name(
    call: Callable[[], object], field: str, given: float
) -> None:
    """The error names the field, the value, the rule and the next act."""
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.field == field
    assert caught.value.given == given
    assert caught.value.rule
    assert caught.value.remedy


def test_one_name_for_two_items_is_refused() -> None:
    """Costs are found again by name."""
    twice = [Item("silencer", 0.001, 0.5), Item("silencer", 0.001, -0.5)]
    with pytest.raises(SpecError) as caught:
        cost_of(twice, SHOT)
    assert caught.value.given == "silencer"


def test_a_gain_greater_than_all_that_moves_is_refused() -> None:
    """A bound that would leave nothing moving names the item."""
    with pytest.raises(SpecError) as caught:
        cost_of([Item("lead", 0.05, 0.99)], SHOT, near_wheel=NearWheel(0.25, 10.0))
    assert caught.value.field == "lead.mass"
    assert caught.value.remedy
