"""Forecast: a build predicted with its spread, in agreement with what was read of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import Settings, finished_lengths_of
from strandwright.numerics.propagation import Propagation, propagate
from strandwright.planning.predict import predict
from strandwright.planning.prepare import Prepared
from strandwright.planning.result import Learned
from strandwright.statistics.conditioning import conditioned

#: Unknowns that act on the length through each other: drag on posts that give, the load's error
#: on stretch and bedding-in.
INTERACTING = ("bedding", "drag", "post_stiffness", "gauge", "stiffness")


@dataclass(frozen=True)
class Taught:
    """What the length readings of a build taught.

    Attributes
    ----------
    learned : tuple of Learned
        Each reading beside what was expected, and what they changed together, in words.
    lengths : callable
        Expected readings by the unknowns, ``taken:<number>``, in the order of ``learned`` [m]
    variances : tuple of float
        Of the readings by themselves [m^2]
    """

    learned: tuple[Learned, ...]
    lengths: Callable[[dict[str, FloatArray]], dict[str, FloatArray]]
    variances: tuple[float, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the readings among the outputs of ``lengths``."""
        return tuple(f"taken:{i}" for i in range(len(self.learned)))

    @property
    def observed(self) -> list[float]:
        """The readings [m]."""
        return [each.read for each in self.learned]


def forecast(prepared: Prepared, settings: Settings, taught: Taught | None) -> Propagation:
    """Predict a build with its spread.

    Parameters
    ----------
    prepared : Prepared
        The job made ready, its unknowns as known after the readings.
    settings : Settings
        Post setting, turns, marks.
    taught : Taught or None
        The readings it has to agree with; None where there are none.

    Returns
    -------
    Propagation
        What :func:`strandwright.planning.predict.predict` gives, each output with mean,
        uncertainty and slopes.
    """
    model = prepared.model
    return _agreeing(prepared, lambda q: dict(predict(model, settings, q)), taught)


def forecast_length(
    prepared: Prepared, settings: Settings, taught: Taught | None
) -> Propagation:
    """Predict the finished length alone, as :func:`forecast` does.

    Parameters
    ----------
    prepared : Prepared
        The job made ready, its unknowns as known after the readings.
    settings : Settings
        Post setting, turns, marks.
    taught : Taught or None
        The readings it has to agree with; None where there are none.

    Returns
    -------
    Propagation
        ``finished`` and ``turn_effect`` [m]
    """

    def length(q: dict[str, FloatArray]) -> dict[str, FloatArray]:
        finished, effect = finished_lengths_of(prepared.model, q, settings)
        return {"finished": finished, "turn_effect": effect}

    return _agreeing(prepared, length, taught)


def _agreeing(
    prepared: Prepared,
    model: Callable[[dict[str, FloatArray]], dict[str, FloatArray]],
    taught: Taught | None,
) -> Propagation:
    """Propagate a model, made to agree with the readings."""
    if taught is None:
        return propagate(model, prepared.parameters, interacting=INTERACTING)
    read = taught.lengths
    spread = propagate(lambda q: {**model(q), **read(q)}, prepared.parameters)
    return conditioned(spread, taught.names, taught.observed, taught.variances)
