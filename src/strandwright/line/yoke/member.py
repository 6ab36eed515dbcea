"""A member of a yoke: a twisted span with the loops at its ends, which pulls and never pushes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from strandwright.fibre.strand_law import FloatArray, strand_strain
from strandwright.fibre.twist import StrandSet, span_length
from strandwright.geometry.eye import fit_eye
from strandwright.numerics.outcome import Outcome
from strandwright.numerics.roots import newton_monotone

#: Under this pull a member counts as slack [N]
SLACK = 1e-3
#: Share of the load over which the compliance is taken [-]
_STEP = 1e-4
#: Share of the load at break that is still tried [-]
_UNDER_BREAK = 0.999
#: Error of a pull solved from a length [N]
_CLOSE = 1e-9


@dataclass(frozen=True)
class Eye:
    """A closed loop at the end of a member.

    Attributes
    ----------
    perimeter : ndarray
        Shape (B,); natural length along the centreline, throat to throat [m]
    thickness : ndarray
        Shape (B,); thickness where it lies on the pin [m]
    pin : float
        Diameter of the pin [m]
    throat_offset : float
        Distance of each side's centreline from the axis at the throat [m]
    """

    perimeter: FloatArray
    thickness: FloatArray
    pin: float
    throat_offset: float


@dataclass(frozen=True)
class Member:
    """A twisted span and its loops in a row, for every case of a batch.

    Attributes
    ----------
    natural : ndarray
        Shape (B,); natural length of the strands, throat to throat [m]
    turns : ndarray
        Shape (B,); turns in the span [turn]
    radius : ndarray
        Shape (B,); radius of the bundle [m]
    strands : StrandSet
        The strands, of shape (B,).
    eyes : tuple of Eye
        The loops at its ends; an end without one is tied at its throat.
    still : float or ndarray
        Natural length of strands in the member that take no turns: under a throat serving that
        was on before the turns; shape () or (B,) [m]
    hidden : float
        Length that is in the member and not in the distance it spans: half a bight [m]
    """

    natural: FloatArray
    turns: FloatArray
    radius: FloatArray
    strands: StrandSet
    eyes: tuple[Eye, ...]
    still: float | FloatArray = 0.0
    hidden: float = 0.0

    def length(self, load: FloatArray) -> FloatArray:
        """Distance that the member spans under a pull, between pin centres and tied ends.

        Parameters
        ----------
        load : ndarray
            Pull, > 0, shape (B,) or (..., B) [N]

        Returns
        -------
        ndarray
            Distance, in the shape of the pull [m]
        """
        span = span_length(load, self.natural, self.turns, self.radius, self.strands)
        grown = 1.0 + strand_strain(load / self.strands.count, *self.strands.law)
        ends = self.still * grown
        for eye in self.eyes:
            perimeter = eye.perimeter * grown
            fit = fit_eye(perimeter, eye.thickness, eye.pin, eye.throat_offset)
            ends = ends + fit.throat_distance
        return np.asarray(span.length + ends - self.hidden)

    def stretched(self, load: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Distance under a pull, and how fast it grows with the pull.

        Parameters
        ----------
        load : ndarray
            Pull, > 0, shape (B,) [N]

        Returns
        -------
        tuple of ndarray
            Distance [m] and compliance [m/N], shape (B,)
        """
        step = _STEP * (load + 1.0)
        here, further = self.length(np.stack([load, load + step]))
        return here, (further - here) / step

    @cached_property
    def slack_length(self) -> FloatArray:
        """Distance up to which the member hangs slack, shape (B,) [m]."""
        return self.length(np.full(self.natural.shape, SLACK))

    @cached_property
    def top(self) -> FloatArray:
        """Largest pull the law of straight strands is tried at, shape (B,) [N]."""
        strands = self.strands
        strongest = _UNDER_BREAK * strands.count * strands.stiffness * strands.break_strain
        return np.broadcast_to(strongest, self.natural.shape)

    def pull(
        self, distance: FloatArray, guess: FloatArray
    ) -> tuple[Outcome[FloatArray], FloatArray]:
        """Pull of the member over a distance, 0 where it hangs slack.

        Parameters
        ----------
        distance : ndarray
            Between its ends, shape (B,) [m]
        guess : ndarray
            First guess of the pull, shape (B,) [N]

        Returns
        -------
        tuple
            The pull [N] as an outcome, and the stiffness [N/m]: 0 where slack; shape (B,). Not
            ``ok`` where the member is past its law.
        """
        slack = distance <= self.slack_length
        slope = np.ones_like(distance)

        def miss(load: FloatArray) -> tuple[FloatArray, FloatArray]:
            nonlocal slope
            here, slope = self.stretched(load)
            return np.where(slack, 0.0, here - distance), slope

        floor = np.full_like(distance, SLACK)
        found = newton_monotone(miss, guess, floor, self.top, tol=_CLOSE)
        # Past the law it goes on along its tangent, so that a solver finds its way back.
        past = ~found.ok & (found.residual < 0.0)
        pull = np.where(past, found.value - found.residual / slope, found.value)
        value = np.where(slack, 0.0, pull)
        outcome = Outcome(value, found.ok, found.reason, found.residual, found.iterations)
        return outcome, np.where(slack, 0.0, 1.0 / slope)
