"""Model: what a batched model looks like from outside, and how it is called.

A model takes natural values, one array (B,) for each parameter, and gives named outputs for
all B rows at once; failure in one row is ``nan`` in that row, not an exception.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError
from strandwright.numerics.parameters import ParameterVector

Outputs = Mapping[str, NDArray[np.float64]] | NDArray[np.float64]
Model = Callable[[dict[str, NDArray[np.float64]]], Outputs]


def evaluate(
    model: Model, parameters: ParameterVector, points: ArrayLike
) -> tuple[tuple[str, ...], NDArray[np.float64]]:
    """Call a model on a batch of working coordinates.

    Parameters
    ----------
    model : callable
        From natural values, a dict of name to ndarray (B,), to a mapping of output name to
        ndarray (B,) (a plain number stands for all rows) or to an ndarray (B, m).
    parameters : ParameterVector
        Names and scales of the coordinates.
    points : array_like, shape (B, p)
        Working coordinates, batch axis first [working unit].

    Returns
    -------
    names : tuple of str
        Of the m outputs.
    rows : ndarray, shape (B, m)
        Outputs, batch axis first; what is not finite is ``nan`` [unit of each output].

    Raises
    ------
    InputError
        If the model answers with an array that has no row for each point.
    """
    batch = np.asarray(points, dtype=np.float64)
    given = model(parameters.natural(batch))
    if isinstance(given, Mapping):
        names = tuple(given)
        columns = np.empty((len(names), batch.shape[0]))
        for column, output in zip(columns, given.values(), strict=True):
            column[:] = output
        rows = columns.T
    else:
        rows = np.array(given, dtype=np.float64)
        if rows.ndim != 2 or rows.shape[0] != batch.shape[0]:
            raise InputError(
                "model", rows.shape, f"must give {batch.shape[0]} rows of outputs",
                "put the batch axis first",
            )  # fmt: skip
        names = tuple(str(i) for i in range(rows.shape[1]))
    finite = np.isfinite(rows)
    return names, rows if finite.all() else np.where(finite, rows, np.nan)
