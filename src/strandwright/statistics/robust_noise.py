"""Robust noise: a reading that fits neither its build nor the other readings counts for less.

Errors of a reading are taken as normal within one standard deviation and as Student's t beyond,
which is a normal error of unknown scale [1]_: a residual of u standard deviations has weight

.. math:: w = \\min\\left(1, \\frac{\\nu + 1}{\\nu + u^2}\\right)

and its variance is divided by w. Residuals hang on weights, so the two are iterated until they
stay. Where a build has few readings there may be several such points; the search starts from all
readings alike and from each in turn left out, and the most probable end is taken.

References
----------
.. [1] Lange, K. L., Little, R. J. A. and Taylor, J. M. G., Robust statistical modeling using the t
   distribution, Journal of the American Statistical Association 84 (1989) 881-896 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError

#: Degrees of freedom of the errors of readings: tails that a bad reading may come from [-].
DEGREES = 5.0

#: Weight of a reading that is left out at the start [-].
_LEFT_OUT = 1e-8
#: Steps until weights stay, and the relative change that is small [-].
_STEPS = 500
_SMALL_CHANGE = 1e-12


@dataclass(frozen=True, eq=False)
class RobustNoise:
    """Noise of a build's readings, doubt about each of them included.

    Attributes
    ----------
    noise : ndarray, shape (m, m)
        Covariance of the readings' errors, never less than was stated; correlations stay
        [product of reading units].
    weight : ndarray, shape (m,)
        What is left of each reading's weight, above 0 to 1 [-].
    """

    noise: NDArray[np.float64]
    weight: NDArray[np.float64]


def robust_noise(
    slopes: ArrayLike,
    value: ArrayLike,
    noise: ArrayLike,
    mean: ArrayLike,
    covariance: ArrayLike,
    *,
    degrees: float = DEGREES,
) -> RobustNoise:
    """Weigh the readings of one build by how well they fit it and one another.

    Parameters
    ----------
    slopes : array_like, shape (m, p)
        Of the readings by working coordinate [reading's unit per working unit].
    value : array_like, shape (m,)
        Readings, less what they would be with all unknowns at zero [reading's unit].
    noise : array_like, shape (m, m)
        Covariance of the readings' errors as stated, variances above 0 [product of units].
    mean : array_like, shape (p,)
        Of the build's unknowns before its readings, from nothing that other builds taught
        [working unit].
    covariance : array_like, shape (p, p)
        Of those unknowns [product of working units].
    degrees : float
        Degrees of freedom, > 0: the fewer, the less a bad reading counts [-].

    Returns
    -------
    RobustNoise
        Noise for a :class:`~strandwright.statistics.lesson.Lesson`.

    Raises
    ------
    InputError
        If a variance or the degrees of freedom are not above 0, or the noise is not positive
        definite together with what the unknowns bring.

    Notes
    -----
    A reading is only doubted against what it can be held to. One that is alone in telling of an
    unknown, and whose stated error is small beside what was open before, is believed up to several
    deviations of what was open. Readings with errors in common are weighed one by one.
    """
    slope, stated = np.asarray(slopes, dtype=np.float64), np.asarray(noise, dtype=np.float64)
    open_before = slope @ np.asarray(covariance, dtype=np.float64) @ slope.T
    innovation = np.asarray(value, dtype=np.float64) - slope @ np.asarray(mean, dtype=np.float64)
    if not (degrees > 0.0 and (np.diagonal(stated) > 0.0).all()):
        raise InputError(
            "noise", stated.tolist(), "needs variances above 0", "give each reading an uncertainty"
        )
    count = innovation.size
    starts = np.ones((count + 1, count))
    starts[np.arange(1, count + 1), np.arange(count)] = _LEFT_OUT
    weights, cost = _settled(starts, innovation, open_before, stated, degrees)
    weight = weights[int(np.argmin(cost))]
    return RobustNoise(_inflated(stated, weight), weight)


def _inflated(noise: NDArray[np.float64], weights: NDArray[np.float64]) -> NDArray[np.float64]:
    """Noise over weights, for one set of weights (m,) or several (s, m)."""
    scale = 1.0 / np.sqrt(weights)
    return scale[..., :, None] * noise * scale[..., None, :]


def _settled(
    weights: NDArray[np.float64],
    innovation: NDArray[np.float64],
    open_before: NDArray[np.float64],
    noise: NDArray[np.float64],
    degrees: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Iterate several sets of weights to where they stay; less their log-probabilities."""
    deviation = np.sqrt(np.diagonal(noise))
    cost = np.zeros(len(weights))
    for _ in range(_STEPS):
        inflated = _inflated(noise, weights)
        try:
            pull = np.linalg.solve(open_before + inflated, innovation[:, None])[..., 0]
        except np.linalg.LinAlgError:
            raise InputError(
                "noise", noise.tolist(), "must be positive definite", "state what readings share"
            ) from None
        residual = np.einsum("smn,sn->sm", inflated, pull) / deviation
        square = residual**2
        tail = 0.5 + 0.5 * (degrees + 1.0) * np.log((degrees + square) / (degrees + 1.0))
        misfit = np.where(square > 1.0, tail, 0.5 * square).sum(axis=1)
        cost = misfit + 0.5 * np.einsum("sm,mn,sn->s", pull, open_before, pull)
        new = np.minimum(1.0, (degrees + 1.0) / (degrees + square))
        change = float(np.abs(new / weights - 1.0).max(initial=0.0))
        weights = new
        if change <= _SMALL_CHANGE:
            break
    return weights, cost
