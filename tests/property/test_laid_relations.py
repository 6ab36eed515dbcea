"""Laid relations: what must hold of every rope of two or three bundles."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from strandwright.fibre.bundle import filled_radii
from strandwright.fibre.laid.bundle import LaidBundles, bundle_stiffness
from strandwright.fibre.laid.equilibrium import balanced_lay, held_ends
from strandwright.fibre.laid.splice import splice_hold, splice_length, splice_share
from strandwright.fibre.laid.strength import strength_kept
from strandwright.fibre.twist import StrandSet

NATURAL = 1.5


def bundles(count: int, strand_count: int, share: float, grip: float, nesting: float):
    """Give bundles of polyester strands at the size they pack to."""
    radius = np.array(0.00026 * np.sqrt(strand_count))
    strands = StrandSet(
        filled_radii(strand_count), np.array(2000.0), np.array(1.3), 0.1, np.array(share)
    )
    stiff = bundle_stiffness(radius, strands, grip, 0.05)
    return LaidBundles(count, radius, strands, *stiff, np.array(nesting))


ROPES = st.builds(
    bundles,
    st.sampled_from([2, 3]),
    st.integers(3, 12),
    st.floats(0.0, 1.0),
    st.floats(0.0, 0.3),
    st.floats(0.72, 1.0),
)
LOADS = st.floats(5.0, 400.0)
LAYS = st.floats(-70.0, 70.0)
HANDS = st.floats(-150.0, 150.0)


def held(load: float, lay: float, hand: float, rope: LaidBundles, natural: float = NATURAL):
    """Give a rope with held ends that has whole strands."""
    found = held_ends(load, natural, lay, hand, rope)
    assume(bool(found.ok))
    return found.value


@given(LOADS, LAYS, HANDS, ROPES)
@settings(max_examples=60, deadline=None)
def test_the_other_hand_is_its_mirror(load, lay, hand, rope):
    """S for Z turns the torque round and leaves the length."""
    here, there = held(load, lay, hand, rope), held(load, -lay, -hand, rope)
    assert float(here.length) == float(there.length)
    assert float(here.torque) == -float(there.torque)


@given(LOADS, LAYS, HANDS, ROPES, st.floats(0.1, 3.0))
@settings(max_examples=60, deadline=None)
def test_a_piece_has_its_share_of_the_turns(load, lay, hand, rope, share):
    """Turns and natural length in one measure give length in that measure and one torque."""
    whole = held(load, lay, hand, rope)
    piece = held(load, share * lay, share * hand, rope, share * NATURAL)
    assert float(piece.length) == pytest.approx(share * float(whole.length), rel=1e-11)
    assert float(piece.torque) == pytest.approx(float(whole.torque), rel=1e-6, abs=1e-9)


@given(LOADS, LAYS, HANDS, ROPES)
@settings(max_examples=60, deadline=None)
def test_a_rope_carries_its_load_and_gains_by_more(load, lay, hand, rope):
    """The pull is the load, and a heavier one makes it longer."""
    here, heavier = held(load, lay, hand, rope), held(1.05 * load, lay, hand, rope)
    assert float(here.load) == pytest.approx(load, rel=1e-8)
    assert float(heavier.length) > float(here.length)
    assert 0.0 <= float(here.contraction) < 0.4


@given(LOADS, st.floats(-70.0, 70.0), st.floats(-120.0, 120.0), ROPES, st.sampled_from([0.0, 1.0]))
@settings(max_examples=60, deadline=None)
def test_length_with_turns_is_torque_with_load(load, lay, hand, rope, share):
    """Maxwell's relation, for strands in place and for strands that share fully."""
    rope = replace(rope, strands=replace(rope.strands, share=np.array(share)))
    turn, pull = 0.02, 1e-3 * load
    # Where a strand goes slack in the step the slopes have a kink.
    sides = [held(load, lay + d, hand, rope) for d in (-turn, turn)]
    sides += [held(load + d, lay, hand, rope) for d in (-pull, pull)]
    taut = [np.asarray(side.bundle.strains) > 0.0 for side in sides]
    assume(all(bool((t == taut[0]).all()) for t in taut))
    length = float(sides[1].length - sides[0].length) / (2.0 * turn)
    torque = float(sides[3].torque - sides[2].torque) / (2.0 * pull)
    assert length == pytest.approx(-2.0 * np.pi * torque, rel=1e-3, abs=2e-8)


@given(st.floats(5.0, 60.0), st.floats(-150.0, 150.0), ROPES)
@settings(max_examples=30, deadline=None)
def test_a_rope_made_by_hand_is_laid_the_other_way(load, hand, rope):
    """It needs no torque, its lay is of the other hand and less than the turns by hand."""
    assume(abs(hand) > 1.0)
    found = balanced_lay(load, NATURAL, hand, rope)
    assume(bool(found.ok))
    made = found.value
    assert float(made.torque) == pytest.approx(0.0, abs=1e-9)
    assert -1.0 < float(made.lay_turns) / hand < 0.0
    assert float(made.bundle.turns) * hand > 0.0


@given(st.floats(-30.0, 30.0), st.floats(-60.0, 60.0), ROPES)
@settings(max_examples=60, deadline=None)
def test_turns_cost_strength(lay, hand, rope):
    """Strands that lie straight keep all their strength, any others less."""
    rope = replace(rope, bending=np.array(0.0), torsion=np.array(0.0))
    assert float(strength_kept(lay, hand, rope)) <= 1.0 + 1e-12


@given(st.floats(0.5, 100.0), st.floats(0.1, 4.0), st.floats(0.05, 1.0), st.floats(0.0, 1.0))
@settings(max_examples=60, deadline=None)
def test_a_splice_of_its_length_just_holds(grip, factor, cover, taper):
    """Its share is what was asked; a tenth more holds at every load, a tenth less at none."""
    length = float(splice_length(grip, factor, cover, taper).raise_for_failure().value)
    assert float(splice_share(length, grip, cover, taper)) == pytest.approx(0.5 * factor, rel=1e-8)
    over, under = (
        float(splice_hold(k * length, grip, 0.0, factor, cover, taper)) for k in (1.1, 0.9)
    )
    assert over == np.inf
    assert under == 0.0
