"""Forecast: a build predicted with its spread, in agreement with what was read of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import Settings
from strandwright.line.model import LineModel
from strandwright.line.unknowns import Unknowns
from strandwright.numerics.propagation import Propagation, propagate
from strandwright.planning.predict import predict
from strandwright.planning.prepare import Prepared
from strandwright.planning.result import Learned
from strandwright.statistics.conditioning import conditioned

#: Named outputs, arrays of shape (B,), from model, settings and unknowns
Predicts = Callable[[LineModel, Settings, Unknowns], Mapping[str, FloatArray]]

#: Unknowns that act on the length through each other: drag on posts that give, the load's error
#: on stretch and bedding-in, how far strands share on how thick their bundle is.
INTERACTING = (
    "bedding", "drag", "post_stiffness", "gauge", "stiffness", "share", "packing"
)  # fmt: skip


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


def forecast(
    prepared: Prepared,
    settings: Settings,
    taught: Taught | None,
    of: Predicts = predict,
) -> Propagation:
    """Predict a build with its spread.

    Parameters
    ----------
    prepared : Prepared
        The job made ready, its unknowns as known after the readings.
    settings : Settings
        Post setting, turns, marks.
    taught : Taught or None
        The readings it has to agree with; None where there are none.
    of : callable
        What is predicted, from model, settings and unknowns: everything, unless told otherwise.

    Returns
    -------
    Propagation
        What ``of`` gives, each output with mean, uncertainty and slopes.
    """
    model, parameters = prepared.model, prepared.parameters
    if taught is None:
        return propagate(
            lambda q: of(model, settings, q), parameters, interacting=INTERACTING
        )
    read = taught.lengths
    spread = propagate(lambda q: {**of(model, settings, q), **read(q)}, parameters)
    return conditioned(spread, taught.names, taught.observed, taught.variances)
