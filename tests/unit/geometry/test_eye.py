"""Served loops seated on pins."""

import numpy as np
import pytest

from strandwright.geometry.eye import (
    fit_eye,
    outside_offset,
    passes_over,
    perimeter_from_loop_size,
    shortest_perimeter,
)

INCH = 0.0254


def test_a_half_angle_of_thirty_degrees_by_hand() -> None:
    """At 30 degrees the throat lies 2 rho away and two thirds of the pin are wrapped."""
    rho = 0.005
    perimeter = 2 * (np.sqrt(3) * rho + rho * 2 * np.pi / 3)
    fit = fit_eye(perimeter, 0.002, 0.008)
    assert fit.ok
    assert fit.throat_distance == pytest.approx(2 * rho, rel=1e-13)
    assert fit.half_angle == pytest.approx(np.pi / 6, rel=1e-12)
    assert fit.wrap_angle == pytest.approx(4 * np.pi / 3, rel=1e-12)


def test_legs_as_wide_apart_as_the_pin_make_a_belt() -> None:
    """With the throat rho off the axis the legs run parallel: half a bare ring."""
    rho, x = 0.005, 0.04
    fit = fit_eye(2 * x + np.pi * rho, 0.002, 0.008, rho)
    assert fit.throat_distance == pytest.approx(x, rel=1e-13)
    assert fit.half_angle == pytest.approx(0.0, abs=1e-12)
    assert fit.wrap_angle == pytest.approx(np.pi, rel=1e-12)


def test_an_open_throat_reaches_further() -> None:
    """Legs side by side give the same perimeter more reach than legs that meet."""
    reach = fit_eye(0.06, 0.0025, 0.00635, [0.0, 0.00125]).throat_distance
    assert reach[1] > reach[0]


def test_an_eye_too_short_is_marked_not_guessed() -> None:
    """Where the pin's girth exceeds the eye the answer is NaN; the others stay."""
    least = float(shortest_perimeter(0.0025, 0.00635))
    assert least == pytest.approx(np.pi * (0.0025 + 0.00635))
    fit = fit_eye([0.999 * least, least * (1 + 1e-12), 0.06, np.nan], 0.0025, 0.00635)
    assert [False, True, True, False] == fit.ok.tolist()
    assert [True, False, False, True] == np.isnan(fit.throat_distance).tolist()
    assert fit.throat_distance[1] == pytest.approx(0.5 * (0.0025 + 0.00635), rel=1e-5)
    assert fit.half_angle[1] == pytest.approx(np.pi / 2, abs=1e-3)


def test_the_offset_is_to_the_outside_of_the_pin() -> None:
    """Outside offset is throat distance plus half the pin, not half the leg too."""
    fit = fit_eye(0.06, 0.0025, 0.00635)
    assert outside_offset(0.06, 0.0025, 0.00635) == fit.throat_distance + 0.003175


def test_size_laid_flat() -> None:
    """Two legs and a half turn at half a leg thickness."""
    assert perimeter_from_loop_size(0.03, 0.002) == pytest.approx(0.06 + np.pi * 0.001)


def test_a_loop_passes_a_peg_by_its_inside() -> None:
    """A thicker serving leaves less inside: the same loop then no longer passes."""
    perimeter = np.pi * 0.02
    assert passes_over(perimeter, 0.002, 0.0179)
    assert not passes_over(perimeter, 0.002, 0.0181)
    assert not passes_over(perimeter, 0.003, 0.0179)
