"""Grounds: what the chance to land rests on, now and with readings that are not taken yet."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.numerics.parameters import ParameterVector
from strandwright.numerics.propagation import Propagation
from strandwright.planning.guided import Tools, asked_readings
from strandwright.planning.prepare import Prepared
from strandwright.statistics.preposterior import chance_by_steps, left_after

#: Chance to land must differ by so much to be told of: one line in a hundred [-]
WORTH_TELLING = 0.01


@dataclass(frozen=True, eq=False)
class Evidence:
    """Readings not taken yet, as the unknowns move them.

    Attributes
    ----------
    slopes : ndarray
        Shape (k, p); lengths or logarithms by working coordinate [m or - per working unit]
    variances : ndarray
        Of the readings by themselves, shape (k,) [m^2 or -]
    """

    slopes: FloatArray
    variances: FloatArray


@dataclass(frozen=True)
class Chances:
    """How surely a line lands.

    Attributes
    ----------
    first : float
        Chance to be within tolerance when the proof is first read, before any correction [-]
    after : float
        Chance once the proof was read and the turns corrected [-]
    left : float
        Standard uncertainty of the finished length then, the step of the turns left out [m]
    """

    first: float
    after: float
    left: float


@dataclass(frozen=True, eq=False)
class Grounds:
    """What is known of a line, and what corrects it.

    Attributes
    ----------
    prepared : Prepared
        The job made ready.
    spread : Propagation
        The predicted build with its slopes.
    tools : Tools
        Tape and turn steps.
    wanted : float
        Finished length asked for [m]
    tolerance : float
        Half-width that counts as landed [m]
    known : ParameterVector
        What is known of the unknowns; may differ from that of ``spread``.
    """

    prepared: Prepared
    spread: Propagation
    tools: Tools
    wanted: float
    tolerance: float
    known: ParameterVector

    @property
    def error(self) -> float:
        """Expected length at the planned turns less the one asked for [m]."""
        return float(self.spread.mean[self.spread.index("finished")]) - self.wanted

    @property
    def step(self) -> float:
        """Change of length by the smallest step of the turns [m]."""
        return self.tools.turn_effect * self.tools.turn_step

    def asked(self, *, proof: bool, without: Collection[str] = ()) -> Evidence:
        """Give the readings that the route still asks for.

        Parameters
        ----------
        proof : bool
            Whether the proof is among them.
        without : collection of str
            Stages that are left out.

        Returns
        -------
        Evidence
            The readings.
        """
        keys = [k for k in asked_readings(self.prepared) if k not in without]
        return self.lengths([k for k in keys if proof or k != "proof"])

    def lengths(self, stages: Iterable[str]) -> Evidence:
        """Give length readings in some stages.

        Parameters
        ----------
        stages : iterable of str
            The stages.

        Returns
        -------
        Evidence
            One reading in each.
        """
        rows = [self.spread.index(f"read:{key}") for key in stages]
        return Evidence(self.spread.jacobian[rows], np.full(len(rows), self.tools.reading**2))

    def chance(self, *readings: Evidence, asked_u: float = 0.0) -> float:
        """Chance to land when readings have been taken and the turns corrected by them.

        Parameters
        ----------
        *readings : Evidence
            The readings, all independent of each other.
        asked_u : float
            Standard uncertainty of the length asked for, counted with the line's own [m]

        Returns
        -------
        float
            Chance [-]
        """
        before, left = self._left(), self._left(*readings)
        moved = math.sqrt(max(before**2 - left**2, 0.0))
        return chance_by_steps(
            self.error, moved, math.hypot(left, asked_u), self.tolerance, self.step
        )

    def chances(self, *beside: Evidence, at_proof: Evidence | None = None) -> Chances:
        """Chances with the readings that are asked for, and some beside.

        Parameters
        ----------
        *beside : Evidence
            Further readings, taken before the proof.
        at_proof : Evidence or None
            A further one taken at the proof.

        Returns
        -------
        Chances
            At the first proof, and after correction.
        """
        late = () if at_proof is None else (at_proof,)
        every = (self.asked(proof=True), *beside, *late)
        return Chances(
            first=self.chance(self.asked(proof=False), *beside),
            after=self.chance(*every),
            left=self._left(*every),
        )

    def knowing(self, known: ParameterVector, tools: Tools | None = None) -> Grounds:
        """Give the grounds with other knowledge beforehand, and other tools.

        Parameters
        ----------
        known : ParameterVector
            What is known of the unknowns.
        tools : Tools or None
            Tape and turn steps; None leaves them.

        Returns
        -------
        Grounds
            The grounds.
        """
        return replace(self, known=known, tools=tools or self.tools)

    def _left(self, *readings: Evidence) -> float:
        """Standard uncertainty of the finished length after readings [m]."""
        factor = self.known.factor
        own = self.spread.jacobian[self.spread.index("finished")] @ factor
        # What no unknown moves tells nothing of any, and is left out so that it costs no digit.
        telling = [r for r in readings if r.slopes.any()]
        if not telling:
            return math.sqrt(float(own @ own))
        rows = np.concatenate([r.slopes for r in telling]) @ factor
        return left_after(own, rows, np.concatenate([r.variances for r in telling]))


def narrowed(known: ParameterVector, name: str, u: float) -> ParameterVector:
    """Give unknowns with one of them known to another uncertainty.

    Parameters
    ----------
    known : ParameterVector
        The unknowns.
    name : str
        One of them.
    u : float
        Its new standard uncertainty on its scale, >= 0 [working unit]

    Returns
    -------
    ParameterVector
        The unknowns; correlations stay as they are.
    """
    i = known.index(name)
    scale = np.ones(len(known.names))
    scale[i] = u / float(np.sqrt(known.covariance[i, i]))
    return known.with_updated(known.mean, known.covariance * np.outer(scale, scale))


def told_of(known: ParameterVector, name: str, u: float) -> Evidence | None:
    """Give the reading of one unknown that leaves it known to another uncertainty.

    Parameters
    ----------
    known : ParameterVector
        The unknowns.
    name : str
        One of them.
    u : float
        Standard uncertainty that would be left of it, > 0 [working unit]

    Returns
    -------
    Evidence or None
        The reading; None where it is known as well by now.
    """
    before = known.standard_uncertainty(name)
    if u >= before:
        return None
    slopes = np.zeros((1, len(known.names)))
    slopes[0, known.index(name)] = 1.0
    return Evidence(slopes, np.array([1.0 / (u**-2 - before**-2)]))
