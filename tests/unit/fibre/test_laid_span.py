"""A laid rope: energy, equilibrium, take-up and strength."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize

from strandwright.fibre.bundle import filled_radii
from strandwright.fibre.laid.bundle import LaidBundles, bundle_at, bundle_stiffness
from strandwright.fibre.laid.equilibrium import axial_stiffness, balanced_lay, held_ends
from strandwright.fibre.laid.rope import rope_at
from strandwright.fibre.laid.strength import laid_breaking_load, strength_kept
from strandwright.fibre.laid.take_up import more_turns, small_lay_take_up
from strandwright.fibre.strand_law import strand_strain
from strandwright.fibre.twist import StrandSet, area_mean_contraction, breaking_load, span_length
from strandwright.numerics.outcome import Reason

RADIUS = np.array(0.0007)
NATURAL = 1.5
LOAD = 250.0
COUNTS = pytest.mark.parametrize("count", [2, 3])
SHARES = pytest.mark.parametrize("share", [0.0, 1.0])
TURNS = pytest.mark.parametrize(("lay", "hand"), [(30, -90), (30, 0), (100, -60), (-60, 150)])


def strands(share: float = 1.0, softening: float = 1.3) -> StrandSet:
    """Give seven polyester strands."""
    return StrandSet(filled_radii(7), np.array(2000.0), np.array(softening), 0.1, np.array(share))


def bundles(count: int, share: float = 1.0, grip: float = 0.0, nesting: float = 1.0) -> LaidBundles:
    """Give some bundles of them."""
    bending, torsion = bundle_stiffness(RADIUS, strands(share), grip, 0.05)
    return LaidBundles(count, RADIUS, strands(share), bending, torsion, np.array(nesting))


@SHARES
def test_a_bundle_told_its_length_is_the_span_found_at_that_load(share: float) -> None:
    """The same law asked the other way round."""
    for turns in (0.0, 40.0, -120.0):
        span = span_length(150.0, NATURAL, turns, RADIUS, strands(share))
        back = bundle_at(span.length, NATURAL, turns, RADIUS, strands(share))
        assert float(back.pulls.sum()) == pytest.approx(150.0, rel=1e-9)
        np.testing.assert_allclose(back.strains, span.strains, atol=1e-11)
        assert float(back.torque) == pytest.approx(float(span.torque), rel=1e-9)


@COUNTS
@SHARES
@TURNS
@pytest.mark.parametrize("grip", [0.0, 1.0])
@pytest.mark.parametrize("nesting", [0.8, 1.0])
def test_pull_and_torque_are_slopes_of_the_energy(
    count: int, share: float, lay: int, hand: int, grip: float, nesting: float
) -> None:
    """dE/dlength is the pull, dE/dturns is 2 pi times the torque."""
    rope = bundles(count, share, grip, nesting)
    length = float(held_ends(LOAD, NATURAL, lay, hand, rope).raise_for_failure().value.length)
    step, turn = 1e-6, 1e-4
    here = rope_at(length, NATURAL, lay, hand, rope)
    longer, shorter = (rope_at(length + d, NATURAL, lay, hand, rope) for d in (step, -step))
    pull = (longer.energy - shorter.energy) / (2.0 * step)
    assert float(here.load) == pytest.approx(float(pull), rel=1e-6)
    more, less = (rope_at(length, NATURAL, lay + d, hand, rope) for d in (turn, -turn))
    torque = (more.energy - less.energy) / (2.0 * turn) / (2.0 * np.pi)
    assert float(here.torque) == pytest.approx(float(torque), rel=1e-6, abs=1e-8)


@COUNTS
def test_energy_is_the_work_of_the_pull(count: int) -> None:
    """Stretched from slack, the energy is the area under the pull."""
    rope = bundles(count, 0.0)
    lengths = np.linspace(1.35, 1.5, 20_001)
    spans = rope_at(lengths, NATURAL, 40.0, -120.0, rope)
    work = np.trapezoid(spans.load, lengths)
    assert float(spans.energy[-1] - spans.energy[0]) == pytest.approx(work, rel=1e-6)


@COUNTS
@SHARES
def test_no_turns_is_the_body_of_an_endless_loop(count: int, share: float) -> None:
    """Strands side by side have the same length, laid or not, and need no torque."""
    rope = bundles(count, share)
    radius, whole = rope.together()
    endless = span_length(LOAD, NATURAL, 0.0, radius, whole)
    held = held_ends(LOAD, NATURAL, 0.0, 0.0, rope).raise_for_failure().value
    assert float(held.length) == pytest.approx(float(endless.length), rel=1e-13)
    assert float(held.torque) == 0.0
    assert float(strength_kept(0.0, 0.0, rope)) == pytest.approx(1.0, rel=1e-13)


@COUNTS
@TURNS
def test_swapped_hands_mirror(count: int, lay: int, hand: int) -> None:
    """S for Z gives the same rope and the opposite torque."""
    rope = bundles(count, 0.3, 0.2)
    here, there = (held_ends(LOAD, NATURAL, s * lay, s * hand, rope).value for s in (1, -1))
    assert float(here.length) == float(there.length)
    assert float(here.torque) == -float(there.torque)
    assert float(here.touch.angle) == -float(there.touch.angle)


@COUNTS
def test_a_batch_is_its_cases(count: int) -> None:
    """Many cases in one call, bundle properties among them, give what each gives alone."""
    radii, loads = np.array([0.0006, 0.0007, 0.0008]), np.array([20.0, 100.0, 300.0])
    hand, lay = np.array([-60.0, -120.0, -90.0]), np.array([10.0, 40.0, 70.0])
    zero = np.zeros(3)
    batch = LaidBundles(count, radii, strands(0.4), zero, zero, np.array([0.8, 0.9, 1.0]))
    held = held_ends(loads, NATURAL, lay, hand, batch).raise_for_failure().value
    made = balanced_lay(loads, NATURAL, hand, batch).raise_for_failure().value
    for i in range(3):
        nesting = batch.nesting[i]
        one = LaidBundles(count, radii[i], strands(0.4), zero[i], zero[i], nesting)
        alone = held_ends(loads[i], NATURAL, lay[i], hand[i], one).value
        assert float(held.length[i]) == pytest.approx(float(alone.length), rel=1e-13)
        assert float(held.torque[i]) == pytest.approx(float(alone.torque), rel=1e-10)
        alone = balanced_lay(loads[i], NATURAL, hand[i], one).value
        assert float(made.lay_turns[i]) == pytest.approx(float(alone.lay_turns), rel=1e-9)


@pytest.mark.parametrize(
    "field", ["radius", "bending", "torsion", "nesting", "stiffness", "softening", "share"]
)
def test_one_property_alone_may_be_a_batch(field: str) -> None:
    """All else single numbers, every answer has the batch's shape and is its cases."""
    base = bundles(2, 0.5, 0.001)
    law = {"stiffness", "softening", "share"}
    values = np.array([0.98, 1.0]) * getattr(base.strands if field in law else base, field)

    def with_value(value: np.ndarray) -> LaidBundles:
        if field in law:
            return replace(base, strands=replace(base.strands, **{field: value}))
        return replace(base, **{field: value})

    batch = with_value(values)
    held = held_ends(LOAD, NATURAL, 30.0, -60.0, batch).raise_for_failure().value
    made = balanced_lay(15.0, NATURAL, -60.0, batch).raise_for_failure().value
    effect = more_turns(LOAD, NATURAL, 30.0, -60.0, batch).value
    kept = strength_kept(20.0, -40.0, batch)
    assert held.load.shape == made.torque.shape == effect.ratio.shape == kept.shape == (2,)
    for i in range(2):
        one = with_value(values[i])
        alone = held_ends(LOAD, NATURAL, 30.0, -60.0, one).value
        assert float(held.length[i]) == pytest.approx(float(alone.length), rel=1e-13)
        lay = balanced_lay(15.0, NATURAL, -60.0, one).value.lay_turns
        assert float(made.lay_turns[i]) == pytest.approx(float(lay), rel=1e-9)
        assert float(kept[i]) == pytest.approx(float(strength_kept(20.0, -40.0, one)), rel=1e-13)


