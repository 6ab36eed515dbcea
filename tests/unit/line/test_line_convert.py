"""Lengths carried between measuring conditions."""

import numpy as np
import pytest

from sample_line import INCH, LBF, model, unknowns
from strandwright.line.convert import Condition, convert

QUARTER, HALF = 0.25 * INCH, 0.5 * INCH
TURNS = np.array([29.0])


def carried(read: Condition, wanted: Condition, relaxed: float = 0.2) -> float:
    """Convert 57 in and give the change in inches."""
    length = convert(model(), unknowns(relaxed=relaxed), 57 * INCH, TURNS, read, wanted)
    return float(length[0]) / INCH - 57.0


def at(pounds: float, pin: float = QUARTER, warmth: float = 0.0) -> Condition:
    """Give a condition by its load in pounds."""
    return Condition(np.array([pounds * LBF]), pin, pin, warmth)


def test_thicker_pins_read_shorter() -> None:
    """On 1/2 in posts a string with closed eyes reads more than 0.143 in shorter than on 1/4."""
    change = carried(at(100), at(100, HALF))
    assert -0.40 < change < -(np.pi / 2 - 1) * 0.25


def test_hand_tight_reads_short() -> None:
    """From hand-tight to 100 lbf: more than the straight strands' 0.08 in, less than 1/2 in."""
    change = carried(at(15), at(100))
    straight = 57 * 85 * LBF / 24 / (1.2 * 12360.0)
    assert straight < change < 0.5


def test_what_has_relaxed_comes_back() -> None:
    """A line that has lost some of its bedding-in reads shorter still when slack."""
    kept, lost = (carried(at(15), at(100), relaxed=r) for r in (0.0, 0.4))
    assert lost > kept


def test_warmth() -> None:
    """A blend read warm with a steel tape reads short: carried to 20 degC it is longer."""
    change = carried(at(100, warmth=10.0), at(100))
    assert change == pytest.approx(57 * 10 * (1.08e-5 + 1.15e-5), rel=0.05)


def test_the_same_condition_changes_nothing() -> None:
    """To the rounding."""
    assert abs(carried(at(100), at(100))) < 1e-10


def test_many_cases_at_once_are_each_by_itself() -> None:
    """One that comes home early stands still beside the others, and breaks none."""
    turns = np.array([0.0, 5.0, 29.0, 60.0])
    loads = np.full(4, 15.0 * LBF), np.full(4, 100.0 * LBF)
    read, wanted = (Condition(load, QUARTER, QUARTER, 0.0) for load in loads)
    lengths = np.array([57.0, 57.0, 57.5, 56.0]) * INCH
    with np.errstate(all="raise"):
        together = convert(model(), unknowns(4), lengths, turns, read, wanted)
    for i in range(4):
        alone = [Condition(load[:1], QUARTER, QUARTER, 0.0) for load in loads]
        one = convert(model(), unknowns(), lengths[i : i + 1], turns[i : i + 1], *alone)
        np.testing.assert_allclose(together[i], one[0], atol=2e-9)
