"""Length standards refuse what no standard covers."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from strandwright.errors import InputError
from strandwright.line import standards

NAN = float("nan")


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: standards.measuring_load(0.0), "draw_weight"),
        (lambda: standards.measuring_load(NAN), "draw_weight"),
        (lambda: standards.string_length(0.05), "bow_length"),
        (lambda: standards.bow_length(-1.0), "string_length"),
        (lambda: standards.outside_length(1.0, 0.0), "pin_diameter"),
        (lambda: standards.outside_length(0.005), "length"),
        (lambda: standards.centre_distance(0.012), "length"),
        (lambda: standards.bare_loop_perimeter(NAN), "length"),
        (lambda: standards.bare_loop_reading_change(0.00635, -0.01), "pin_diameter"),
        (lambda: standards.true_draw_length(0.0), "pivot_distance"),
        (lambda: standards.pivot_distance(0.04), "true_draw_length"),
        (lambda: standards.let_off(0.0, 0.0), "peak"),
        (lambda: standards.let_off(100.0, 120.0), "holding"),
        (lambda: standards.let_off(100.0, NAN), "holding"),
    ],
)
def test_impossible_values_are_named(call: Callable[[], float], field: str) -> None:
    """The error names the quantity that cannot be, NaN included, and says what to do."""
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.field == field
    assert caught.value.remedy


def test_let_off_runs_from_zero_to_one() -> None:
    """No let-off when the peak is held, all of it when nothing is."""
    assert standards.let_off(100.0, 100.0) == 0.0
    assert standards.let_off(100.0, 0.0) == 1.0
