"""Relations that a peep's turn must keep for any line: symmetry, mirror, hand, cut, load."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandwright.fibre.bundle import filled_radii
from strandwright.fibre.twist import StrandSet
from strandwright.line.peep_turn import HeldPieces, balance, peep_turn, turned_by_added

LBF = 4.4482216152605
LENGTH, TURNS = st.floats(0.1, 0.8), st.floats(0.5, 12.0)
THREAD = st.one_of(st.just(0.0), st.floats(2e-5, 6e-4))
SHARE, LOAD = st.floats(0.0, 1.0), st.floats(8.0, 400.0).map(lambda pounds: pounds * LBF)
PIECE = st.tuples(LENGTH, TURNS, THREAD)


def held(rows: list[tuple[float, float, float]], share: float) -> HeldPieces:
    """Give pieces of 24 strands by length, turns and thread."""
    naturals, turns, thread = (np.array([column]) for column in zip(*rows, strict=True))
    one, none = np.ones((1, 1)), np.zeros_like(naturals)
    strands = StrandSet(filled_radii(24), 12360.0 * one, 1.2 * one, 0.025, share * one)
    return HeldPieces(naturals, turns, np.full_like(naturals, 1.3e-3), thread, none, none, strands)


def turn(rows: list[tuple[float, float, float]], peep: int, share: float, *loads: float) -> float:
    """Turn of a peep that sits after so many of the pieces."""
    before = np.arange(len(rows)) < peep
    return float(peep_turn(held(rows, share), before, *loads)[0])


@settings(max_examples=40)
@given(st.lists(PIECE, min_size=1, max_size=3), SHARE, LOAD, LOAD)
def test_a_peep_amid_a_symmetrical_line_does_not_turn(
    half: list[tuple[float, float, float]], share: float, braced: float, drawn: float
) -> None:
    """Both sides want the same, whatever the load."""
    rows = [*half, *reversed(half)]
    assert abs(turn(rows, len(half), share, braced, drawn)) < 1e-7


@settings(max_examples=40)
@given(st.lists(PIECE, min_size=2, max_size=4), SHARE, LOAD, LOAD, st.data())
def test_a_line_turned_end_for_end_turns_its_peep_the_other_way(
    rows: list[tuple[float, float, float]],
    share: float,
    braced: float,
    drawn: float,
    data: st.DataObject,
) -> None:
    """What comes to one side is what the other loses."""
    peep = data.draw(st.integers(1, len(rows) - 1))
    there = turn(rows, peep, share, braced, drawn)
    back = turn(rows[::-1], len(rows) - peep, share, braced, drawn)
    assert back == pytest.approx(-there, abs=1e-7)


@settings(max_examples=30)
@given(st.lists(PIECE, min_size=2, max_size=3), SHARE, LOAD, LOAD)
def test_the_other_hand_is_the_mirror_image(
    rows: list[tuple[float, float, float]], share: float, braced: float, drawn: float
) -> None:
    """All turns of the other sense turn the peep as far in the other sense."""
    mirrored = [(length, -turns, thread) for length, turns, thread in rows]
    there, other = (turn(r, 1, share, braced, drawn) for r in (rows, mirrored))
    assert other == pytest.approx(-there, abs=1e-7)


@settings(max_examples=30)
@given(st.lists(PIECE, min_size=2, max_size=3), SHARE, LOAD, LOAD, st.floats(0.1, 0.9))
def test_a_piece_cut_in_two_changes_nothing(
    rows: list[tuple[float, float, float]],
    share: float,
    braced: float,
    drawn: float,
    cut: float,
) -> None:
    """Where a piece is divided is of no account."""
    length, turns, thread = rows[0]
    parts = [(cut * length, cut * turns, thread), ((1 - cut) * length, (1 - cut) * turns, thread)]
    whole = turn(rows, 1, share, braced, drawn)
    assert turn([*parts, *rows[1:]], 2, share, braced, drawn) == pytest.approx(whole, abs=1e-7)


@settings(max_examples=30)
@given(st.lists(PIECE, min_size=2, max_size=3), SHARE, LOAD, LOAD, LOAD)
def test_the_way_between_two_loads_goes_over_any_third(
    rows: list[tuple[float, float, float]], share: float, a: float, b: float, c: float
) -> None:
    """There is no friction: it turns back as far as it came, whatever lies between."""
    over = turn(rows, 1, share, a, b) + turn(rows, 1, share, b, c)
    assert turn(rows, 1, share, a, c) == pytest.approx(over, abs=1e-7)
    assert turn(rows, 1, share, b, a) == pytest.approx(-turn(rows, 1, share, a, b), abs=1e-7)


@settings(max_examples=30)
@given(TURNS, THREAD.filter(lambda k: k > 0), LENGTH, LENGTH, SHARE, LOAD)
def test_a_rising_load_unwinds_the_bare_side(
    turns: float, thread: float, bare: float, served: float, share: float, load: float
) -> None:
    """Thread that bore little at first takes what the strands no longer bear so easily."""
    rows = [(bare, turns, 0.0), (served, turns, thread)]
    assert turn(rows, 1, share, load, 2.0 * load) < 0.0
    stiffer = [(bare, turns, 0.0), (served, turns, 0.0)]
    assert abs(turn(stiffer, 1, 1.0, load, 2.0 * load)) < 2e-2 * turns


@settings(max_examples=30)
@given(st.lists(PIECE, min_size=2, max_size=3), SHARE, LOAD)
def test_turns_at_both_ends_together_turn_it_whole(
    rows: list[tuple[float, float, float]], share: float, load: float
) -> None:
    """One in at the far end and one out at the zero end go once round with all of the line."""
    pieces, before = held(rows, share), np.arange(len(rows)) < 1
    zero, far = turned_by_added(pieces, before, load)
    assert float(far[0] - zero[0]) == pytest.approx(1.0, abs=1e-12)
    more = balance(pieces, load, 0.01).turns - balance(pieces, load).turns
    assert float(more[0, 0]) / 0.01 == pytest.approx(float(far[0]), rel=0.1)


def test_a_serving_laid_on_the_twisted_line_moves_no_turns() -> None:
    """Its thread bears nothing at those turns; one that was twisted with the line does."""
    rows = [(0.6, 12.0, 0.0), (0.6, 12.0, 3e-4)]
    laid = replace(held(rows, 0.5), relaxed=np.array([[0.0, 12.0]]))
    before = np.array([True, False])
    same = float(peep_turn(laid, before, 200 * LBF, 400 * LBF)[0])
    assert abs(same) < 1e-6
    free = float(peep_turn(held(rows, 0.5), before, 200 * LBF, 400 * LBF)[0])
    assert free != pytest.approx(same, abs=1e-3)
