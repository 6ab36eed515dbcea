"""The law of one strand."""

import numpy as np
import pytest

from strandwright.fibre.strand_law import strand_slope, strand_strain, strand_tension

LAW = (12000.0, 1.3, 0.025)


def test_the_law_passes_through_zero_and_break() -> None:
    """Whatever the softening, the load at break is secant times strain, and none when slack."""
    for softening in (1.0, 1.3, 1.9):
        assert strand_tension(0.025, 12000.0, softening, 0.025) == pytest.approx(300.0, rel=1e-14)
        assert strand_tension(-0.01, 12000.0, softening, 0.025) == 0.0


def test_the_slope_is_the_derivative() -> None:
    """Central differences on both sides of the break strain; none for a slack strand."""
    strain = np.array([0.001, 0.01, 0.02, 0.0249, 0.026, 0.05])
    h = 1e-7
    difference = (strand_tension(strain + h, *LAW) - strand_tension(strain - h, *LAW)) / (2 * h)
    np.testing.assert_allclose(strand_slope(strain, *LAW), difference, rtol=1e-7)
    assert strand_slope(-0.01, *LAW) == 0.0
    assert strand_slope(1e-9, *LAW) == pytest.approx(1.3 * 12000.0, rel=1e-6)


def test_past_the_break_strain_the_law_goes_on_along_its_tangent() -> None:
    """It never falls, so that a solver cannot lose its way."""
    strain = np.linspace(0.0, 0.5, 2001)
    for softening in (1.0, 1.5, 1.99):
        tension = strand_tension(strain, 12000.0, softening, 0.025)
        assert np.all(np.diff(tension) > 0.0)
    assert strand_tension(0.035, *LAW) == pytest.approx(300.0 + 0.7 * 12000.0 * 0.01)


def test_strain_undoes_tension() -> None:
    """To the break strain, and for a straight law without cancellation."""
    strain = np.linspace(0.0, 0.025, 26)
    back = strand_strain(strand_tension(strain, *LAW), *LAW)
    np.testing.assert_allclose(back, strain, atol=1e-15)
    for softening in (1.0, 1.0 + 1e-13):
        assert strand_strain(30.0, 12000.0, softening, 0.025) == pytest.approx(0.0025, rel=1e-12)


def test_a_load_over_the_curve_has_no_strain() -> None:
    """Above the top of the curve the strain is NaN."""
    assert np.isnan(strand_strain(1000.0, *LAW))
