"""Parameters: named, uncertain inputs as one vector with mean, covariance and provenance.

Positive quantities and shares are kept in *working* coordinates in which a normal distribution
is a fair description: ``log`` for what is positive, ``logit`` for what lies between 0 and 1.
Models only ever see *natural* values; covariance, samples and stencils live in working ones.
The *working unit* is the parameter's own unit when linear; it is 1 for a logarithm (so that
uncertainties are relative) and for a logit.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError, SpecError
from strandwright.numerics.covariance import covariance_factor, is_diagonal
from strandwright.numerics.memory import Batch, Memory

Scale = Literal["linear", "log", "logit"]


@dataclass(frozen=True)
class Parameter:
    """One uncertain input, in the words of its user.

    Attributes
    ----------
    name : str
        The key under which the model finds it, unique in a vector.
    mean : float
        Natural value [unit]; for ``log`` and ``logit`` it is the median.
    standard_uncertainty : float
        One standard deviation, >= 0: [unit] when linear; of the logarithm, so relative, when
        ``log`` [-]; in logit units when ``logit`` [-]. Zero means known exactly.
    scale : {"linear", "log", "logit"}
        Where the quantity lives: anywhere, above 0, or between 0 and 1.
    unit : str
        Unit of the natural value, "-" for a pure number.
    source : str
        Provenance shown to users, e.g. "strand table, published".
    label : str
        Plain words for the budget; empty means the name serves.
    """

    name: str
    mean: float
    standard_uncertainty: float
    scale: Scale = "linear"
    unit: str = "-"
    source: str = "stated"
    label: str = ""

    def __post_init__(self) -> None:
        """Refuse a value its scale cannot hold."""
        if not math.isfinite(self.mean):
            raise InputError(self.name, self.mean, "must be a finite number", "give a value")
        if not (math.isfinite(self.standard_uncertainty) and self.standard_uncertainty >= 0.0):
            raise InputError(
                f"{self.name}.standard_uncertainty",
                self.standard_uncertainty,
                "must be finite and not negative",
                "give 0 for what is known exactly",
            )
        if self.scale == "log" and self.mean <= 0.0:
            raise InputError(self.name, self.mean, "must be above 0", "give a positive value")
        if self.scale == "logit" and not 0.0 < self.mean < 1.0:
            raise InputError(
                self.name, self.mean, "must lie between 0 and 1", "give a share inside the ends"
            )

    @property
    def working_mean(self) -> float:
        """Mean in working coordinates: itself, its logarithm or log-odds [working unit]."""
        if self.scale == "log":
            return math.log(self.mean)
        if self.scale == "logit":
            return math.log(self.mean / (1.0 - self.mean))
        return self.mean


@dataclass(frozen=True, eq=False)
class ParameterVector:
    """All uncertain inputs of a model, jointly normal in working coordinates.

    Arrays are copied and made read-only. The covariance may be semi-definite: exact parameters
    and perfect correlations are allowed.

    Attributes
    ----------
    names : tuple of str
        Unique keys, in the order of every array.
    mean : ndarray, shape (p,)
        In working coordinates [working unit].
    covariance : ndarray, shape (p, p)
        Of the working coordinates, symmetric, positive semi-definite [product of units].
    scales : tuple of {"linear", "log", "logit"}
        One a parameter.
    units : tuple of str
        Of the natural values.
    sources : tuple of str
        Provenance shown to users.
    labels : tuple of str
        Plain words for the budget.

    Raises
    ------
    SpecError
        If names repeat, shapes disagree or the covariance is not one.
    """

    names: tuple[str, ...]
    mean: NDArray[np.float64]
    covariance: NDArray[np.float64]
    scales: tuple[Scale, ...]
    units: tuple[str, ...]
    sources: tuple[str, ...]
    labels: tuple[str, ...]

    def __post_init__(self) -> None:
        """Copy, freeze and check the arrays."""
        mean = np.array(self.mean, dtype=np.float64)
        covariance = np.array(self.covariance, dtype=np.float64)
        count = len(self.names)
        if len(set(self.names)) != count:
            raise SpecError(
                "parameters.names", self.names, "must differ from each other", "rename the repeat"
            )
        facts = (self.scales, self.units, self.sources, self.labels)
        if mean.shape != (count,) or any(len(fact) != count for fact in facts):
            raise SpecError(
                "parameters",
                mean.shape,
                f"needs one mean, scale, unit, source and label for each of {count} names",
                "give every parameter all of them",
            )
        _check_covariance(covariance, count)
        mean.setflags(write=False)
        covariance.setflags(write=False)
        object.__setattr__(self, "mean", mean)
        object.__setattr__(self, "covariance", covariance)

    @classmethod
    def from_parameters(
        cls,
        parameters: Sequence[Parameter],
        correlations: Mapping[tuple[str, str], float] | None = None,
    ) -> ParameterVector:
        """Gather single parameters into one vector.

        Parameters
        ----------
        parameters : sequence of Parameter
            In the order the vector shall have.
        correlations : mapping of (name, name) to float, optional
            Correlation coefficients of working coordinates, each in [-1, 1] [-]; a pair
            left out is uncorrelated.

        Returns
        -------
        ParameterVector
            With the covariance those uncertainties and correlations make.

        Raises
        ------
        SpecError
            If names repeat, a pair is unknown, or the correlations contradict each other.
        """
        names = tuple(p.name for p in parameters)
        correlation = np.eye(len(names))
        for (first, second), value in (correlations or {}).items():
            if first not in names or second not in names or first == second:
                raise SpecError(
                    "correlations",
                    (first, second),
                    "must name two different parameters",
                    f"choose from {', '.join(names)}",
                )
            i, j = names.index(first), names.index(second)
            correlation[i, j] = correlation[j, i] = value
        deviation = np.array([p.standard_uncertainty for p in parameters], dtype=np.float64)
        vector = cls(
            names=names,
            mean=np.array([p.working_mean for p in parameters], dtype=np.float64),
            covariance=deviation[:, None] * correlation * deviation,
            scales=tuple(p.scale for p in parameters),
            units=tuple(p.unit for p in parameters),
            sources=tuple(p.source for p in parameters),
            labels=tuple(p.label or p.name for p in parameters),
        )
        _ = vector.factor  # contradictory correlations are told here, not at first use
        return vector

    @cached_property
    def memory(self) -> Memory:
        """What has been worked out from this vector."""
        return Memory()

    @cached_property
    def deviations(self) -> NDArray[np.float64]:
        """Standard uncertainties in working coordinates, shape (p,) [working unit]."""
        deviations = np.sqrt(np.diag(self.covariance))
        deviations.setflags(write=False)
        return deviations

    @cached_property
    def factor(self) -> NDArray[np.float64]:
        """Whitened directions L, ``L @ L.T`` the covariance, shape (p, r) [working unit].

        One column for each direction with any variance, r <= p. Uncorrelated parameters keep
        directions of their own (a diagonal covariance gives scaled coordinate directions);
        correlated ones get the Cholesky directions in the order of the vector.
        """
        factor = covariance_factor(self.covariance)
        factor.setflags(write=False)
        return factor

    @cached_property
    def is_uncorrelated(self) -> bool:
        """Whether the covariance is diagonal."""
        return is_diagonal(self.covariance)

    @cached_property
    def _rows(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Positions of log and of logit parameters."""
        scales = np.array(self.scales, dtype=str)
        return np.flatnonzero(scales == "log"), np.flatnonzero(scales == "logit")

    def index(self, name: str) -> int:
        """Position of a parameter in every array.

        Parameters
        ----------
        name : str
            One of ``names``.

        Returns
        -------
        int
            Its index, from 0.

        Raises
        ------
        InputError
            If there is no such parameter.
        """
        if name not in self.names:
            raise InputError(
                "parameter", name, "is not in this vector", f"choose from {', '.join(self.names)}"
            )
        return self.names.index(name)

    def standard_uncertainty(self, name: str) -> float:
        """One parameter's standard uncertainty in working coordinates.

        Parameters
        ----------
        name : str
            One of ``names``.

        Returns
        -------
        float
            Standard deviation [working unit].
        """
        return float(self.deviations[self.index(name)])

    def value(self, name: str) -> float:
        """One parameter's natural value at the mean.

        Parameters
        ----------
        name : str
            One of ``names``.

        Returns
        -------
        float
            Mean when linear, median for log and logit [unit].
        """
        self.index(name)
        return float(self.middle[name][0])

    @cached_property
    def middle(self) -> Batch:
        """Natural values at the mean, arrays of shape (1,) [unit of each]; not to be changed."""
        return self.natural(self.mean[None, :])

    def natural(self, x: ArrayLike) -> Batch:
        """Natural values of a batch of working coordinates.

        Parameters
        ----------
        x : array_like, shape (B, p)
            Working coordinates, batch axis first [working unit].

        Returns
        -------
        Batch
            Natural values by name, arrays of shape (B,) [unit of each].
        """
        columns = np.array(np.asarray(x, dtype=np.float64).T, order="C")
        log, logit = self._rows
        if log.size:
            columns[log] = np.exp(columns[log])
        if logit.size:
            # tanh form: no overflow at either end
            columns[logit] = 0.5 + 0.5 * np.tanh(0.5 * columns[logit])
        return Batch(dict(zip(self.names, columns, strict=True)))

    def with_updated(
        self,
        mean: ArrayLike,
        covariance: ArrayLike,
        sources: Sequence[str] | None = None,
    ) -> ParameterVector:
        """Give the same parameters as known after a reading.

        Parameters
        ----------
        mean : array_like, shape (p,)
            New working mean [working unit].
        covariance : array_like, shape (p, p)
            New working covariance [product of units].
        sources : sequence of str, optional
            New provenance; the old one stays when left out.

        Returns
        -------
        ParameterVector
            Names, scales, units and labels unchanged.
        """
        mean = np.asarray(mean, dtype=np.float64)
        covariance = np.asarray(covariance, dtype=np.float64)
        sources = self.sources if sources is None else tuple(sources)
        return self.memory.once(
            ("updated", mean.tobytes(), covariance.tobytes(), sources),
            lambda: replace(self, mean=mean, covariance=covariance, sources=sources),
        )

    def joined(self, other: ParameterVector) -> ParameterVector:
        """Put an independent vector behind this one.

        Parameters
        ----------
        other : ParameterVector
            Parameters uncorrelated with these and named differently.

        Returns
        -------
        ParameterVector
            Block-diagonal covariance.
        """
        size, extra = len(self.names), len(other.names)
        covariance = np.zeros((size + extra, size + extra))
        covariance[:size, :size] = self.covariance
        covariance[size:, size:] = other.covariance
        return ParameterVector(
            names=self.names + other.names,
            mean=np.concatenate([self.mean, other.mean]),
            covariance=covariance,
            scales=self.scales + other.scales,
            units=self.units + other.units,
            sources=self.sources + other.sources,
            labels=self.labels + other.labels,
        )

    def sample(self, rng: np.random.Generator | int, count: int) -> NDArray[np.float64]:
        """Draw working coordinates at random.

        Parameters
        ----------
        rng : numpy.random.Generator or int
            Source of randomness, or a seed for a fresh one.
        count : int
            Number of draws B, >= 0 [-].

        Returns
        -------
        ndarray, shape (B, p)
            Jointly normal draws [working unit].
        """
        generator = np.random.default_rng(rng)
        white = generator.standard_normal((count, self.factor.shape[1]))
        return self.mean + white @ self.factor.T

    def stencil(self, step: float = math.sqrt(3.0)) -> NDArray[np.float64]:
        """Lay out the points from which slopes and curvatures are taken.

        Parameters
        ----------
        step : float
            Distance from the mean in standard deviations of a whitened direction, > 0 [-].

        Returns
        -------
        ndarray, shape (1 + 2 r, p)
            Row 0 is the mean, rows 1..r lie forwards and rows r+1..2r backwards along the
            columns of ``factor`` [working unit]. Exact parameters cost no rows.
        """
        if not step > 0.0:
            raise InputError("step", step, "must be above 0", "use 1 or the square root of 3")
        reach = step * self.factor.T
        return np.concatenate([self.mean[None, :], self.mean + reach, self.mean - reach])


def _check_covariance(covariance: NDArray[np.float64], count: int) -> None:
    """Refuse what has the wrong shape, is not symmetric or has a negative variance."""
    if covariance.shape != (count, count):
        raise SpecError(
            "parameters.covariance",
            covariance.shape,
            f"must be {count} by {count}",
            "give one row and column for each name",
        )
    if not np.isfinite(covariance).all():
        raise SpecError(
            "parameters.covariance", "not finite", "must hold numbers", "state every uncertainty"
        )
    variance = np.diag(covariance)
    scale = np.sqrt(np.abs(variance))
    slack = 1e-9 * scale[:, None] * scale + 1e-300
    if (variance < 0.0).any() or (np.abs(covariance - covariance.T) > slack).any():
        raise SpecError(
            "parameters.covariance",
            "asymmetric or negative",
            "must be symmetric with variances not below 0",
            "symmetrise it or check the update that made it",
        )
