"""Strength of bundles of unequal strands."""

import numpy as np
import pytest

from strandwright.fibre.bundle_strength import (
    VARIATION_RANGE,
    coleman_efficiency,
    modulus_from_variation,
    variation_from_modulus,
)


def test_more_even_strands_make_a_stronger_bundle() -> None:
    """Efficiency rises with the modulus towards 1, and the variation falls to 1.28 / m."""
    moduli = [0.5, 1.0, 3.0, 10.0, 100.0, 5000.0]
    efficiency = [coleman_efficiency(m) for m in moduli]
    assert np.all(np.diff(efficiency) > 0.0)
    assert 0.998 < efficiency[-1] < 1.0
    assert coleman_efficiency(1.0) == pytest.approx(1 / np.e)
    assert 1000 * variation_from_modulus(1000.0) == pytest.approx(np.pi / np.sqrt(6), rel=1e-2)


@pytest.mark.parametrize("variation", [*VARIATION_RANGE, 0.001, 0.03, 0.2, 1.0])
def test_the_modulus_gives_its_variation_back(variation: float) -> None:
    """Over the whole range; near even strands the gamma functions leave 1e-5."""
    assert variation_from_modulus(modulus_from_variation(variation)) == pytest.approx(
        variation, rel=1e-5
    )
