"""Covariance: factors of symmetric matrices that may be only semi-definite."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import SpecError

#: Share of a variance below which the rest left by other directions counts as rounding [-].
_ROUNDING = 1e-12


def is_diagonal(matrix: NDArray[np.float64]) -> bool:
    """Tell whether everything off the diagonal is exactly zero.

    Parameters
    ----------
    matrix : ndarray, shape (p, p)
        Any square matrix [any unit].

    Returns
    -------
    bool
        True for a diagonal matrix.
    """
    return np.count_nonzero(matrix) == np.count_nonzero(np.diagonal(matrix))


def covariance_factor(covariance: NDArray[np.float64]) -> NDArray[np.float64]:
    """Factor a covariance into independent directions.

    Parameters
    ----------
    covariance : ndarray, shape (p, p)
        Symmetric, positive semi-definite [product of units].

    Returns
    -------
    ndarray, shape (p, r)
        L with ``L @ L.T`` equal to the covariance, r its rank: lower triangular in the order
        given, without columns for rows of zero variance or fixed by earlier rows [unit].

    Raises
    ------
    SpecError
        If some combination of the quantities would have a negative variance.

    Notes
    -----
    Cholesky's method on the correlation matrix, so that units do not matter. A pivot within
    1e-12 of zero ends its direction: this loses a standard deviation of at most 1e-6 of the
    parameter's own.
    """
    deviation = np.sqrt(np.diagonal(covariance))
    active = np.flatnonzero(deviation)
    factor = np.zeros((deviation.size, active.size))
    if is_diagonal(covariance):
        factor[active, np.arange(active.size)] = deviation[active]
        return factor
    scale = deviation[active]
    correlation = covariance[np.ix_(active, active)] / np.outer(scale, scale)
    lower = _semidefinite_cholesky(correlation)
    if not np.allclose(lower @ lower.T, correlation, rtol=0.0, atol=1e-6):
        raise SpecError(
            "parameters.covariance",
            "not positive semi-definite",
            "no set of quantities can be correlated like this",
            "bring the correlations nearer to 0",
        )
    factor = np.zeros((deviation.size, lower.shape[1]))
    factor[active] = deviation[active, None] * lower
    return factor


def symmetric_root(covariance: NDArray[np.float64]) -> NDArray[np.float64]:
    """Symmetric square root of a positive semi-definite matrix.

    Parameters
    ----------
    covariance : ndarray, shape (p, p)
        Symmetric, positive semi-definite; rounding below zero is taken as zero [unit squared].

    Returns
    -------
    ndarray, shape (p, p)
        Symmetric S with ``S @ S`` equal to the matrix [unit].
    """
    values, vectors = np.linalg.eigh(covariance)
    return (vectors * np.sqrt(np.maximum(values, 0.0))) @ vectors.T


def _semidefinite_cholesky(correlation: NDArray[np.float64]) -> NDArray[np.float64]:
    """Lower factor of a correlation matrix, columns of vanishing pivots left out."""
    try:
        lower = np.asarray(np.linalg.cholesky(correlation), dtype=np.float64)
        if np.diagonal(lower).min() ** 2 > _ROUNDING:
            return lower
    except np.linalg.LinAlgError:
        pass  # semi-definite: go on row by row
    rest = correlation.copy()
    columns: list[NDArray[np.float64]] = []
    for pivot in range(rest.shape[0]):
        if rest[pivot, pivot] <= _ROUNDING:
            continue
        column = rest[:, pivot] / np.sqrt(rest[pivot, pivot])
        column[:pivot] = 0.0
        columns.append(column)
        rest -= np.outer(column, column)
    return np.array(columns, dtype=np.float64).T
