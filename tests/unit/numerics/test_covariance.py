"""Promises of the factors of a covariance."""

import numpy as np
import pytest

from strandwright.errors import SpecError
from strandwright.numerics.covariance import covariance_factor, is_diagonal, symmetric_root


@pytest.mark.parametrize("rank", [1, 3, 6])
def test_a_semi_definite_covariance_has_as_many_directions_as_its_rank(rank):
    """The factor rebuilds the covariance with one column for each independent direction."""
    roots = np.random.default_rng(rank).normal(size=(6, rank))
    factor = covariance_factor(roots @ roots.T)
    assert factor.shape == (6, rank)
    assert factor @ factor.T == pytest.approx(roots @ roots.T, abs=1e-9)


def test_units_do_not_matter():
    """Rescaling a quantity rescales its row of the factor, however extreme."""
    covariance = np.array([[2.0, 0.7], [0.7, 1.0]])
    scale = np.array([1e-9, 1e9])
    scaled = covariance_factor(covariance * np.outer(scale, scale))
    assert scaled == pytest.approx(covariance_factor(covariance) * scale[:, None], rel=1e-12)


def test_an_indefinite_matrix_is_refused():
    """A negative variance in some direction is not a covariance."""
    with pytest.raises(SpecError):
        covariance_factor(np.array([[1.0, 1.1], [1.1, 1.0]]))


def test_the_symmetric_root_squares_to_the_matrix():
    """S is symmetric and S S is the matrix."""
    matrix = np.array([[2.0, 0.7], [0.7, 1.0]])
    root = symmetric_root(matrix)
    assert root == pytest.approx(root.T)
    assert root @ root == pytest.approx(matrix)


def test_only_zeros_off_the_diagonal_count_as_diagonal():
    """A zero on the diagonal does not make up for a number beside it."""
    assert is_diagonal(np.diag([1.0, 0.0]))
    assert not is_diagonal(np.array([[1.0, 1e-30], [1e-30, 1.0]]))
