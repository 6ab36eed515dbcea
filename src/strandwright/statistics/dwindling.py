"""Dwindling: what is left of a length on a spool, from its label, what was taken, and weighings.

One least-squares problem holds everything that is known of a spool. Its unknowns are the full
length, the mass per length, the mass of the empty spool, and how far what was taken between two
weighings is off what was written down. A label, a table and a weighing each are a reading of them
with a spread of their own, so that repeated weighings teach mass per length and tare as well.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

_MOST_STEPS = 60
_TOLERANCE = 1e-10
#: No step multiplies the mass per length by more than e to this [-]
_LONGEST_STEP = 1.0
_SHORTEST_SHARE = 2.0**-30
#: A length nobody told anything of is thought to be this, give or take as much [m]
_ANY_LENGTH = 500.0


class Told(NamedTuple):
    """A number that was told, and how far it may be off.

    Attributes
    ----------
    value : float
        The number [unit]
    u : float
        Its standard uncertainty, > 0 [unit]
    """

    value: float
    u: float


@dataclass(frozen=True)
class Beginning:
    """What is told of a spool as it came.

    Attributes
    ----------
    density : Told
        Mass per length by a table; its uncertainty is the standard deviation of its
        logarithm [kg/m]
    tare : Told
        Mass of the empty spool [kg]
    length : Told or None
        Length by the label [m]
    mass : Told or None
        Mass by the label, without the empty spool [kg]
    label_density : Told or None
        Mass per length by the label, with the standard deviation of its logarithm [kg/m]
    """

    density: Told
    tare: Told
    length: Told | None = None
    mass: Told | None = None
    label_density: Told | None = None


@dataclass(frozen=True)
class Taken:
    """A length that was taken off.

    Attributes
    ----------
    length : float
        As it was written down, >= 0 [m]
    u : float
        Standard uncertainty, >= 0 [m]
    """

    length: float
    u: float


@dataclass(frozen=True)
class Weighing:
    """The spool on a scale, with what is on it.

    Attributes
    ----------
    gross : float
        What it showed [kg]
    u : float
        Standard uncertainty, > 0 [kg]
    """

    gross: float
    u: float


@dataclass(frozen=True)
class Left:
    """What is left, and what was learned of the spool.

    Attributes
    ----------
    length, length_u : float
        Length left, never below 0, and its standard uncertainty [m]
    mass, mass_u : float
        Mass of it, never below 0, and its standard uncertainty [kg]
    full, full_u : float
        Length it came with, and its standard uncertainty [m]
    density, density_u : float
        Mass per length, and its standard uncertainty [kg/m]
    tare, tare_u : float
        Mass of the empty spool, and its standard uncertainty [kg]
    beyond : float
        How much more was taken than was thought to be there; 0 where there was enough [m]
    misfits : tuple of float
        Each weighing less what all the rest says of it, over its standard deviation; near 0 to 2
        where they agree [-]
    converged : bool
        Whether the iteration reached its tolerance.
    """

    length: float
    length_u: float
    mass: float
    mass_u: float
    full: float
    full_u: float
    density: float
    density_u: float
    tare: float
    tare_u: float
    beyond: float
    misfits: tuple[float, ...] = field(default=())
    converged: bool = True


def left_on(beginning: Beginning, history: Sequence[Taken | Weighing]) -> Left:
    """Tell what is left on a spool.

    With full length :math:`L`, mass per length :math:`\\lambda` and tare :math:`T` a weighing
    after lengths :math:`u_i` were taken reads :math:`m = T + \\lambda (L - \\sum (u_i + e_i))`;
    :math:`e_i` is how far each of them is off.

    Parameters
    ----------
    beginning : Beginning
        What is told of it as it came.
    history : sequence of Taken and Weighing
        What happened since, in its order; between two weighings any order says the same.

    Returns
    -------
    Left
        The most probable values; their standard uncertainties are those of the problem made
        linear there.

    Notes
    -----
    Each spread is taken as normal, that of the mass per length as normal in its logarithm. Scales
    that read a fixed share too much teach a mass per length that is as much too high, which
    leaves the length right; one that is off by a fixed amount does the same to the tare. Where
    more was taken than was there, length and mass are given as 0 and ``beyond`` says by how much.
    """
    problem = _Problem.of(beginning, history)
    unknowns, converged = _solved(problem)
    residual, slopes = problem.rows(unknowns)
    covariance = np.linalg.inv(slopes.T @ slopes)
    full, density, tare, offs = problem.values(unknowns)
    length = full - problem.taken - float(offs.sum())
    by = np.zeros_like(unknowns)
    by[0] = problem.scale
    by[3:] = -problem.spreads
    by_mass = density * by
    by_mass[1] += density * length

    def spread(direction: FloatArray, more: float = 0.0) -> float:
        return float(np.sqrt(direction @ covariance @ direction + more**2))

    unit = np.eye(len(unknowns))
    leverage = np.einsum("ij,jk,ik->i", slopes, covariance, slopes)
    first, count = problem.weighing_rows
    free = np.sqrt(np.maximum(1.0 - leverage[first : first + count], 1e-12))
    return Left(
        length=max(length, 0.0),
        length_u=spread(by, problem.tail),
        mass=max(density * length, 0.0),
        mass_u=spread(by_mass, density * problem.tail),
        full=full,
        full_u=problem.scale * spread(unit[0]),
        density=density,
        density_u=density * spread(unit[1]),
        tare=tare,
        tare_u=problem.beginning.tare.u * spread(unit[2]),
        beyond=max(-length, 0.0),
        misfits=tuple(float(m) for m in residual[first : first + count] / free),
        converged=converged,
    )


@dataclass(frozen=True)
class _Problem:
    """The readings in numbers; unknowns are counted in their own spreads.

    Unknowns: full length as share off ``scale``, logarithm of the mass per length over the
    table's, tare off the one told, and one error for what was taken before each weighing.
    """

    beginning: Beginning
    scale: float
    gross: FloatArray
    gross_u: FloatArray
    taken_before: FloatArray
    spreads: FloatArray
    taken: float
    tail: float

    @classmethod
    def of(cls, beginning: Beginning, history: Sequence[Taken | Weighing]) -> _Problem:
        """Sort a history into weighings and what was taken before each."""
        weighings: list[Weighing] = []
        sums, squares = [0.0], [0.0]
        for each in history:
            if isinstance(each, Weighing):
                weighings.append(each)
                sums.append(0.0)
                squares.append(0.0)
            else:
                sums[-1] += each.length
                squares[-1] += each.u**2
        before = np.array(list(accumulate(sums))[:-1])
        return cls(
            beginning,
            _first_guess(beginning, weighings, float(before[0]) if weighings else 0.0),
            np.array([w.gross for w in weighings]),
            np.array([w.u for w in weighings]),
            before,
            np.sqrt(np.array(squares[:-1])),
            float(np.sum(sums)),
            float(np.sqrt(squares[-1])),
        )

    @property
    def weighing_rows(self) -> tuple[int, int]:
        """Place of the first row that is a weighing, and how many there are."""
        return 2 + (self.beginning.label_density is not None) + self._labels, len(self.gross)

    @property
    def _labels(self) -> int:
        told = (self.beginning.length is not None) + (self.beginning.mass is not None)
        return told or 1

    def values(self, x: FloatArray) -> tuple[float, float, float, FloatArray]:
        """Give full length, mass per length, tare and the errors of what was taken."""
        told = self.beginning
        full = self.scale * (1.0 + float(x[0]))
        density = told.density.value * float(np.exp(x[1]))
        return full, density, told.tare.value + told.tare.u * float(x[2]), self.spreads * x[3:]

    def rows(self, x: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Give every reading less what the unknowns say, over its spread, and the slopes."""
        told, size = self.beginning, len(x)
        full, density, tare, offs = self.values(x)
        values: list[float] = [float(x[1]) / told.density.u, float(x[2])]
        slopes = [_row(size, {1: 1.0 / told.density.u}), _row(size, {2: 1.0})]
        if told.label_density is not None:
            label = told.label_density
            values.append(float(np.log(density / label.value)) / label.u)
            slopes.append(_row(size, {1: 1.0 / label.u}))
        if told.length is not None:
            values.append((full - told.length.value) / told.length.u)
            slopes.append(_row(size, {0: self.scale / told.length.u}))
        if told.mass is not None:
            net = density * full
            values.append((net - told.mass.value) / told.mass.u)
            slopes.append(_row(size, {0: density * self.scale / told.mass.u, 1: net / told.mass.u}))
        if told.length is None and told.mass is None:
            values.append(float(x[0]))
            slopes.append(_row(size, {0: 1.0}))
        left = full - self.taken_before - np.cumsum(offs)
        by = np.zeros((len(self.gross), size))
        by[:, 0] = density * self.scale
        by[:, 1] = density * left
        by[:, 2] = told.tare.u
        by[:, 3:] = -density * np.tril(np.ones((len(offs), len(offs)))) * self.spreads
        weighed = (tare + density * left - self.gross) / self.gross_u
        return (
            np.concatenate([values, weighed, x[3:]]),
            np.vstack([*slopes, by / self.gross_u[:, None], np.eye(size)[3:]]),
        )