@COUNTS
def test_a_span_cut_in_two_adds_up(count: int) -> None:
    """Half of all turns in half the strands' length is half the rope at the same torque."""
    rope = bundles(count, 0.5)
    whole, half = (held_ends(LOAD, k * NATURAL, k * 50, k * -80, rope).value for k in (1.0, 0.5))
    assert float(half.length) == pytest.approx(0.5 * float(whole.length), rel=1e-13)
    assert float(half.torque) == pytest.approx(float(whole.torque), rel=1e-10)


@COUNTS
def test_held_ends_lie_at_the_least_energy(count: int) -> None:
    """Another method, the least of energy less work, finds the same length."""
    rope = bundles(count, 1.0, 0.1)
    held = held_ends(LOAD, NATURAL, 60.0, -100.0, rope).value

    def potential(length: np.ndarray) -> float:
        return float(rope_at(length[0], NATURAL, 60.0, -100.0, rope).energy - LOAD * length[0])

    least = minimize(potential, [1.4], method="Nelder-Mead", options={"xatol": 1e-10})
    assert float(held.length) == pytest.approx(float(least.x[0]), abs=1e-7)


@COUNTS
@pytest.mark.parametrize("grip", [0.0, 0.002])
def test_a_rope_made_by_hand_needs_no_torque_and_lies_at_the_least_energy(
    count: int, grip: float
) -> None:
    """Length and lay found by another method at a hand's pull; the lay is of the other hand."""
    rope = bundles(count, 1.0, grip)
    made = balanced_lay(15.0, NATURAL, -120.0, rope).raise_for_failure().value
    assert float(made.torque) == pytest.approx(0.0, abs=1e-11)
    assert float(made.lay_turns) > 0.0

    def potential(unknown: np.ndarray) -> float:
        span = rope_at(unknown[0], NATURAL, 100.0 * unknown[1], -120.0, rope)
        return float(span.energy - 15.0 * unknown[0])

    tight = {"xatol": 1e-9, "fatol": 1e-15, "maxiter": 2000}
    least = minimize(potential, [1.45, 0.3], method="Nelder-Mead", options=tight)
    assert float(made.lay_turns) == pytest.approx(100.0 * least.x[1], rel=2e-4)
    assert float(made.length) == pytest.approx(least.x[0], abs=1e-6)


