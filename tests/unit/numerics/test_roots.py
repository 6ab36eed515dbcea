"""Roots of batches of scalar equations."""

import numpy as np
import pytest

from strandwright.numerics.outcome import Reason
from strandwright.numerics.roots import newton_monotone


def test_smooth_roots_of_a_batch() -> None:
    """Each element is its own equation: x^3 + x = c for three hundred c."""
    root = np.linspace(-3.0, 5.0, 300)
    c = root**3 + root

    found = newton_monotone(lambda x: (x**3 + x - c, 3 * x**2 + 1), 0.0, -10.0, 10.0, tol=1e-13)

    assert found.ok.all() and found.reason is Reason.CONVERGED
    np.testing.assert_allclose(found.value, root, rtol=0, atol=1e-12)
    assert np.abs(found.residual).max() < 1e-10
    assert found.iterations <= 15


def test_tension_only_strands_share_a_load() -> None:
    """The slack stretch and the kinks of sum max(0, k (x - l)) = F do not stop the search.

    By hand: lengths 1.000, 1.001, 1.010 and k = 1000; F = 5 is carried by the first two,
    1000 (2x - 2.001) = 5, so x = 1.003.
    """
    lengths = np.array([1.000, 1.001, 1.010])

    def pull(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        stretch = x[:, None] - lengths
        return (
            1000.0 * np.maximum(stretch, 0.0).sum(axis=1) - 5.0,
            1000.0 * (stretch > 0.0).sum(axis=1),
        )

    for start in (0.5, 1.0, 1.003, 1.2):
        found = newton_monotone(pull, [start], [0.0], [2.0])
        assert found.ok.all()
        assert found.value == pytest.approx([1.003], abs=1e-12)


@pytest.mark.parametrize("start", [-4.0, -1.0, 0.3, 3.0, 9.0])
def test_newton_alone_would_run_away(start: float) -> None:
    """Plain Newton on arctan diverges from |x| > 1.39; the bracket brings it home."""
    found = newton_monotone(lambda x: (np.arctan(x), 1 / (1 + x * x)), start, -10.0, 20.0)
    assert found.ok.all() and found.value == pytest.approx(0.0, abs=1e-11)
    assert found.iterations <= 30


def test_a_flat_root_still_ends() -> None:
    """At a root of high order Newton creeps; the halving rule keeps the count bounded."""
    found = newton_monotone(lambda x: (x**9, 9 * x**8), 1.0, -1.5, 1.0, tol=1e-9)
    assert found.ok.all() and abs(found.value) < 1e-8
    assert found.iterations <= 100


@pytest.mark.parametrize("constant", [-9.0, 9.0])
def test_no_root_between_the_bounds(constant: float) -> None:
    """A function of one sign is reported, beside a neighbour that is solved."""
    shift = np.array([constant, 0.5])
    found = newton_monotone(lambda x: (x + shift, np.ones_like(x)), 0.0, -1.0, 1.0)
    assert [False, True] == found.ok.tolist()
    assert found.reason is Reason.NO_BRACKET
    assert found.value[1] == -0.5


def test_a_root_on_a_bound_is_a_root() -> None:
    """The bounds belong to the search."""
    for root in (-1.0, 1.0):
        found = newton_monotone(lambda x, r=root: (x - r, np.ones_like(x)), 0.0, -1.0, 1.0)
        assert found.ok.all() and found.value == root


def test_a_gap_in_the_data_stays_in_its_own_case() -> None:
    """NaN spoils one element of a batch, not the others."""
    c = np.array([1.0, np.nan])
    found = newton_monotone(lambda x: (x - c, np.ones_like(x)), 0.0, -5.0, 5.0)
    assert [True, False] == found.ok.tolist()
    assert found.reason is Reason.NOT_FINITE


def test_too_few_iterations_are_admitted() -> None:
    """An unfinished search is not passed off as an answer."""
    found = newton_monotone(lambda x: (np.exp(x) - 2.0, np.exp(x)), 9.0, 0.0, 9.0, max_iter=3)
    assert not found.ok.any() and found.reason is Reason.NOT_CONVERGED
    assert found.iterations == 3
