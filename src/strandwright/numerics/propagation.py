"""Propagation: uncertain inputs through a model, by one batched call (GUM) or by chance.

Along each whitened direction the model is read at the mean and at plus and minus the square
root of 3 standard deviations. Those are the nodes of three-point Gauss-Hermite quadrature, so
the central difference is the slope a normal input really feels: it holds the third-derivative
term of GUM 5.1.2 (note), and the second difference gives the mean of a polynomial exactly up
to the fifth degree. Where the model is straight it is the plain derivative.

References
----------
.. [1] JCGM 100:2008, Guide to the expression of uncertainty in measurement, 5.1.2 and 5.2.2.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import InputError, OutsideValidRange
from strandwright.numerics.budget import Contribution, rank_contributions
from strandwright.numerics.model import Model, evaluate
from strandwright.numerics.parameters import ParameterVector
from strandwright.numerics.sampling import MonteCarlo, monte_carlo

__all__ = [
    "Contribution",
    "Model",
    "MonteCarlo",
    "Propagation",
    "evaluate",
    "monte_carlo",
    "propagate",
    "working_jacobian",
]

_ROOT_3 = math.sqrt(3.0)


@dataclass(frozen=True, eq=False)
class Propagation:
    """What a model gives for uncertain inputs.

    A model that fails somewhere on the stencil leaves ``nan`` in that output alone.

    Attributes
    ----------
    outputs : tuple of str
        Names of the m outputs; "0", "1", ... when the model gave an array.
    parameters : ParameterVector
        The inputs.
    value : ndarray, shape (m,)
        Model at the mean of the inputs [unit of each output].
    mean : ndarray, shape (m,)
        Mean with the second-order correction [unit of each output].
    first_order : ndarray, shape (m,)
        Standard uncertainty from the slopes alone [unit of each output].
    second_order : ndarray, shape (m,)
        Standard uncertainty with curvatures (and interactions if asked for)
        [unit of each output].
    whitened : ndarray, shape (m, r)
        Slopes along the whitened directions [output unit per standard deviation].
    covariance : ndarray, shape (m, m)
        Of the outputs; its diagonal is ``second_order`` squared [product of units].
    """

    outputs: tuple[str, ...]
    parameters: ParameterVector
    value: NDArray[np.float64]
    mean: NDArray[np.float64]
    first_order: NDArray[np.float64]
    second_order: NDArray[np.float64]
    whitened: NDArray[np.float64]
    covariance: NDArray[np.float64]

    @cached_property
    def jacobian(self) -> NDArray[np.float64]:
        """Slopes by working coordinate, shape (m, p) [output unit per working unit].

        An exact parameter was not moved: its column is zero. Perfectly correlated parameters
        cannot be told apart: they share the slope (smallest scaled solution).
        """
        return working_jacobian(self.whitened, self.parameters)

    @property
    def correlation(self) -> NDArray[np.float64]:
        """Correlations of the outputs, shape (m, m) [-]; 0 beside an exact output."""
        scale = np.where(self.second_order > 0.0, self.second_order, 1.0)
        return self.covariance / np.outer(scale, scale)

    def index(self, output: str) -> int:
        """Position of an output in every array.

        Parameters
        ----------
        output : str
            One of ``outputs``.

        Returns
        -------
        int
            Its index, from 0.

        Raises
        ------
        InputError
            If the model gives no such output.
        """
        if output not in self.outputs:
            raise InputError(
                "output", output, "is not given by the model",
                f"choose from {', '.join(self.outputs)}",
            )  # fmt: skip
        return self.outputs.index(output)

    def budget(self, output: str) -> tuple[Contribution, ...]:
        """Rank what makes one output uncertain.

        Parameters
        ----------
        output : str
            One of ``outputs``.

        Returns
        -------
        tuple of Contribution
            Largest first; every parameter that is not exact, and one row for curvature and
            interaction. Shares sum to 1 (all are 0 for an output that depends on nothing).

        Raises
        ------
        OutsideValidRange
            If the model failed for this output on the stencil.
        """
        row = self.index(output)
        if not math.isfinite(self.second_order[row]):
            raise OutsideValidRange(
                f"'{output}' has no budget: the model fails within the uncertainty of its "
                "inputs; narrow them or change the plan"
            )
        return rank_contributions(
            self.parameters, self.jacobian[row], float(self.second_order[row] ** 2)
        )


def propagate(
    model: Model,
    parameters: ParameterVector,
    *,
    cross_terms: bool = False,
    step: float = _ROOT_3,
) -> Propagation:
    """Carry mean and uncertainty of the inputs through a model, calling it once.

    .. math::

        u^2 = \\sum_i g_i^2 + \\tfrac12 \\sum_i h_{ii}^2 + \\sum_{i<j} h_{ij}^2

    with g and h the slopes and curvatures along independent directions of unit variance.

    Parameters
    ----------
    model : callable
        From natural values, a dict of name to ndarray (B,), to a mapping of output name to
        ndarray (B,) (a plain number stands for all rows) or to an ndarray (B, m).
    parameters : ParameterVector
        The inputs, r of them (or of their combinations) not exact.
    cross_terms : bool
        Also read the 2 r (r - 1) corners of every pair of directions, for h_ij.
    step : float
        Distance of the readings in standard deviations, > 0 [-]; see the module's text for
        why it is the square root of 3. A small one gives plain derivatives.

    Returns
    -------
    Propagation
        Values, uncertainties, slopes, covariance; the budget on request.

    Notes
    -----
    Exact for polynomials of the second degree (with ``cross_terms``). Interactions of the third
    degree are neglected, and a kink inside the stencil is smeared over it: compare with
    :func:`~strandwright.numerics.sampling.monte_carlo` when ``second_order`` exceeds
    ``first_order`` by more than a tenth.
    """
    points = parameters.stencil(step)
    if cross_terms:
        points = np.concatenate([points, _corners(parameters, step)])
    names, rows = evaluate(model, parameters, points)
    rank = parameters.factor.shape[1]
    centre, ahead, behind = rows[0], rows[1 : rank + 1], rows[rank + 1 : 2 * rank + 1]
    slopes = ((ahead - behind) / (2.0 * step)).T
    curvatures = ((ahead + behind - 2.0 * centre) / step**2).T
    bends = curvatures / math.sqrt(2.0)
    if cross_terms:
        bends = np.hstack([bends, _interactions(rows[2 * rank + 1 :], step)])
    linear = slopes @ slopes.T
    covariance = linear + bends @ bends.T
    return Propagation(
        outputs=names,
        parameters=parameters,
        value=centre,
        mean=centre + 0.5 * curvatures.sum(axis=1),
        first_order=np.sqrt(np.diagonal(linear)),
        second_order=np.sqrt(np.diagonal(covariance)),
        whitened=slopes,
        covariance=covariance,
    )


def working_jacobian(
    whitened: NDArray[np.float64], parameters: ParameterVector
) -> NDArray[np.float64]:
    """Turn slopes along whitened directions into slopes by working coordinate.

    Parameters
    ----------
    whitened : ndarray, shape (m, r)
        Slopes along the columns of ``parameters.factor`` [output unit per standard deviation].
    parameters : ParameterVector
        The inputs.

    Returns
    -------
    ndarray, shape (m, p)
        J with ``J @ factor`` equal to the slopes; zero for exact parameters
        [output unit per working unit].
    """
    factor, deviations = parameters.factor, parameters.deviations
    active = np.flatnonzero(deviations)
    scaled = factor[active] / deviations[active, None]
    jacobian = np.zeros((whitened.shape[0], deviations.size))
    if parameters.is_uncorrelated:
        jacobian[:, active] = whitened / deviations[active]
    elif scaled.shape[0] == scaled.shape[1]:
        jacobian[:, active] = np.linalg.solve(scaled.T, whitened.T).T / deviations[active]
    else:
        jacobian[:, active] = whitened @ np.linalg.pinv(scaled) / deviations[active]
    return jacobian


def _corners(parameters: ParameterVector, step: float) -> NDArray[np.float64]:
    """Four corners of each pair of directions: ++, --, +-, -+, each a block of rows."""
    reach = step * parameters.factor.T
    first, second = np.triu_indices(reach.shape[0], 1)
    total, gap = reach[first] + reach[second], reach[first] - reach[second]
    return parameters.mean + np.concatenate([total, -total, gap, -gap])


def _interactions(corners: NDArray[np.float64], step: float) -> NDArray[np.float64]:
    """Mixed curvatures, shape (m, pairs), from the rows at the corners."""
    both, neither, ahead, behind = np.split(corners, 4)
    return ((both + neither - ahead - behind) / (4.0 * step**2)).T
