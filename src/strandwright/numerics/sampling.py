"""Sampling: propagation of distributions by chance, in blocks (JCGM 101)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import InputError
from strandwright.numerics.model import Model, evaluate
from strandwright.numerics.parameters import ParameterVector


@dataclass(frozen=True, eq=False)
class MonteCarlo:
    """Outputs of a model at random inputs.

    Attributes
    ----------
    outputs : tuple of str
        Names of the m outputs.
    draws : ndarray, shape (count, m)
        One row a draw; ``nan`` where the model failed [unit of each output].
    """

    outputs: tuple[str, ...]
    draws: NDArray[np.float64]

    @property
    def mean(self) -> NDArray[np.float64]:
        """Mean of the draws, shape (m,) [unit of each output]."""
        return self.draws.mean(axis=0)

    @property
    def standard_deviation(self) -> NDArray[np.float64]:
        """Standard deviation of the draws, shape (m,) [unit of each output]."""
        return self.draws.std(axis=0, ddof=1)

    @property
    def failures(self) -> NDArray[np.intp]:
        """Number of draws at which each output failed, shape (m,) [-]."""
        return np.count_nonzero(np.isnan(self.draws), axis=0)

    def quantiles(self, *probabilities: float) -> NDArray[np.float64]:
        """Quantiles of every output.

        Parameters
        ----------
        *probabilities : float
            Each from 0 to 1 [-], e.g. 0.025 and 0.975 for a 95 % interval.

        Returns
        -------
        ndarray, shape (len(probabilities), m)
            In the order asked for [unit of each output].
        """
        return np.quantile(self.draws, probabilities, axis=0)


def monte_carlo(
    model: Model,
    parameters: ParameterVector,
    count: int,
    seed: int | np.random.Generator,
    *,
    block: int = 1024,
) -> MonteCarlo:
    """Carry uncertain inputs through a model by chance.

    Parameters
    ----------
    model : callable
        As in :func:`strandwright.numerics.model.evaluate`.
    parameters : ParameterVector
        The inputs, jointly normal in working coordinates.
    count : int
        Number of draws, >= 2 [-]. Relative error of a standard deviation: 1 / sqrt(2 count).
    seed : int or numpy.random.Generator
        The same seed and count give the same draws whatever the block.
    block : int
        Rows given to the model at once, >= 1, to bound its memory [-].

    Returns
    -------
    MonteCarlo
        All draws of all outputs.

    Raises
    ------
    InputError
        If the count or block is too small.
    """
    if count < 2:
        raise InputError("count", count, "must be at least 2", "use 10000 or more")
    if block < 1:
        raise InputError("block", block, "must be at least 1", "leave it out")
    points = parameters.sample(seed, count)
    parts = [
        evaluate(model, parameters, points[start : start + block])
        for start in range(0, count, block)
    ]
    return MonteCarlo(outputs=parts[0][0], draws=np.concatenate([rows for _, rows in parts]))
