"""Agreement: several answers to one question, weighed together and held against each other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.statistics.update import QUESTION_BELOW, chi_square_chance


@dataclass(frozen=True)
class Agreement:
    """What several answers come to together.

    Attributes
    ----------
    value : float
        Between the lowest and the highest answer [unit]
    u : float
        Standard uncertainty, wider where the answers scatter more than they should [unit]
    chance : float
        Probability that they scatter so by chance alone; 1 for a single answer [-]
    furthest : int
        The answer that goes least with the others, from 0; of two it is the first [-]
    """

    value: float
    u: float
    chance: float
    furthest: int

    @property
    def is_questionable(self) -> bool:
        """Whether the answers contradict each other."""
        return self.chance < QUESTION_BELOW


def agree(values: FloatArray, covariance: FloatArray) -> Agreement:
    """Weigh answers to one question by their covariance.

    Parameters
    ----------
    values : ndarray
        The answers, shape (n,) [unit]
    covariance : ndarray
        Their covariance, shape (n, n), positive definite [unit^2]

    Returns
    -------
    Agreement
        Value, uncertainty and consistency.

    Notes
    -----
    The weights give the least variance among those that are not negative. Without that, two
    answers with one large error in common are carried outside their own range, on the strength
    of how exactly that common error is known; here it is not known so exactly. The test is
    chi-square with n - 1 degrees of freedom; where chi-square exceeds them, the standard
    uncertainty is widened by the root of their ratio (Birge, R. T., The calculation of errors
    by the method of least squares, Physical Review 40 (1932) 207-227; from memory).
    """
    weights = _weights(covariance)
    u = float(np.sqrt(weights @ covariance @ weights))
    value = float(values[0] + weights @ (values - values[0]))
    if len(values) == 1:
        return Agreement(value, u, 1.0, 0)
    precision = np.linalg.inv(covariance)
    pull = precision.sum(axis=1)
    # Precision of the answers among themselves, whatever the true value is.
    among = precision - np.outer(pull, pull) / pull.sum()
    off = among @ (values - values[0])
    square = max(float((values - values[0]) @ off), 0.0)
    freedom = len(values) - 1
    furthest = int(np.argmax(np.abs(off) / np.sqrt(np.maximum(np.diagonal(among), 1e-300))))
    if len(values) == 2:
        furthest = 0  # each is as far from the other as the other from it
    return Agreement(
        value=value,
        u=u * max(1.0, float(np.sqrt(square / freedom))),
        chance=chi_square_chance(square, freedom),
        furthest=furthest,
    )


def _weights(covariance: FloatArray) -> FloatArray:
    """Weights of least variance, none negative, that sum to 1."""
    count = len(covariance)
    kept = np.arange(count)
    while True:
        found = np.linalg.solve(covariance[np.ix_(kept, kept)], np.ones(len(kept)))
        if (found > 0.0).all():
            break
        kept = np.delete(kept, int(np.argmin(found)))
    weights = np.zeros(count)
    weights[kept] = found / found.sum()
    return weights
