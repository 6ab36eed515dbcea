r"""Joining: the pitch of mode 1 and what shapes the series, from the frequencies of its partials.

.. math:: \log f_n - \log r_n = \log f_1 + \sum_k s_{nk} b_k + \eta_n, \qquad
    b_k \sim N(0, 1),\ \eta_n \sim N(0, \tau^2):

no model's ratios are exact. The scatter :math:`\tau` is taken from the partials themselves, and
one that lies far off its place counts for less.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
#: Scatter of a series that is expected beforehand, and for how many partials that counts.
_SCATTER, _COUNTS = 2e-4, 3.0
#: One that lies further off than this many standard uncertainties counts for less.
_FAR = 2.0
#: Scatter at which one partial may be none of the series', and what share of it is left without.
_SUSPECT, _BETTER = 6e-4, 0.8


@dataclass(frozen=True)
class Joined:
    """Pitch and shapes.

    Attributes
    ----------
    log_pitch : float
        Logarithm of the frequency of mode 1 in Hz [-].
    shape : ndarray, shape (shapes,)
        In standard uncertainties beforehand [-].
    covariance : ndarray, shape (1 + shapes, 1 + shapes)
        Of the two [-].
    scatter : float
        How far partials lie off the series, as a share [-].
    kept : ndarray of bool, shape (partials,)
        Which are of the series; one without which the others agree better is not [-].
    """

    log_pitch: float
    shape: Floats
    covariance: Floats
    scatter: float
    kept: NDArray[np.bool_]


def join(log_frequency: Floats, covariance: Floats, log_ratio: Floats, shaping: Floats) -> Joined:
    """Join partials to one pitch.

    Parameters
    ----------
    log_frequency : ndarray, shape (partials,)
        Logarithm of each one's frequency in Hz [-]
    covariance : ndarray, shape (partials, partials)
        Of those [-]
    log_ratio : ndarray, shape (partials,)
        Logarithm of what the series promises over mode 1 [-]
    shaping : ndarray, shape (partials, shapes)
        What shapes it [-]

    Returns
    -------
    Joined
        The pitch, and how far it may be believed.
    """
    kept = np.ones(len(log_ratio), dtype=bool)
    joined = _join(log_frequency, covariance, log_ratio, shaping)
    least = max(3, int(np.ceil(0.6 * len(kept))))
    while joined.scatter > _SUSPECT and np.count_nonzero(kept) > least:
        best, drop = joined, -1
        rows = np.flatnonzero(kept)
        for i in range(len(rows)):
            rest = np.delete(rows, i)
            part = _join(
                log_frequency[rest], covariance[np.ix_(rest, rest)], log_ratio[rest], shaping[rest]
            )
            if part.scatter < best.scatter:
                best, drop = part, int(rows[i])
        if best.scatter > _BETTER * joined.scatter:
            break
        kept[drop] = False
        joined = best
    return replace(joined, kept=kept)


def _join(log_frequency: Floats, covariance: Floats, log_ratio: Floats, shaping: Floats) -> Joined:
    count, shapes = shaping.shape
    design = np.concatenate([np.ones((count, 1)), shaping], axis=1)
    value = log_frequency - log_ratio
    prior = np.zeros((1 + shapes, 1 + shapes))
    prior[1:, 1:] = np.eye(shapes)
    scatter2, weight = _SCATTER**2, np.ones(count)
    mean = np.zeros(1 + shapes)
    normal = prior
    for _ in range(6):
        normal, mean, scatter2, weight = _weighed_again(
            value, covariance, design, prior, scatter2, weight
        )
    spread = np.asarray(np.linalg.inv(normal), dtype=np.float64)
    shape = np.asarray(mean[1:], dtype=np.float64)
    every: NDArray[np.bool_] = np.ones(count, dtype=np.bool_)
    return Joined(float(mean[0]), shape, spread, float(np.sqrt(scatter2)), every)


def _weighed_again(
    value: Floats,
    covariance: Floats,
    design: Floats,
    prior: Floats,
    scatter2: float,
    weight: Floats,
) -> tuple[Floats, Floats, float, Floats]:
    """Normal matrix and mean, and what these leave for the scatter's square and the weights."""
    inverse = np.linalg.inv(covariance + np.diag(scatter2 / weight))
    normal = design.T @ inverse @ design + prior
    mean = np.asarray(np.linalg.solve(normal, design.T @ inverse @ value), dtype=np.float64)
    left = value - design @ mean
    explained = np.diagonal(design @ np.linalg.solve(normal, design.T))
    own = np.diagonal(covariance)
    # Expected square of a residual is scatter + own - explained.
    found = weight * (left**2 + explained - own)
    total = _COUNTS * _SCATTER**2 + float(np.sum(np.maximum(found, -own)))
    scatter2 = max(total / (_COUNTS + len(value)), (0.3 * _SCATTER) ** 2)
    weight = np.minimum(1.0, _FAR * np.sqrt(own + scatter2) / (np.abs(left) + 1e-300))
    return normal, mean, scatter2, weight
