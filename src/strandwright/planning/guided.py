"""Guided: how surely a line comes to length with the readings that its route asks for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.numerics.parameters import ParameterVector
from strandwright.numerics.propagation import Propagation
from strandwright.planning.prepare import Prepared
from strandwright.statistics.update import expected_posterior, expected_uncertainty


@dataclass(frozen=True)
class Tools:
    """What limits the readings and corrections of a build.

    Attributes
    ----------
    reading : float
        Standard uncertainty of one reading by itself, tape and pull [m]
    turn_effect : float
        Change of length by one turn, taken positive [m]
    turn_step : float
        Smallest step of the turns [turn]
    """

    reading: float
    turn_effect: float
    turn_step: float

    @property
    def step_u(self) -> float:
        """Standard uncertainty left by correcting in whole steps [m]."""
        return self.turn_effect * self.turn_step / float(np.sqrt(12.0))


def asked_readings(prepared: Prepared) -> tuple[str, ...]:
    """Give the stages where a length reading is asked for and not yet taken, in order.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.

    Returns
    -------
    tuple of str
        Stage keys.
    """
    taken = {reading.stage for reading in prepared.job.build.readings}
    stages = prepared.model.route.stages
    return tuple(s.key for s in stages if s.reading and s.key not in taken)


def values_of_readings(
    prepared: Prepared, spread: Propagation, reading: float
) -> tuple[dict[str, float], FloatArray]:
    """What each asked reading takes off the finished length's uncertainty, in order.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    spread : Propagation
        The predicted build.
    reading : float
        Standard uncertainty of one reading by itself, tape and pull [m]

    Returns
    -------
    buys : dict
        By stage, the fall in standard uncertainty when it is read after the ones before [m]
    covariance : ndarray
        Of the unknowns after all readings, shape (p, p).
    """
    parameters, asked = spread.parameters, asked_readings(prepared)
    if not asked:
        return {}, parameters.covariance
    finished, rows = slopes_of(spread, asked)
    noise = np.full(len(rows), reading**2)
    before = float(spread.first_order[spread.index("finished")])
    buys: dict[str, float] = {}
    for count, key in enumerate(asked, start=1):
        after = expected_uncertainty(parameters, finished, rows[:count], noise[:count])
        buys[key] = before - after
        before = after
    return buys, expected_posterior(parameters, rows, noise)


def slopes_of(spread: Propagation, asked: Sequence[str]) -> tuple[FloatArray, FloatArray]:
    """Slopes of the finished length and of what some stages read.

    Parameters
    ----------
    spread : Propagation
        The predicted build.
    asked : sequence of str
        The stages.

    Returns
    -------
    finished : ndarray
        Shape (p,) [m per working unit]
    read : ndarray
        Shape (stages, p) [m per working unit]
    """
    rows = [spread.index("finished"), *(spread.index(f"read:{key}") for key in asked)]
    slopes = spread.jacobian[rows]
    return slopes[0], slopes[1:]


def guided_uncertainty(
    prepared: Prepared, spread: Propagation, tools: Tools, parameters: ParameterVector
) -> float:
    """Standard uncertainty of the finished length after every asked reading and correction.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    spread : Propagation
        Slopes of the build.
    tools : Tools
        Tape and turn steps.
    parameters : ParameterVector
        What is known beforehand; may differ from that of ``spread``.

    Returns
    -------
    float
        Standard uncertainty [m]
    """
    finished, rows = slopes_of(spread, asked_readings(prepared))
    noise = np.full(len(rows), tools.reading**2)
    left = expected_uncertainty(parameters, finished, rows, noise)
    return math.hypot(left, tools.step_u)