def _row(size: int, entries: dict[int, float]) -> FloatArray:
    row = np.zeros(size)
    for place, slope in entries.items():
        row[place] = slope
    return row


def _first_guess(beginning: Beginning, weighings: Sequence[Weighing], before: float) -> float:
    """Guess the full length from the first thing that says anything of it."""
    if beginning.length is not None:
        return beginning.length.value
    density = (beginning.label_density or beginning.density).value
    if beginning.mass is not None:
        return beginning.mass.value / density
    if weighings:
        net = weighings[0].gross - beginning.tare.value
        return max(net / density + before, 1.0)
    return _ANY_LENGTH


def _solved(problem: _Problem) -> tuple[FloatArray, bool]:
    """Find the least sum of squares by Gauss-Newton steps, each cut until it is one down."""
    x = np.zeros(3 + len(problem.gross))
    residual, slopes = problem.rows(x)
    cost = float(residual @ residual)
    for _ in range(_MOST_STEPS):
        step = np.linalg.lstsq(slopes, -residual, rcond=None)[0]
        share = min(1.0, _LONGEST_STEP / max(abs(float(step[1])), _LONGEST_STEP))
        while share > _SHORTEST_SHARE:
            tried = x + share * step
            residual_there, slopes_there = problem.rows(tried)
            cost_there = float(residual_there @ residual_there)
            if cost_there <= cost:
                break
            share *= 0.5
        else:
            return x, float(np.max(np.abs(step))) < np.sqrt(_TOLERANCE)
        x, residual, slopes, cost = tried, residual_there, slopes_there, cost_there
        if float(np.max(np.abs(share * step))) < _TOLERANCE:
            return x, True
    return x, False
