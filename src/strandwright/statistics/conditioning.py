"""Conditioning: a forecast made to agree with readings of the same build, bends and all.

An update knows a model by its slopes. What the model bends beside them is a deviation e of its
own, alike in a reading and in a forecast that hang on the same unknowns, so the reading tells of
it too. With slopes B of the forecasts and A of the readings, covariances of the bends
:math:`\\Omega`, and noise R of the readings,

.. math:: K = \\Omega_{gy} (R + \\Omega_{yy})^{-1}, \\quad
    \\bar g' = \\bar g + K (y - \\bar y), \\quad B' = B - K A, \\quad
    \\Omega' = \\Omega_{gg} - K \\Omega_{yg}

which is the normal conditional of z and e together, z being as known after the update.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError
from strandwright.numerics.propagation import Propagation


def conditioned(
    spread: Propagation,
    readings: Sequence[str],
    observed: ArrayLike,
    variances: ArrayLike,
) -> Propagation:
    """Give the forecasts of a propagation as known after readings that it holds as well.

    Parameters
    ----------
    spread : Propagation
        Forecasts and readings propagated together from the unknowns as known *after* an update
        with these very readings.
    readings : sequence of str
        Names of the n outputs that were read.
    observed : array_like, shape (n,)
        The readings [unit of each output].
    variances : array_like, shape (n,)
        Of the readings, independent, each > 0 [unit squared].

    Returns
    -------
    Propagation
        The other outputs, their means, uncertainties and slopes.

    Raises
    ------
    InputError
        If the readings and their variances do not match in number, or a variance is not above 0.
    """
    y = np.asarray(observed, dtype=np.float64)
    noise = np.asarray(variances, dtype=np.float64)
    if y.shape != (len(readings),) or noise.shape != y.shape or not (noise > 0.0).all():
        raise InputError(
            "variances", noise.tolist(), f"must be {len(readings)} variances above 0",
            "give one for each reading",
        )  # fmt: skip
    read = np.array([spread.index(name) for name in readings])
    kept = np.array([i for i in range(len(spread.outputs)) if i not in set(read.tolist())])
    bends = spread.covariance - spread.whitened @ spread.whitened.T
    gain = _gain(bends, kept, read, noise)
    slopes = spread.whitened[kept] - gain @ spread.whitened[read]
    linear = slopes @ slopes.T
    left = bends[np.ix_(kept, kept)] - gain @ bends[np.ix_(read, kept)]
    covariance = linear + left
    return replace(
        spread,
        outputs=tuple(spread.outputs[i] for i in kept),
        value=spread.value[kept],
        mean=spread.mean[kept] + gain @ (y - spread.mean[read]),
        first_order=np.sqrt(np.diagonal(linear)),
        second_order=np.sqrt(np.maximum(np.diagonal(covariance), 0.0)),
        whitened=slopes,
        covariance=covariance,
    )


def _gain(
    bends: NDArray[np.float64],
    kept: NDArray[np.intp],
    read: NDArray[np.intp],
    noise: NDArray[np.float64],
) -> NDArray[np.float64]:
    """What a forecast moves for what a reading is off its expectation, by the bends alone."""
    own = bends[np.ix_(read, read)] + np.diag(noise)
    return np.asarray(np.linalg.solve(own, bends[np.ix_(read, kept)]).T, dtype=np.float64)
