"""What plots are ruled with: round steps, numbers as long as their step, ranges and curves."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandwright.drawing.chart import (
    curve,
    footed,
    number,
    ranged,
    round_step,
    round_steps,
    rule,
    ruled,
)
from strandwright.drawing.tokens import palette_of

PALETTE = palette_of("light")


@pytest.mark.parametrize(
    ("span", "most", "step"), [(7.0, 8, 1.0), (21.0, 8, 5.0), (0.3, 6, 0.05), (10.0, 5, 2.0)]
)
def test_a_span_is_cut_in_few_round_parts(span, most, step):
    """1, 2 or 5 times a power of ten."""
    assert round_step(span, most) == pytest.approx(step)


@given(span=st.floats(1e-3, 1e6), most=st.integers(2, 12))
def test_no_step_could_be_smaller(span, most):
    """It cuts the span into no more parts than asked, and less than two and a half times fewer."""
    parts = span / round_step(span, most)
    assert parts <= most * (1.0 + 1e-9)
    assert parts >= most / 2.5 * (1.0 - 1e-9)


def test_an_axis_is_ruled_from_end_to_end():
    """Both ends are among its numbers, and nought has no minus."""
    assert round_steps(-4.0, 4.0, 4) == [-4.0, -2.0, 0.0, 2.0, 4.0]
    numbers = [number(v, 0.05) for v in (-0.25, -1e-12, 0.5)]
    assert numbers == ["\u22120.25", "0.00", "0.50"]
    parts = ruled([(0.0, "0"), (1.0, "1")], (10.0, 90.0), lambda v: 50.0 - 40.0 * v, PALETTE)
    assert 'y1="50.0"' in parts[0]
    assert 'y1="10.0"' in parts[2]


def test_ranges_curves_and_rules_lie_where_they_are_placed():
    """The band goes out along its upper edge and back along its lower one."""

    def place(value: float) -> float:
        return 10.0 * value

    band = ranged((1.0, 2.0), (3.0, 4.0), (5.0, 6.0), place, place, PALETTE)
    assert 'points="10.0,50.0 20.0,60.0 20.0,40.0 10.0,30.0"' in band
    assert 'points="10.0,30.0 20.0,40.0"' in curve((1.0, 2.0), (3.0, 4.0), place, place, PALETTE)
    assert 'stroke-dasharray="3 4"' in rule(0, 0, 1, 1, "#000000", 2.0, "3 4")
    tick, text = footed(30.0, 80.0, "5", PALETTE)
    assert 'y2="85.0"' in tick
    assert ">5<" in text
