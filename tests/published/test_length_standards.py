"""Length and draw definitions of the archery standards, as printed.

Sources: archery trade association standards, Field Publication FP-3, 2000 (same text in the 1987
edition): bow length, master cable, true draw length. ASTM F1880-09, 3.2.1 and 3.2.2: draw length
and brace height. A public paraphrase of FP-3 for dwell, the 50 lb variant and the 60 in example
(single source). All facts are definitions, so tolerances are those of floating point, except where
digits were printed rounded.
"""

from __future__ import annotations

import pytest

from strandwright.line import standards
from strandwright.reference import practice

INCH = 0.0254
LBF = 4.4482216152605
EXACT = 1e-12


@pytest.mark.parametrize(
    ("label", "length"), [(66.0, 63.0), (60.0, 57.0), (48.0, 45.0), (72.0, 69.0)]
)
def test_bow_length_is_string_plus_three_inches(label: float, length: float) -> None:
    """Printed pairs: a 66 in bow has a 63 in master, and masters of 45-69 in brace 48-72 in."""
    assert standards.string_length(label * INCH) / INCH == pytest.approx(length, abs=EXACT)
    assert standards.bow_length(length * INCH) / INCH == pytest.approx(label, abs=EXACT)


def test_trade_allowance_of_four_inches() -> None:
    """Sellers who take 4 in off call 62 in what the standard calls 63."""
    assert standards.string_length(66 * INCH, 4 * INCH) / INCH == pytest.approx(62.0, abs=EXACT)


def test_measuring_condition_constants() -> None:
    """1/4 in pins, 100 lbf, 20 s, or 50 lbf; the reference table says the same."""
    assert pytest.approx(0.25 * INCH) == standards.MEASURING_PIN_DIAMETER
    pairs = {
        "measuring.pin_diameter": standards.MEASURING_PIN_DIAMETER,
        "measuring.load": standards.MEASURING_LOAD,
        "measuring.light_load": standards.LIGHT_MEASURING_LOAD,
        "measuring.light_below": standards.LIGHT_BOW_BELOW,
        "measuring.dwell": standards.MEASURING_DWELL,
        "label.bow_length_allowance": standards.BOW_LENGTH_ALLOWANCE,
        "draw.pivot_offset": standards.PIVOT_OFFSET,
    }
    for key, value in pairs.items():
        assert practice(key).value == pytest.approx(value, rel=EXACT), key


@pytest.mark.parametrize(
    ("weight", "load"), [(70.0, 100.0), (41.0, 100.0), (40.0, 100.0), (39.0, 50.0)]
)
def test_load_by_draw_weight(weight: float, load: float) -> None:
    """Bows over 40 lb are measured at 100 lb, under 40 lb at 50 lb."""
    assert standards.measuring_load(weight * LBF) / LBF == pytest.approx(load, rel=EXACT)


def test_outside_and_centre_lengths() -> None:
    """63.000 in outside to outside over 0.250 in pins is 62.750 in between centres, and back."""
    between = standards.centre_distance(63 * INCH)
    assert between / INCH == pytest.approx(62.750, abs=EXACT)
    assert standards.outside_length(between) / INCH == pytest.approx(63.0, abs=EXACT)


def test_inside_perimeter() -> None:
    """The same loop has an inside perimeter of 126.285 in (half of the last digit)."""
    perimeter = standards.bare_loop_perimeter(63 * INCH)
    assert perimeter / INCH == pytest.approx(126.285, abs=0.5e-3)


def test_wrong_pins_cost_more_than_the_tolerance() -> None:
    """From 0.250 to 0.375 in pins the bare loop reads 0.0713 in shorter, over 1/16 in."""
    change = standards.bare_loop_reading_change(0.250 * INCH, 0.375 * INCH)
    assert change / INCH == pytest.approx(-0.0713, abs=0.5e-4)
    assert abs(change) > practice("tolerance.master_cable").value


def test_pin_change_keeps_the_perimeter() -> None:
    """The reading on the new pins belongs to a loop of the same perimeter."""
    thin, thick = 0.25 * INCH, 0.375 * INCH
    reading = 63 * INCH + standards.bare_loop_reading_change(thin, thick)
    assert standards.bare_loop_perimeter(reading, thick) == pytest.approx(
        standards.bare_loop_perimeter(63 * INCH, thin), rel=EXACT
    )


def test_centre_distance_change_of_the_pins() -> None:
    """At fixed perimeter the centres come 0.1963 in closer (half of the last digit)."""
    thin, thick = 0.25 * INCH, 0.375 * INCH
    reading = 63 * INCH + standards.bare_loop_reading_change(thin, thick)
    closer = standards.centre_distance(reading, thick) - standards.centre_distance(63 * INCH, thin)
    assert closer / INCH == pytest.approx(-0.1963, abs=0.5e-4)


def test_true_draw_length() -> None:
    """FP-3 and F1880: 26 1/4 in from the pivot is a draw length of 28 in, and back."""
    assert standards.true_draw_length(26.25 * INCH) / INCH == pytest.approx(28.0, abs=EXACT)
    assert standards.pivot_distance(28 * INCH) / INCH == pytest.approx(26.25, abs=EXACT)
    assert pytest.approx(0.04445, abs=EXACT) == standards.PIVOT_OFFSET


def test_zero_force_row() -> None:
    """A brace height of 7 1/4 in puts zero force at 9 in of true draw length."""
    assert standards.true_draw_length(7.25 * INCH) / INCH == pytest.approx(9.0, abs=EXACT)


@pytest.mark.parametrize(("peak", "holding", "percent"), [(70.0, 14.0, 80.0), (60.0, 21.0, 65.0)])
def test_let_off(peak: float, holding: float, percent: float) -> None:
    """70 lb held at 14 is 80 % let-off, 60 held at 21 is 65 %."""
    assert 100 * standards.let_off(peak * LBF, holding * LBF) == pytest.approx(percent, abs=1e-10)
