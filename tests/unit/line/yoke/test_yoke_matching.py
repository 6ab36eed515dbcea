"""Matching: readings simulated from known cables are read back."""

from dataclasses import replace

import numpy as np
import pytest

from sample_line import INCH, LBF, unknowns
from sample_yoke import FRAME, leg, model
from strandwright.line.yoke.matching import LEGS_MATCH, match_alone, match_together
from strandwright.line.yoke.pair import compare_pair, turns_for_pair
from strandwright.line.yoke.settle import settle

LOAD = np.array([100 * LBF])
#: Natural length by which leg 1 is made too long [m]
TOO_LONG = 0.0012


@pytest.mark.parametrize("side", [0, 1])
def test_legs_hung_one_by_one(side: int) -> None:
    """The turns found for the longer leg make a new reading of it the other's."""
    made, q = model(), unknowns()
    naturals = made.naturals(q)
    naturals[:, side] += TOO_LONG
    legs = made.tripod(q, naturals).legs
    body = made.tripod(q, naturals).body.length(LOAD)
    read = np.stack([m.length(LOAD) + body for m in legs], axis=1)
    match = match_alone(made, q, read, LOAD)
    assert match.difference == pytest.approx(read[:, 0] - read[:, 1], abs=1e-10)
    assert match.longer[0] == side
    assert not match.matched[0]
    turned = replace(legs[side], turns=legs[side].turns + match.turns)
    # The difference is read, the legs' own lengths are taken as drawn: turns 0.5 % off.
    assert turned.length(LOAD) == pytest.approx(legs[1 - side].length(LOAD), abs=1e-5)
    moved = [replace(m, turns=m.turns + s * match.exchanged)
             for m, s in zip(legs, (1, -1) if side == 0 else (-1, 1), strict=True)]  # fmt: skip
    assert moved[0].length(LOAD) == pytest.approx(moved[1].length(LOAD), abs=1e-5)
    assert 0.45 < match.exchanged[0] / match.turns[0] < 0.6


@pytest.mark.parametrize("side", [0, 1])
def test_legs_read_while_both_pull(side: int) -> None:
    """The difference at an equal pull is more than what the tape shows between the legs."""
    made, q = model(), unknowns()
    naturals = made.naturals(q)
    naturals[:, side] += TOO_LONG
    tripod = made.tripod(q, naturals)
    state = settle(tripod, LOAD).value
    match = match_together(made, q, state.leg_lengths, state.overall, LOAD)
    first, second = (m.length(0.5 * LOAD) for m in tripod.legs)
    np.testing.assert_allclose(match.difference, first - second, atol=1e-9)
    shown = state.leg_lengths[:, 0] - state.leg_lengths[:, 1]
    assert abs(match.difference[0]) > abs(shown[0])
    assert match.longer[0] == side


def test_legs_are_alike_within_a_thirty_second() -> None:
    """The bound, common practice without a source, is met just inside and missed outside."""
    made, q = model(), unknowns(2)
    apart = np.array([0.98, 1.02]) * INCH / 32
    read = np.stack([38 * INCH + apart, np.full(2, 38 * INCH)], axis=1)
    match = match_alone(made, q, read, LOAD.repeat(2))
    assert match.matched.tolist() == [True, False]
    assert LEGS_MATCH == pytest.approx(INCH / 32)


def test_too_few_turns_to_move_over_are_data() -> None:
    """A shorter leg without reserve cannot give; the longer one can still take."""
    made, q = model(first=leg(turns=6.0), second=leg("right", turns=0.1)), unknowns()
    read = np.array([[38 * INCH + 0.004, 38 * INCH]])
    match = match_alone(made, q, read, LOAD)
    assert np.isnan(match.exchanged[0])
    assert match.turns[0] > 0.0


def test_turns_as_read_may_differ_from_the_drawing() -> None:
    """More turns already in the longer leg make each further one worth more."""
    made, q = model(), unknowns()
    read = np.array([[38 * INCH + 0.001, 38 * INCH]])
    few, many = (
        match_alone(made, q, read, LOAD, np.array([[n, 6.0]])).turns[0] for n in (4.0, 9.0)
    )
    assert many < few


def test_readings_that_no_pull_explains_are_data() -> None:
    """Legs that differ by more than the span cannot both be taut."""
    made, q = model(), unknowns(2)
    legs = np.array([[6 * INCH, 6 * INCH], [6 * INCH + 1.1 * FRAME.span, 6 * INCH]])
    match = match_together(made, q, legs, np.full(2, 37.9 * INCH), LOAD.repeat(2))
    assert np.isfinite(match.difference).tolist() == [True, False]
    assert np.isnan(match.turns[1])
    assert not match.matched[1]


def test_a_pair_by_hand() -> None:
    """Means are compared; a leg that is longer in one cable only is told beside it."""
    first = np.array([[1.001, 1.003], [1.000, 1.000]])
    second = np.array([[1.000, 1.000], [1.0005, 1.0005]])
    pair = compare_pair(first, second, 0.0002)
    np.testing.assert_allclose(pair.difference, [0.002, -0.0005])
    np.testing.assert_allclose(pair.uneven, [-0.002, 0.0], atol=1e-15)
    np.testing.assert_allclose(pair.uncertainty, 0.0002)
    assert pair.matched.tolist() == [False, True]


def test_turns_in_the_body_bring_a_cable_to_its_fellow() -> None:
    """The cable with those turns is as much shorter as it was too long."""
    made, q = model(), unknowns()
    naturals = made.naturals(q)
    turns = turns_for_pair(made, q, naturals, LOAD, np.array([0.002]))
    before = settle(made.tripod(q, naturals), LOAD).value.overall
    put = made.turns + np.array([0.0, 0.0, float(turns[0])])
    after = settle(made.tripod(q, naturals, put), LOAD).value.overall
    assert before - after == pytest.approx(0.002, abs=1e-8)
    # More than the body is long: no turns do that.
    none = turns_for_pair(made, q, naturals, LOAD, np.array([10.0]))
    assert np.isnan(none[0])
