"""Definitions of draw, let-off, fill and rating, and the force-draw table."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from strandwright.bow.definitions import (
    SPEED_RATINGS,
    brace_height,
    draw_length,
    fill_factor,
    kinetic_energy,
    let_off_percent,
    static_quality,
    zero_force_draw,
)
from strandwright.bow.draw_table import hysteresis, stored_energy, with_zero_row
from strandwright.errors import InputError
from strandwright.line.standards import let_off, true_draw_length
from strandwright.units import INCH


def test_let_off_agrees_with_the_share_of_the_length_standards() -> None:
    """A batch of percents is a hundred times what the one-bow function gives."""
    peak, holding = np.array([70.0, 60.0, 50.0]), np.array([14.0, 21.0, 50.0])
    expected = [100 * let_off(p, h) for p, h in zip(peak, holding, strict=True)]
    np.testing.assert_allclose(let_off_percent(peak, holding), expected, rtol=1e-14)


def test_brace_height_is_square_to_a_string_that_leans() -> None:
    """Turning bow and string together changes nothing; sliding along the string neither."""
    pivot, upper, lower = np.array([0.18, 0.1]), np.array([0.0, 0.8]), np.array([0.0, -0.7])
    angle = 0.3
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    assert brace_height(pivot, upper, lower) == pytest.approx(0.18, rel=1e-14)
    turned = brace_height(turn @ pivot, turn @ upper, turn @ lower)
    assert turned == pytest.approx(0.18, rel=1e-14)
    slid = brace_height(pivot + np.array([0.0, 0.2]), upper, lower)
    assert slid == pytest.approx(0.18, rel=1e-14)


def test_draw_length_is_the_length_standards_draw_length() -> None:
    """Nocking point and pivot level or not, only the distance square to the upright counts."""
    pivot = np.array([0.0, 0.0])
    for height in (0.0, 0.04):
        ours = draw_length([-26.25 * INCH, height], pivot)
        assert ours == pytest.approx(true_draw_length(26.25 * INCH), rel=1e-14)
    leaning = draw_length([-26.25 * INCH, 0.04], pivot, upright=[0.1, 1.0])
    assert leaning > draw_length([-26.25 * INCH, 0.04], pivot)


def test_draw_at_brace_is_the_row_of_zero_force() -> None:
    """The undrawn string stands at the draw where the force is zero."""
    height = float(brace_height([0.0, 0.0], [-0.19, 0.7], [-0.19, -0.7]))
    assert draw_length([-0.19, 0.03], [0.0, 0.0]) == pytest.approx(zero_force_draw(height))


def test_a_straight_line_fills_a_half() -> None:
    """Trapezoid and cubics agree on a straight line, and its fill factor is one half."""
    draw, force = np.array([0.2, 0.3, 0.55]), np.array([0.0, 100.0, 350.0])
    for rule in ("trapezoid", "smooth"):
        energy = stored_energy(draw, force, rule)
        assert fill_factor(energy, 350.0, 0.35) == pytest.approx(0.5, rel=1e-14)
    assert static_quality(energy, 350.0, 0.7) == pytest.approx(0.25, rel=1e-14)


def test_smooth_rule_is_exact_for_a_parabola_of_uneven_rows() -> None:
    """The curve x (2 - x) from 0 to 1.5 has the area 1.125 whatever the rows, in a batch too."""
    draw = np.array([0.0, 0.2, 0.3, 0.7, 1.1, 1.5])
    force = np.stack([draw * (2 - draw), 3 * draw * (2 - draw)])
    np.testing.assert_allclose(stored_energy(draw, force, "smooth"), [1.125, 3.375], rtol=1e-14)


def test_order_of_the_rules() -> None:
    """Halving the step divides the error by 4 for trapezoids and by 16 for cubics."""
    exact = 1.0 - np.cos(2.0)

    def error(rows: int, rule: str) -> float:
        draw = np.linspace(0.0, 2.0, rows)
        return abs(float(stored_energy(draw, np.sin(draw), rule)) - exact)  # type: ignore[arg-type]

    assert np.log2(error(21, "trapezoid") / error(41, "trapezoid")) == pytest.approx(2.0, abs=0.05)
    # The slopes of the second rows from the ends are a step of their own, hence the wider band.
    assert np.log2(error(41, "smooth") / error(81, "smooth")) > 3.7


def test_energy_adds_up_over_a_table_cut_in_two() -> None:
    """Trapezoids to a row and from it on are the whole."""
    draw = np.linspace(0.2, 0.7, 11)
    force = 300 * (draw - 0.2) ** 0.8
    parts = stored_energy(draw[:5], force[:5]) + stored_energy(draw[4:], force[4:])
    assert parts == pytest.approx(stored_energy(draw, force), rel=1e-14)


def test_zero_row_is_put_in_front_once() -> None:
    """A table from 10 in on gets its row at 9 in; one that has it is left alone."""
    draw, force = np.array([10.0, 12.0]) * INCH, np.array([20.0, 60.0])
    once = with_zero_row(draw, force, 7.25 * INCH)
    np.testing.assert_allclose(once[0] / INCH, [9.0, 10.0, 12.0], rtol=1e-14)
    np.testing.assert_array_equal(once[1], [0.0, 20.0, 60.0])
    again = with_zero_row(*once, 7.25 * INCH)
    np.testing.assert_array_equal(again, once)


def test_hysteresis_is_a_share_of_the_draw() -> None:
    """A let-down of 90 J after a draw of 100 J has lost a tenth; none lost is zero."""
    assert hysteresis(100.0, 90.0) == pytest.approx(0.1, rel=1e-14)
    assert hysteresis(100.0, 100.0) == 0.0


def test_kinetic_energy_grows_with_the_square() -> None:
    """Twice the speed is four times the energy, in a batch."""
    np.testing.assert_allclose(kinetic_energy(0.02, [50.0, 100.0]), [25.0, 100.0], rtol=1e-14)


def test_each_rating_says_where_it_stands() -> None:
    """Names are unique and every rating has a source."""
    assert len({rating.name for rating in SPEED_RATINGS}) == len(SPEED_RATINGS) == 2
    assert all(rating.source for rating in SPEED_RATINGS)


@pytest.mark.parametrize(
    ("call", "field", "given"),
    [
        (lambda: let_off_percent(0.0, 0.0), "peak", 0.0),
        (lambda: let_off_percent([70.0, 60.0], [14.0, 61.0]), "holding", 61.0),
        (lambda: let_off_percent("much", 14.0), "peak", "much"),
        (lambda: brace_height([0.1, 0.0, 0.0], [0, 1], [0, 0]), "pivot", (3,)),
        (lambda: brace_height([0.1, 0.0], [0, 1], [0, 1]), "upper", [0.0, 0.0]),
        (lambda: draw_length([0.1, 0.0], [0, 1], [0, 0]), "upright", [0.0, 0.0]),
        (lambda: zero_force_draw(-0.1), "brace_height", -0.1),
        (lambda: fill_factor(-1.0, 100.0, 0.5), "energy", -1.0),
        (lambda: fill_factor(1.0, 100.0, 0.0), "stroke", 0.0),
        (lambda: static_quality(1.0, 100.0, 0.0), "grip_to_string", 0.0),
        (lambda: kinetic_energy(0.02, -1.0), "speed", -1.0),
        (lambda: hysteresis(90.0, 100.0), "letting_down", 100.0),
        (lambda: hysteresis(0.0, 0.0), "drawing", 0.0),
        (lambda: stored_energy([0.1, 0.2], [1.0, 2.0, 3.0]), "draw", ((2,), (3,))),
        (lambda: stored_energy([0.2], [1.0]), "draw", ((1,), (1,))),
        (lambda: stored_energy([0.2, 0.2], [1.0, 2.0]), "draw", 0.0),
        (lambda: stored_energy([0.2, 0.3], [1.0, -2.0]), "force", -2.0),
        (lambda: with_zero_row([0.1, 0.2], [0.0, 2.0], 0.15), "draw", (0.1, 0.0)),
    ],
)
def test_what_cannot_be_is_refused_by_name(
    call: Callable[[], object], field: str, given: object
) -> None:
    """The error names the field, the value, the rule and the next act."""
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.field == field
    assert caught.value.given == given
    assert caught.value.rule
    assert caught.value.remedy


def test_not_a_number_is_refused() -> None:
    """A NaN keeps no rule."""
    with pytest.raises(InputError) as caught:
        fill_factor(np.nan, 1.0, 1.0)
    assert caught.value.field == "energy"
