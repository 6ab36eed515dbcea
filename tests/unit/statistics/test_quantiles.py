"""Quantiles: as SciPy has them, for any degrees of freedom."""

from __future__ import annotations

import pytest
from scipy import stats

from strandwright.errors import InputError
from strandwright.statistics.quantiles import (
    chi_square_below,
    chi_square_quantile,
    normal_quantile,
)


@pytest.mark.parametrize("degrees", [0.5, 1.0, 2.0, 5.5, 11.3, 29.0, 100.0, 1000.0])
@pytest.mark.parametrize("chance", [1e-6, 0.025, 0.3, 0.5, 0.975, 0.999999])
def test_chi_square_is_as_scipy_has_it(degrees, chance):
    """To ten digits from a half to a thousand degrees, and the way back."""
    ours = chi_square_quantile(chance, degrees)
    assert ours == pytest.approx(stats.chi2.ppf(chance, degrees), rel=1e-10)
    assert chi_square_below(ours, degrees) == pytest.approx(chance, rel=1e-9)


def test_two_degrees_have_a_closed_form():
    """The tail of chi-square with two degrees is exp(-x/2)."""
    assert chi_square_quantile(0.5, 2.0) == pytest.approx(1.3862943611198906, rel=1e-12)
    assert chi_square_below(0.0, 3.0) == 0.0


def test_normal_is_as_scipy_has_it():
    """In the middle and far out."""
    for chance in (1e-9, 0.025, 0.5, 0.8, 0.99999):
        assert normal_quantile(chance) == pytest.approx(stats.norm.ppf(chance), abs=1e-12)


@pytest.mark.parametrize("chance", [0.0, 1.0, -0.1, float("nan")])
def test_a_chance_is_between_nought_and_one(chance):
    """And degrees of freedom are above nought."""
    with pytest.raises(InputError, match="chance"):
        normal_quantile(chance)
    with pytest.raises(InputError, match="chance"):
        chi_square_quantile(chance, 3.0)
    with pytest.raises(InputError, match="degrees"):
        chi_square_quantile(0.5, 0.0)
