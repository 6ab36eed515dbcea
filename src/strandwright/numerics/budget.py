"""Budget: what makes a result uncertain, ranked, with shares that sum to 1."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.numerics.covariance import symmetric_root
from strandwright.numerics.parameters import ParameterVector

#: Name of the row for everything a straight line through the mean does not hold.
CURVATURE = "curvature"


@dataclass(frozen=True)
class Contribution:
    """One row of an uncertainty budget.

    Attributes
    ----------
    parameter : str
        Name of the parameter, or "curvature" for the second-order rest.
    label : str
        Plain words for it.
    source : str
        Where its value and uncertainty come from.
    sensitivity : float
        Change of the output for one working unit of the parameter, with its sign: for one unit
        when linear, for a factor e when log, for one logit when logit
        [output unit per working unit]; 0 for the curvature row.
    standard_uncertainty : float
        The part of the output's standard uncertainty laid to it, >= 0 [output unit]. It is
        |sensitivity| times the parameter's uncertainty where nothing is correlated.
    share : float
        Its part of the output's variance, 0 to 1 [-].
    """

    parameter: str
    label: str
    source: str
    sensitivity: float
    standard_uncertainty: float
    share: float


def rank_contributions(
    parameters: ParameterVector, sensitivities: NDArray[np.float64], variance: float
) -> tuple[Contribution, ...]:
    """Split the variance of one output over named parameters.

    Parameters
    ----------
    parameters : ParameterVector
        The inputs.
    sensitivities : ndarray, shape (p,)
        Slopes of the output by working coordinate [output unit per working unit].
    variance : float
        Variance of the output, second order included, >= 0 [output unit squared].

    Returns
    -------
    tuple of Contribution
        Largest share first; exact parameters are left out; the last-named row "curvature"
        takes what the slopes leave over.

    Notes
    -----
    Correlated parameters share by relative weights [1]_ [2]_: with R the correlation matrix,
    S its symmetric root and b the slopes in standard deviations, parameter k is given
    ``sum_j S[k, j]**2 * (S @ b)[j]**2``. These parts are never negative, sum to the variance
    ``b @ R @ b`` and are the squares of b where nothing is correlated. The plain split
    ``b[k] * (R @ b)[k]`` can be negative, which a reader cannot use.

    References
    ----------
    .. [1] Genizi, A., Decomposition of R2 in multiple regression with correlated regressors,
       Statistica Sinica 3 (1993) 407-420 (from memory).
    .. [2] Johnson, J. W., A heuristic method for estimating the relative weight of predictor
       variables in multiple regression, Multivariate Behavioral Research 35 (2000) 1-19
       (from memory).
    """
    return parameters.memory.once(
        ("budget", sensitivities.tobytes(), variance),
        lambda: _ranked(parameters, sensitivities, variance),
    )


def _ranked(
    parameters: ParameterVector, sensitivities: NDArray[np.float64], variance: float
) -> tuple[Contribution, ...]:
    parts = _variance_parts(parameters, sensitivities)
    rest = max(variance - float(parts.sum()), 0.0)
    total = float(parts.sum()) + rest
    rows = [
        Contribution(
            parameter=parameters.names[k],
            label=parameters.labels[k],
            source=parameters.sources[k],
            sensitivity=float(sensitivities[k]),
            standard_uncertainty=math.sqrt(float(parts[k])),
            share=float(parts[k]) / total if total > 0.0 else 0.0,
        )
        for k in np.flatnonzero(parameters.deviations).tolist()
    ]
    rows.append(
        Contribution(
            parameter=CURVATURE,
            label="curvature and interaction of the model",
            source="second-order terms",
            sensitivity=0.0,
            standard_uncertainty=math.sqrt(rest),
            share=rest / total if total > 0.0 else 0.0,
        )
    )
    return tuple(sorted(rows, key=lambda row: -row.share))


def _variance_parts(
    parameters: ParameterVector, sensitivities: NDArray[np.float64]
) -> NDArray[np.float64]:
    """First-order variance by parameter, shape (p,), zero for exact ones."""
    deviations = parameters.deviations
    slopes = sensitivities * deviations
    if parameters.is_uncorrelated:
        return slopes**2
    active = np.flatnonzero(deviations)
    scale = deviations[active]
    root = symmetric_root(parameters.covariance[np.ix_(active, active)] / np.outer(scale, scale))
    parts = np.zeros_like(slopes)
    parts[active] = root**2 @ (root @ slopes[active]) ** 2
    return parts
