"""Bundles of equal circles."""

import numpy as np
import pytest

from strandwright.errors import GeometryError
from strandwright.geometry.packing import (
    LAST_TABULATED,
    MOST,
    enclosing_ratio,
    is_tabulated,
    unit_centres,
)


@pytest.mark.parametrize("n", range(1, MOST + 1))
def test_every_packing_is_a_packing(n: int) -> None:
    """No two circles overlap and none leaves the container, at the ratio that is claimed."""
    z, r = unit_centres(n), 1.0 / enclosing_ratio(n)
    assert (n, 2) == z.shape
    assert np.hypot(*z.T).max() + r <= 1.0 + 1e-12
    if n > 1:
        first, second = np.triu_indices(n, 1)
        assert np.hypot(*(z[first] - z[second]).T).min() >= 2 * r - 1e-12


def test_more_strands_never_make_a_thinner_bundle() -> None:
    """The ratio does not fall with n, across the table's end too."""
    ratios = [enclosing_ratio(n) for n in range(1, MOST + 1)]
    assert min(np.diff(ratios)) > -1e-6


def test_table_and_stand_in_are_told_apart() -> None:
    """Up to 61 the packing is best found, beyond it is a stand-in."""
    assert LAST_TABULATED == 61
    assert is_tabulated(61) and not is_tabulated(62)


def test_no_denser_than_the_plane() -> None:
    """Circles in a circle never reach the density of the hexagonal lattice, pi/sqrt(12)."""
    for n in range(2, MOST + 1):
        assert n / enclosing_ratio(n) ** 2 < np.pi / np.sqrt(12)


def test_centres_cannot_be_spoilt() -> None:
    """The array is shared between callers and so is read-only."""
    with pytest.raises(ValueError, match="read-only"):
        unit_centres(24)[0, 0] = 1.0


@pytest.mark.parametrize("n", [0, -3, 201, 2.5])
def test_a_count_out_of_range_is_refused(n: int) -> None:
    """The error names the field and the range."""
    with pytest.raises(GeometryError, match=r"strands: .*1 to 200"):
        unit_centres(n)
