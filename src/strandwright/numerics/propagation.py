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
from collections.abc import Sequence
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
# Five-point Gauss-Hermite nodes and weights for a unit normal, the middle one left out.
_NODES = tuple(s * math.sqrt(5.0 + t * math.sqrt(10.0)) for t in (-1.0, 1.0) for s in (1.0, -1.0))
_WEIGHTS = tuple(
    (7.0 - t * 2.0 * math.sqrt(10.0)) / 60.0 for t in (-1.0, 1.0) for _ in range(2)
)


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
        place = self._places.get(output)
        if place is None:
            raise InputError(
                "output", output, "is not given by the model",
                f"choose from {', '.join(self.outputs)}",
            )  # fmt: skip
        return place

    @cached_property
    def _places(self) -> dict[str, int]:
        """Position of each output."""
        return {output: place for place, output in enumerate(self.outputs)}

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
    interacting: Sequence[str] = (),
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
    interacting : sequence of str
        Parameters known to act on each other strongly: their pairs are read as with
        ``cross_terms``, and each alone by five-point quadrature. No effect on a vector whose
        parameters are correlated.
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
    rank = parameters.factor.shape[1]
    pairs = np.array(np.triu_indices(rank, 1)) if cross_terms else _pairs(parameters, interacting)
    close = np.unique(pairs) if interacting else np.array([], dtype=int)
    blocks = [points, _corners(parameters, step, pairs), _outer_nodes(parameters, close)]
    names, rows = evaluate(model, parameters, np.concatenate(blocks))
    star, corners, nodes = np.split(rows, np.cumsum([len(b) for b in blocks[:2]]))
    centre, ahead, behind = star[0], star[1 : rank + 1], star[rank + 1 :]
    slopes = ((ahead - behind) / (2.0 * step)).T
    curvatures = ((ahead + behind - 2.0 * centre) / step**2).T
    bends = curvatures / math.sqrt(2.0)
    mean = centre + 0.5 * curvatures.sum(axis=1)
    linear = slopes @ slopes.T
    covariance = linear + bends @ bends.T
    if pairs.size:
        mixed = _interactions(corners, step)
        covariance += mixed @ mixed.T
    if close.size:
        swing, shift = _main_effects(centre, nodes)
        own = np.concatenate([slopes[:, close], bends[:, close]], axis=1)
        covariance += swing @ swing.T - own @ own.T
        mean += shift - 0.5 * curvatures[:, close].sum(axis=1)
    return Propagation(
        outputs=names,
        parameters=parameters,
        value=centre,
        mean=mean,
        first_order=np.sqrt(np.diagonal(linear)),
        second_order=np.sqrt(np.maximum(np.diagonal(covariance), 0.0)),
        whitened=slopes,
        covariance=covariance,
    )


def _pairs(parameters: ParameterVector, interacting: Sequence[str]) -> NDArray[np.intp]:
    """Pairs of directions of the named parameters, shape (2, pairs).

    Once readings have tied the parameters together no direction belongs to one of them; they
    are then known well enough for curvatures along the directions to do.
    """
    if not interacting or not parameters.is_uncorrelated:
        return np.zeros((2, 0), dtype=np.intp)
    active = np.flatnonzero(parameters.deviations)
    wanted = [parameters.index(name) for name in interacting]
    places = np.sort([np.searchsorted(active, i) for i in wanted if i in active])
    first, second = np.triu_indices(len(places), 1)
    return np.array([places[first], places[second]], dtype=np.intp)


def _outer_nodes(
    parameters: ParameterVector, directions: NDArray[np.intp]
) -> NDArray[np.float64]:
    """Readings along chosen directions at the nodes of five-point quadrature but the middle."""
    reach = parameters.factor.T[directions]
    return parameters.mean + np.concatenate([node * reach for node in _NODES])


def _main_effects(
    centre: NDArray[np.float64], nodes: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """What each direction does alone, by quadrature.

    Gives columns (m, 5 directions) whose products sum to the variance, and the shift of the
    mean, shape (m,).
    """
    off = np.stack(np.split(nodes, len(_NODES))) - centre
    middle = np.zeros_like(off[:1])
    every = np.concatenate([off, middle])
    weights = np.array([*_WEIGHTS, 1.0 - sum(_WEIGHTS)])[:, None, None]
    shift = (weights * every).sum(axis=0)
    swing = np.sqrt(weights) * (every - shift)
    return swing.reshape(-1, centre.size).T, shift.sum(axis=0)


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


def _corners(
    parameters: ParameterVector, step: float, pairs: NDArray[np.intp]
) -> NDArray[np.float64]:
    """Four corners of each pair of directions: ++, --, +-, -+, each a block of rows."""
    reach = step * parameters.factor.T
    first, second = pairs
    total, gap = reach[first] + reach[second], reach[first] - reach[second]
    return parameters.mean + np.concatenate([total, -total, gap, -gap])


def _interactions(corners: NDArray[np.float64], step: float) -> NDArray[np.float64]:
    """Mixed curvatures, shape (m, pairs), from the rows at the corners."""
    both, neither, ahead, behind = np.split(corners, 4)
    return ((both + neither - ahead - behind) / (4.0 * step**2)).T