@pytest.mark.parametrize(("count", "share"), [(2, 1.0 / 3.0), (3, 3.0 / 11.0)])
def test_few_turns_balance_a_third_or_three_elevenths(count: int, share: float) -> None:
    """The closed limit of the balanced lay, approached with the square of the turns."""
    off = [
        float(balanced_lay(15.0, NATURAL, hand, bundles(count)).value.lay_turns) / hand + share
        for hand in (-10.0, -20.0)
    ]
    assert abs(off[0]) < 1e-4
    assert off[1] / off[0] == pytest.approx(4.0, rel=0.02)


def test_stiff_bundles_are_laid_with_more_turns() -> None:
    """What torsional stiffness holds in a bundle under a light pull drives more lay."""
    soft, stiff = (
        float(balanced_lay(5.0, NATURAL, -120.0, bundles(2, grip=g)).value.lay_turns)
        for g in (0.0, 0.02)
    )
    assert stiff > 1.05 * soft


@COUNTS
def test_contraction_of_a_tiny_lay(count: int) -> None:
    """Lay takes up half the squared angle, and strand and rope differ by the closed form."""
    rope = bundles(count)
    for lay in (1.0, 3.0):
        span = held_ends(LOAD, NATURAL, lay, 0.0, rope).value
        angle = float(span.touch.angle)
        assert float(span.contraction) == pytest.approx(angle**2 / 2.0, rel=angle**2)
        each = LOAD / (7 * count)
        straight = NATURAL * (1.0 + float(strand_strain(each, *rope.strands.law)))
        short = straight - float(span.length)
        rule = float(small_lay_take_up(lay, 0.0, straight, rope))
        # Obliquity also stretches strands the more: three thousandths of the take-up here.
        assert short == pytest.approx(rule, rel=0.03)
        slack = held_ends(1e-6, NATURAL, lay, 0.0, rope).value
        bare = float(small_lay_take_up(lay, 0.0, NATURAL, rope))
        assert NATURAL - float(slack.length) == pytest.approx(bare, rel=1e-3)


@COUNTS
def test_one_more_turn_does_more_to_a_laid_rope(count: int) -> None:
    """Without turns by hand 3/2 and 11/9 of an endless skein; nested bundles like the skein."""
    wanted = {2: 3.0 / 2.0, 3: 11.0 / 9.0}[count]
    least = {2: np.sqrt(0.5), 3: np.sqrt(0.75)}[count]
    effect = more_turns(LOAD, NATURAL, 15.0, 0.0, bundles(count)).raise_for_failure().value
    assert float(effect.change) < 0.0
    assert float(effect.ratio) == pytest.approx(wanted, rel=3e-3)
    nested = more_turns(LOAD, NATURAL, 15.0, 0.0, bundles(count, nesting=float(least))).value
    assert float(nested.ratio) == pytest.approx(1.0, rel=3e-3)


