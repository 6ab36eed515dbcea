"""Ends of a laid-in line: how long tails, loops and married parts are on the straight bundles."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strandwright.line.layout import throat_distance
from strandwright.planning.estimate import Estimate
from strandwright.planning.laid.ropes import Ropes
from strandwright.planning.result.laid import LaidEnd, SecondMarks
from strandwright.planning.settings import Chosen
from strandwright.units import INCH


@dataclass(frozen=True)
class Paths:
    """Lengths of bundle in a laid-in line, the ends as they are wanted.

    Attributes
    ----------
    ropes : Ropes
        How the bundles lie.
    chosen : Chosen
        The settings.
    """

    ropes: Ropes
    chosen: Chosen

    @property
    def stretch(self) -> float:
        """Length of bundle for a length laid by hand: one over the cosine of the angle [-]."""
        return 1.0 / math.cos(self.ropes.angle)

    @property
    def rounds(self) -> tuple[float, float]:
        """Round each loop along the middle of its leg, zero and far [m]."""
        line = self.ropes.prepared.model.line
        return line.zero.perimeter, line.far.perimeter

    @property
    def body(self) -> float:
        """Strand between the throats, before the married parts' lay takes any up [m]."""
        prepared = self.ropes.prepared
        zero, far = prepared.model.loop_naturals(self.ropes.q)
        natural = self.chosen.skein.natural_loop
        return float((0.5 * (natural - zero - far))[0])

    def needed(self) -> Estimate:
        """Length of the longest strand, from tip to tip.

        Returns
        -------
        Estimate
            Body, loops and tails, with what the lay takes up [m]
        """
        married, rounds = 2.0 * self.ropes.married, sum(self.rounds)
        length = self.body + (self.stretch - 1.0) * married
        length += self.stretch * (rounds + married)
        # A hand comes only near the angle asked for, in all that it lays.
        steeper = self.stretch * math.tan(self.ropes.angle) * (2.0 * married + rounds)
        placed = self.ropes.prepared.parameters.standard_uncertainty("setting_error")
        return Estimate(length, math.hypot(steeper * self.ropes.angle_u, placed), "m")

    def ends(self, longest: float, lay: float) -> tuple[LaidEnd, LaidEnd]:
        """Lay out both ends on bundles of a length.

        Parameters
        ----------
        longest : float
            What the longest strand is cut to; the tails take what is over [m]
        lay : float
            Turns of lay over length of loop [turn/m]

        Returns
        -------
        tuple of LaidEnd
            Zero end and far end.
        """
        over = 0.5 * (longest - self.needed().value)
        return self._end(False, over, lay), self._end(True, over, lay)

    def _end(self, far: bool, over: float, lay: float) -> LaidEnd:
        model, married = self.ropes.prepared.model, self.ropes.married
        loop = model.line.far if far else model.line.zero
        return LaidEnd(
            name=loop.name,
            far=far,
            size=0.5 * (loop.perimeter - 0.5 * math.pi * loop.leg_thickness),
            round=loop.perimeter,
            turns=loop.perimeter * lay,
            tail=self.stretch * married + over,
            loop=self.stretch * loop.perimeter,
            standing=self.stretch * married,
            married=married,
            throat=throat_distance(loop, model.bench.loop_pin),
        )

    def marks(self, far: LaidEnd, next_turn: float) -> SecondMarks:
        """Find where the second loop is laid, so that the line fits its pegs.

        Parameters
        ----------
        far : LaidEnd
            The end laid second.
        next_turn : float
            Change of the finished length with a turn more [m]

        Returns
        -------
        SecondMarks
            From the outside of the first peg, on straight bundles.
        """
        posts = self.chosen.settings.posts
        # The standing bundles are drawn in by what the lay of the married part takes up.
        throat = posts - far.throat + far.standing - far.married
        placed = self.ropes.prepared.parameters.standard_uncertainty("setting_error")
        steeper = self.stretch * math.tan(self.ropes.angle) * self.ropes.angle_u

        def at(place: float, laid: float) -> Estimate:
            return Estimate(place, math.hypot(placed, steeper * laid), "m")

        edges = self.ropes.prepared.model.layout.edges
        quarter = 0.25 * INCH * float(np.ptp(edges)) / self.body
        return SecondMarks(
            body_ends=at(throat - far.standing, 0.0),
            throat=at(throat, far.married),
            fold=at(throat + 0.5 * far.loop, far.married + 0.5 * far.round),
            begin=at(throat + far.loop, far.married + far.round),
            quarter=quarter,
            turns=abs(quarter / next_turn) if next_turn else math.inf,
        )
