"""Torsion of bars in series, and the torque of a pulled bundle: a peep between two stretches.

Sources: J. M. Gere and S. P. Timoshenko, *Mechanics of Materials* (chapter on torsion: bars in
series, and the bar held at both ends), from memory; the torque of a twisted bundle under uniform
stress, M = F (R/2) tan a, by elementary mechanics. Two bars joined end to end share an angle of
twist as L/GJ, and their joint turns by what the bar behind it takes. A pulled bundle of strands
has F R^2/2 in place of GJ, a serving adds the stiffness of its thread. The printed digits were
worked out by hand from those formulas, apart from this program.
"""

from __future__ import annotations

import numpy as np
import pytest

from strandwright.fibre.twist import StrandSet, span_length
from strandwright.line.peep_turn import HeldPieces, peep_turn, turned_by_added

LBF = 4.4482216152605
RADIUS = 1.292e-3
LOAD = 300.0 * LBF
#: So many strands fill a circle evenly; so stiff that none stretches.
COUNT, STIFF = 4000, 1e7


def strands() -> StrandSet:
    """Give strands that share the load and fill the circle."""
    one = np.ones((1, 1))
    radii = np.sqrt((np.arange(COUNT) + 0.5) / COUNT)
    return StrandSet(radii, STIFF * one, one, 0.5, one)


def pieces(naturals: list[float], turns: list[float], thread: list[float]) -> HeldPieces:
    """Give two stretches of that bundle."""
    rows = [np.array([values]) for values in (naturals, turns, thread)]
    none = np.zeros_like(rows[0])
    return HeldPieces(rows[0], rows[1], none + RADIUS, rows[2], none, none, strands())


@pytest.mark.parametrize(("turns", "printed"), [(20, "93"), (30, "140"), (40, "187")])
def test_torque_of_a_pulled_bundle(record, turns: int, printed: str) -> None:
    """F (R/2) tan a with tan a = 2 pi R N / L, 300 lbf on 1500 mm of twisted line."""
    one = span_length([[LOAD]], 1.5, [[float(turns)]], [[RADIUS]], strands())
    # As long before the twist as leaves 1500 mm after it.
    natural = 1.5 * 1.5 / float(np.ravel(one.length)[0])
    span = span_length([[LOAD]], natural, [[float(turns)]], [[RADIUS]], strands())
    assert float(np.ravel(span.length)[0]) == pytest.approx(1.5, rel=1e-3)
    source, ours = "Torque of a twisted bundle", 1e3 * float(np.ravel(span.torque)[0])
    gap = "half the last digit, and 1 % of obliquity: strands run on helices, not straight"
    record(source, f"{turns} turns", printed, ours, 0.5 + 0.01 * int(printed), gap, "N mm")


def test_a_turn_at_an_end_is_shared_by_length(record) -> None:
    """Two bars alike of 600 and 900 mm: the joint goes along by what lies on its other side."""
    held = pieces([0.6, 0.9], [0.4, 0.6], [0.0, 0.0])
    zero, far = turned_by_added(held, np.array([True, False]), LOAD)
    source, half = "Joint of two bars by one turn at an end", "half the last digit"
    record(source, "at the end of the 600 mm bar", "-0.600", float(zero[0]), 5e-4, half, "turn")
    record(source, "at the end of the 900 mm bar", "0.400", float(far[0]), 5e-4, half, "turn")


def test_a_load_moves_turns_between_a_bare_and_a_served_bar(record) -> None:
    """600 mm bare, 900 mm with 2e-4 N m^2 of thread, 2 turns: from 1.013 bare to 0.880."""
    held = pieces([0.6, 0.9], [1.0, 1.0], [0.0, 2e-4])
    turned = float(peep_turn(held, np.array([True, False]), 100 * LBF, LOAD)[0])
    source, gap = "Joint of a bare and a served bar, 100 to 300 lbf", "small angles in the hand sum"
    record(source, "2 turns in all", "-0.1323", turned, 5e-4, gap, "turn")
