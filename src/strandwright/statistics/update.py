"""Update: what readings teach about the parameters, and what a reading would teach.

The posterior mean minimises

.. math:: z^T z + (y - f(x))^T R^{-1} (y - f(x)), \\qquad x = \\bar x + L z

by Gauss-Newton steps from the prior mean, halved where they overshoot: the iterated Kalman
update [1]_. In the linear case the first step is the exact answer; otherwise steps go on until
the next would be shorter than a thousandth of what stays uncertain.

References
----------
.. [1] Bell, B. M. and Cathey, F. W., The iterated Kalman filter update as a Gauss-Newton
   method, IEEE Transactions on Automatic Control 38 (1993) 294-297 (from memory).
.. [2] Garcia-Fernandez, A. F., Svensson, L., Morelande, M. R. and Sarkka, S., Posterior
   linearization filter, IEEE Transactions on Signal Processing 63 (2015) 5561-5573 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError, OutsideValidRange
from strandwright.numerics.model import Model, evaluate
from strandwright.numerics.parameters import ParameterVector

#: A step towards the mode is small when it is no longer than this [posterior standard deviations].
_SMALL_STEP = 0.1
_HALVINGS = 8
_ROOT_3 = math.sqrt(3.0)
#: Most times the model is laid straight over the posterior, and the step that is small then
#: [posterior standard deviations].
_WIDE_STEPS = 5
_SMALL_WIDE_STEP = 0.02
#: Chance below which readings should be questioned: 3 standard deviations of one reading [-].
QUESTION_BELOW = 0.0027


@dataclass(frozen=True, eq=False)
class Updated:
    """Parameters as known after readings, and how well the readings fit.

    Attributes
    ----------
    parameters : ParameterVector
        Posterior mean and covariance; the sources of what was learned name the reading.
    outputs : tuple of str
        Names of the m readings, as the model gives them.
    innovation : ndarray, shape (m,)
        Reading less what was expected before it, positive when it reads high [reading's unit].
    normalised_innovation : ndarray, shape (m,)
        Innovation over its own standard deviation: the largest says which reading to look at
        [-].
    residual : ndarray, shape (m,)
        Reading less what is expected after it [reading's unit].
    normalised_innovation_squared : float
        Misfit at the posterior mean, chi-square with m degrees of freedom if all is well. For
        a linear model it is the innovation squared over its covariance [-].
    chance : float
        Probability of a misfit as large or larger by chance alone, 0 to 1 [-].
    is_questionable : bool
        Whether that is too unlikely to believe without a second look at the readings.
    converged : bool
        Whether a further step would be small.
    iterations : int
        Steps taken [-].
    """

    parameters: ParameterVector
    outputs: tuple[str, ...]
    innovation: NDArray[np.float64]
    normalised_innovation: NDArray[np.float64]
    residual: NDArray[np.float64]
    normalised_innovation_squared: float
    chance: float
    is_questionable: bool
    converged: bool
    iterations: int


@dataclass(frozen=True, eq=False)
class _State:
    """One point of the search: whitened position, misfit, slopes, objective."""

    z: NDArray[np.float64]
    residual: NDArray[np.float64]
    slopes: NDArray[np.float64]
    objective: float


def update(
    parameters: ParameterVector,
    model: Model,
    observed: ArrayLike,
    observed_covariance: ArrayLike,
    *,
    iterations: int = 20,
    step: float = 0.1,
    reading: str = "reading",
) -> Updated:
    """Learn from readings taken together.

    Parameters
    ----------
    parameters : ParameterVector
        As known before.
    model : callable
        Gives the m expected readings from natural values, as in
        :func:`strandwright.numerics.model.evaluate`.
    observed : array_like, shape (m,)
        The readings, in the order of the model's outputs [reading's unit].
    observed_covariance : array_like, shape (m, m) or (m,)
        Covariance of the readings, positive definite, or their variances alone
        [product of reading units].
    iterations : int
        Most steps taken, >= 1 [-].
    step : float
        Distance over which slopes are taken, > 0 [prior standard deviations].
    reading : str
        What to add to the source of a parameter that was learned about.

    Returns
    -------
    Updated
        Posterior, innovation, fit. Not having converged is told, not raised.

    Raises
    ------
    InputError
        If the shapes disagree or the covariance is not positive definite.
    OutsideValidRange
        If the model fails at the mean or near it.

    Notes
    -----
    Independent readings may come together or one after the other: the same posterior, exactly
    when the model is linear. The most probable values are found first [1]_; about them the model
    is then laid straight over the width of what stays unknown, again and again until it stays
    [2]_. What a plan forecasts from the posterior, curvature and all, so agrees with what was
    read, and what the straight model leaves out counts as noise.
    """
    y, noise = _checked_readings(observed, observed_covariance)
    search = _Search(parameters, model, y, noise, step)
    rank: int = parameters.factor.shape[1]
    first = search.at(np.zeros(rank))
    state, converged, taken = search.settle(first, iterations)
    fitted = search.spread_out(state)
    spread = np.sqrt(np.diagonal(first.slopes @ first.slopes.T + noise))
    chance = chi_square_chance(state.objective, y.size)
    factor = parameters.factor
    covariance = factor @ fitted.covariance @ factor.T
    covariance = 0.5 * (covariance + covariance.T)
    return Updated(
        parameters=parameters.with_updated(
            parameters.mean + factor @ fitted.z,
            covariance,
            _learned_sources(parameters, covariance, reading),
        ),
        outputs=search.outputs,
        innovation=first.residual,
        normalised_innovation=first.residual / spread,
        residual=fitted.residual,
        normalised_innovation_squared=state.objective,
        chance=chance,
        is_questionable=chance < QUESTION_BELOW,
        converged=converged and fitted.converged,
        iterations=taken,
    )


def expected_posterior(
    parameters: ParameterVector, jacobian: ArrayLike, observation_covariance: ArrayLike
) -> NDArray[np.float64]:
    """Covariance the parameters would have after a reading, whatever it reads.

    Parameters
    ----------
    parameters : ParameterVector
        As known now.
    jacobian : array_like, shape (m, p)
        Slopes of the readings by working coordinate [reading's unit per working unit].
    observation_covariance : array_like, shape (m, m) or (m,)
        Of the readings, positive definite, or their variances alone
        [product of reading units].

    Returns
    -------
    ndarray, shape (p, p)
        Posterior covariance of the working coordinates [product of working units].

    Raises
    ------
    InputError
        If the covariance is not positive definite or the shapes disagree.
    """
    slopes = np.atleast_2d(np.asarray(jacobian, dtype=np.float64))
    _, noise = _checked_readings(np.zeros(slopes.shape[0]), observation_covariance)
    return parameters.memory.once(
        ("posterior", slopes.tobytes(), noise.tobytes()),
        lambda: _posterior(parameters.factor, slopes @ parameters.factor, noise),
    )


def expected_uncertainty(
    parameters: ParameterVector, output: ArrayLike, jacobian: ArrayLike, variances: ArrayLike
) -> float:
    """First-order standard uncertainty one output would have after readings.

    What :func:`predicted_uncertainty` gives for :func:`expected_posterior`, without the whole
    covariance between.

    Parameters
    ----------
    parameters : ParameterVector
        As known now.
    output : array_like, shape (p,)
        Slopes of the output by working coordinate [output unit per working unit].
    jacobian : array_like, shape (m, p)
        Slopes of the readings, m >= 0 [reading's unit per working unit].
    variances : array_like, shape (m,)
        Of the readings, independent, each > 0 [reading's unit squared].

    Returns
    -------
    float
        Standard uncertainty [output unit].
    """
    given = [np.asarray(values, dtype=np.float64) for values in (output, jacobian, variances)]
    key = ("expected", *(values.tobytes() for values in given))
    return parameters.memory.once(key, lambda: _expected(parameters, *given))


def _expected(
    parameters: ParameterVector,
    output: NDArray[np.float64],
    jacobian: NDArray[np.float64],
    variances: NDArray[np.float64],
) -> float:
    own = output @ parameters.factor
    slopes = jacobian @ parameters.factor
    shared = slopes @ own
    total = slopes @ slopes.T + np.diag(variances)
    taken = shared @ np.linalg.solve(total, shared)
    return math.sqrt(max(float(own @ own - taken), 0.0))


def predicted_uncertainty(jacobian: ArrayLike, covariance: ArrayLike) -> NDArray[np.float64]:
    """First-order standard uncertainty of outputs for a covariance of the parameters.

    Parameters
    ----------
    jacobian : array_like, shape (k, p)
        Slopes of the outputs by working coordinate [output unit per working unit].
    covariance : array_like, shape (p, p)
        Of the working coordinates, e.g. from :func:`expected_posterior`
        [product of working units].

    Returns
    -------
    ndarray, shape (k,)
        Standard uncertainties [unit of each output].
    """
    slopes = np.atleast_2d(np.asarray(jacobian, dtype=np.float64))
    variance = np.einsum("kp,pq,kq->k", slopes, np.asarray(covariance, dtype=np.float64), slopes)
    return np.sqrt(np.maximum(variance, 0.0))


def chi_square_chance(value: float, degrees: int) -> float:
    """Probability that a chi-square variable is at least a value.

    Parameters
    ----------
    value : float
        The variable, >= 0 [-].
    degrees : int
        Degrees of freedom, >= 1 [-].

    Returns
    -------
    float
        Upper tail probability, 0 to 1 [-].

    Notes
    -----
    By the recurrence Q(n + 2) = Q(n) + (x/2)**(n/2) exp(-x/2) / Gamma(n/2 + 1) from the closed
    forms for 1 and 2 degrees (Abramowitz and Stegun, Handbook of Mathematical Functions, 1964,
    26.4.4-26.4.8). All terms are positive, so nothing cancels.
    """
    half = 0.5 * value
    if half <= 0.0:
        return 1.0
    odd = degrees % 2 == 1
    chance = math.erfc(math.sqrt(half)) if odd else math.exp(-half)
    for n in range(1 if odd else 2, degrees, 2):
        chance += math.exp(0.5 * n * math.log(half) - half - math.lgamma(0.5 * n + 1.0))
    return min(chance, 1.0)


@dataclass(frozen=True, eq=False)
class _Fitted:
    """The posterior in whitened coordinates, and what it leaves of the readings."""

    z: NDArray[np.float64]
    covariance: NDArray[np.float64]
    residual: NDArray[np.float64]
    converged: bool


class _Search:
    """Gauss-Newton search for the posterior mean in whitened coordinates."""

    def __init__(
        self,
        parameters: ParameterVector,
        model: Model,
        observed: NDArray[np.float64],
        noise: NDArray[np.float64],
        step: float,
    ) -> None:
        self._parameters = parameters
        self._model = model
        self._observed = observed
        self._noise = noise
        self._precision = np.linalg.inv(noise)
        self._step = step
        # Offsets do not depend on where they are laid. The search only needs to come near, so that
        # slopes are taken forwards.
        forwards = step * parameters.factor.T
        self._offsets = np.concatenate([np.zeros_like(parameters.mean)[None, :], forwards])
        self.outputs: tuple[str, ...] = ()

    def at(self, z: NDArray[np.float64]) -> _State:
        """Read misfit and slopes at a whitened position, by one batched call."""
        points = self._offsets + (self._parameters.mean + self._parameters.factor @ z)
        self.outputs, rows = evaluate(self._model, self._parameters, points)
        if rows.shape[1] != self._observed.size:
            raise InputError(
                "observed",
                self._observed.size,
                f"the model expects {rows.shape[1]} readings",
                "give one reading for each output",
            )
        rank = z.size
        residual = self._observed - rows[0]
        slopes = ((rows[1 : rank + 1] - rows[0]) / self._step).T
        objective = float(z @ z + residual @ self._precision @ residual)
        if not (math.isfinite(objective) and np.isfinite(slopes).all()):
            objective = math.inf
        return _State(z, residual, slopes, objective)

    def settle(self, state: _State, iterations: int) -> tuple[_State, bool, int]:
        """Step until the next step would be small; tell whether it is, and the steps taken."""
        if math.isinf(state.objective):
            raise OutsideValidRange(
                "the model gives no expected reading at the mean of its parameters; "
                "correct the inputs before learning from readings"
            )
        taken = 0
        while True:
            way = self._way(state)
            if self._is_small(state, way):
                return state, True, taken
            trial = self._step_along(state, way) if taken < iterations else None
            if trial is None:
                return state, False, taken
            state, taken = trial, taken + 1

    def spread_out(self, state: _State) -> _Fitted:
        """Fit the model laid straight over the posterior's own width, from the mode on."""
        z, covariance = state.z, _whitened_posterior(state.slopes, self._noise)
        residual, converged = state.residual, False
        for _ in range(_WIDE_STEPS):
            expected, slopes, left_out = self._over(z, covariance)
            if not (np.isfinite(expected).all() and np.isfinite(slopes).all()):
                break
            residual = self._observed - expected
            noise = self._noise + left_out
            total = slopes @ slopes.T + noise
            new = slopes.T @ np.linalg.solve(total, residual + slopes @ z)
            way = new - z
            z, covariance = new, _whitened_posterior(slopes, noise)
            if float(way @ np.linalg.solve(covariance, way)) <= _SMALL_WIDE_STEP**2:
                converged = True
                break
        return _Fitted(z, covariance, residual, converged)

    def _over(
        self, z: NDArray[np.float64], covariance: NDArray[np.float64]
    ) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Mean of the readings over a normal spread, slopes by whitened prior, what they miss."""
        root = np.linalg.cholesky(covariance)
        reach = _ROOT_3 * (self._parameters.factor @ root).T
        centre = self._parameters.mean + self._parameters.factor @ z
        points = np.concatenate([centre[None, :], centre + reach, centre - reach])
        _, rows = evaluate(self._model, self._parameters, points)
        middle, ahead, behind = rows[0], rows[1 : z.size + 1], rows[z.size + 1 :]
        bends = (ahead + behind - 2.0 * middle) / 3.0
        own = ((ahead - behind) / (2.0 * _ROOT_3)).T
        slopes = np.asarray(np.linalg.solve(root.T, own.T).T, dtype=np.float64)
        return middle + 0.5 * bends.sum(axis=0), slopes, 0.5 * (bends.T @ bends)

    def _way(self, state: _State) -> NDArray[np.float64]:
        """Full Gauss-Newton step from here."""
        slopes = state.slopes
        total = slopes @ slopes.T + self._noise
        return slopes.T @ np.linalg.solve(total, state.residual + slopes @ state.z) - state.z

    def _is_small(self, state: _State, way: NDArray[np.float64]) -> bool:
        """Whether a step matters beside what stays uncertain once the readings are used."""
        effect = state.slopes @ way
        return float(way @ way + effect @ self._precision @ effect) <= _SMALL_STEP**2

    def _step_along(self, state: _State, way: NDArray[np.float64]) -> _State | None:
        """Take the step, halved until it does not make the fit worse; None if none will do."""
        slack = 1e-12 * (1.0 + state.objective)
        for halving in range(_HALVINGS):
            trial = self.at(state.z + 0.5**halving * way)
            if trial.objective <= state.objective + slack:
                return trial
        return None


def _posterior(
    factor: NDArray[np.float64], slopes: NDArray[np.float64], noise: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Covariance after a reading, in the form that rounding cannot make indefinite."""
    gain = np.linalg.solve(slopes @ slopes.T + noise, slopes).T
    kept = factor @ (np.eye(factor.shape[1]) - gain @ slopes)
    brought = factor @ gain
    covariance = kept @ kept.T + brought @ noise @ brought.T
    return 0.5 * (covariance + covariance.T)


def _whitened_posterior(
    slopes: NDArray[np.float64], noise: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Covariance in whitened coordinates after a reading."""
    return _posterior(np.eye(slopes.shape[1]), slopes, noise)


def _learned_sources(
    parameters: ParameterVector, covariance: NDArray[np.float64], reading: str
) -> tuple[str, ...]:
    """Add the reading to the source of what it narrowed by more than a hundredth."""
    after = np.sqrt(np.diagonal(covariance))
    learned = after < 0.99 * parameters.deviations
    return tuple(
        f"{source} + {reading}" if new else source
        for source, new in zip(parameters.sources, learned.tolist(), strict=True)
    )


def _checked_readings(
    observed: ArrayLike, observed_covariance: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Readings (m,) and their covariance (m, m), refused when they make no sense."""
    y = np.atleast_1d(np.asarray(observed, dtype=np.float64))
    noise = np.atleast_1d(np.asarray(observed_covariance, dtype=np.float64))
    noise = np.diag(noise) if noise.ndim == 1 else noise
    if y.ndim != 1 or noise.shape != (y.size, y.size):
        raise InputError(
            "observed_covariance",
            noise.shape,
            f"must be {y.size} by {y.size}, or {y.size} variances",
            "give one row for each reading",
        )
    if not np.isfinite(y).all():
        raise InputError("observed", y.tolist(), "must be finite numbers", "read again")
    scale = np.sqrt(np.abs(np.diagonal(noise)))
    try:
        np.linalg.cholesky(noise / np.outer(scale, scale) if scale.all() else noise)
    except np.linalg.LinAlgError:
        raise InputError(
            "observed_covariance",
            noise.tolist(),
            "must be positive definite",
            "give every reading an uncertainty above 0",
        ) from None
    return y, noise