@COUNTS
def test_a_turn_changes_next_to_nothing_in_a_rope_free_of_torque(count: int) -> None:
    """Hand and lay cancel there; past it turns shorten, short of it they lengthen."""
    rope = bundles(count)
    lay = float(balanced_lay(LOAD, NATURAL, -120.0, rope).value.lay_turns)
    endless = float(more_turns(LOAD, NATURAL, lay, 0.0, rope).value.endless)
    about = [
        float(more_turns(LOAD, NATURAL, lay + d - 0.5, -120.0, rope).value.change)
        for d in (-10.0, 0.0, 10.0)
    ]
    assert abs(about[1]) < 0.05 * abs(endless)
    assert about[0] > 0.0 > about[2]


@COUNTS
def test_length_with_turns_is_torque_with_load(count: int) -> None:
    """Maxwell's relation of the two slopes at held turns and load."""
    rope = bundles(count, 1.0, 0.1)
    more, less = (held_ends(LOAD, NATURAL, 50.0 + d, -80.0, rope).value for d in (0.01, -0.01))
    up, down = (held_ends(LOAD + d, NATURAL, 50.0, -80.0, rope).value for d in (0.05, -0.05))
    length = float(more.length - less.length) / 0.02
    torque = float(up.torque - down.torque) / 0.1
    assert length == pytest.approx(-2.0 * np.pi * torque, rel=1e-5)


@COUNTS
def test_a_laid_rope_is_softer_the_steeper_its_lay(count: int) -> None:
    """Stiffness is the strands' without turns and falls; it is the slope of load and length."""
    rope = bundles(count)
    spans = held_ends(LOAD, NATURAL, np.array([0.0, 30.0, 60.0]), 0.0, rope).value
    stiff = axial_stiffness(spans, rope)
    assert (np.diff(stiff) < 0.0).all()
    up, down = (held_ends(LOAD + d, NATURAL, 60.0, 0.0, rope).value for d in (0.05, -0.05))
    slope = 0.1 / float(np.log(up.length / down.length))
    assert float(stiff[2]) == pytest.approx(slope, rel=1e-5)


@COUNTS
def test_strength_is_the_load_at_which_a_strand_breaks(count: int) -> None:
    """Held at that load, the most strained strand is at its break strain."""
    rope = bundles(count, 0.0)
    load = float(laid_breaking_load(30.0, -50.0, rope))

    def worst_strain(pull: float) -> float:
        natural = 1.0
        for _ in range(60):
            natural /= float(held_ends(pull, natural, 30.0, -50.0, rope).value.length)
        held = held_ends(pull, natural, 30.0, -50.0, rope).value
        return float(held.bundle.strains.max())

    assert worst_strain(0.999 * load) < 0.1 < worst_strain(1.001 * load)
    assert 0.7 < float(strength_kept(30.0, -50.0, rope)) < 1.0


@COUNTS
def test_strength_of_bundles_alone(count: int) -> None:
    """Without lay it is that of as many twisted bundles side by side."""
    rope = bundles(count, 0.4)
    alone = float(breaking_load(60.0, RADIUS, rope.strands))
    assert float(laid_breaking_load(0.0, 60.0, rope)) == pytest.approx(count * alone, rel=1e-12)


def test_more_turns_than_go_in_is_an_outcome() -> None:
    """Some cases of a batch jam or are overloaded, the others stand."""
    rope = bundles(2)
    held = held_ends(LOAD, NATURAL, np.array([30.0, 500.0, -500.0]), 0.0, rope)
    assert held.ok.tolist() == [True, False, False]
    assert held.reason is Reason.NO_BRACKET
    heavy = held_ends(np.array([100.0, 1e6]), NATURAL, 30.0, 0.0, rope)
    assert heavy.ok.tolist() == [True, False]
    effect = more_turns(LOAD, NATURAL, np.array([30.0, 500.0]), 0.0, rope)
    assert effect.ok.tolist() == [True, False]
    assert effect.reason is Reason.NO_BRACKET


def test_shared_contraction_is_that_of_both_helices() -> None:
    """Own twist takes up the area mean and lay its cosine; seven strands are no disc by 6e-5."""
    rope = LaidBundles(2, RADIUS, strands(1.0), np.array(0.0), np.array(0.0))
    span = held_ends(1e-4, NATURAL, 50.0, -150.0, rope).value
    own = np.abs(float(span.bundle.turns)) / float(span.bundle.length)
    surface = np.arctan(2.0 * np.pi * own * float(RADIUS))
    product = float(area_mean_contraction(surface)) / np.cos(float(span.touch.angle))
    assert NATURAL / float(span.length) == pytest.approx(product, rel=1e-4)
