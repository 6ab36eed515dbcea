"""Efficiency of bundles of unequally strong strands.

Sources: H. E. Daniels, The statistical theory of the strength of bundles of threads I,
*Proceedings of the Royal Society A* 183 (1945) 405-435; B. D. Coleman, On the strength of
classical fibres and fibre bundles, *Journal of the Mechanics and Physics of Solids* 7 (1958)
60-70. The efficiency (m e)^(-1/m) / Gamma(1 + 1/m) is from memory; its digits and those of the
coefficient of variation were computed apart from this program.
"""

import numpy as np
import pytest
from scipy.special import gamma
from scipy.stats import weibull_min

from strandwright.errors import InputError
from strandwright.fibre.bundle_strength import (
    coleman_efficiency,
    modulus_from_variation,
    variation_from_modulus,
)


@pytest.mark.parametrize(
    ("modulus", "printed", "variation"),
    [
        (5, "0.6463", "22.9"),
        (10, "0.7555", "12.0"),
        (20, "0.8412", "6.2"),
        (30, "0.8795", "4.2"),
        (50, "0.9167", "2.5"),
    ],
)
def test_efficiency(record, modulus: int, printed: str, variation: str) -> None:
    """Efficiency and variation by Weibull modulus meet their digits; the modulus comes back."""
    source, half = "Large bundle over mean strand", "half the last digit"
    record(source, f"efficiency, m = {modulus}", printed, coleman_efficiency(modulus), 5e-5, half)
    spread = variation_from_modulus(modulus)
    record(source, f"variation, m = {modulus}", variation, 100 * spread, 0.05, half, "%")
    assert spread == pytest.approx(weibull_min(modulus).std() / weibull_min(modulus).mean())
    assert modulus_from_variation(spread) == pytest.approx(modulus, rel=1e-9)
    direct = (modulus * np.e) ** (-1 / modulus) / gamma(1 + 1 / modulus)
    assert coleman_efficiency(modulus) == pytest.approx(direct, rel=1e-12)


def test_practice_of_even_yarns() -> None:
    """A variation of 2 to 4 % leaves 0.88 to 0.93 of the mean strand, before end effects."""
    few, many = (coleman_efficiency(modulus_from_variation(v)) for v in (0.04, 0.02))
    assert 0.88 < few < 0.89
    assert 0.92 < many < 0.94


def test_a_bundle_counted_strand_by_strand() -> None:
    """The strongest instant of 4000 strands with m = 10 carries the efficiency, within 1 %."""
    rng = np.random.default_rng(20260101)
    strength = np.sort(weibull_min(10).rvs(4000, random_state=rng))
    surviving = np.arange(4000, 0, -1)
    best = (strength * surviving).max() / 4000 / weibull_min(10).mean()
    assert best == pytest.approx(coleman_efficiency(10), rel=0.01)


@pytest.mark.parametrize("bad", [0.0, -3.0, float("nan")])
def test_no_modulus_without_scatter(bad: float) -> None:
    """A modulus or a variation that cannot be is refused with its name."""
    with pytest.raises(InputError, match="weibull_modulus"):
        coleman_efficiency(bad)
    with pytest.raises(InputError, match="weibull_modulus"):
        variation_from_modulus(bad)
    with pytest.raises(InputError, match="variation"):
        modulus_from_variation(bad)
