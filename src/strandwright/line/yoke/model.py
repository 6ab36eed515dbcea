"""The model of a yoke cable: from natural lengths and turns to its members on their pins.

The unknowns are those of :data:`strandwright.line.unknowns.UNKNOWNS`, arrays of shape (B,). Of
them a yoke needs ``stiffness``, ``softening``, ``packing``, ``share``, ``loop_error``, ``leg``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strandwright.fibre.strand_law import FloatArray, strand_strain
from strandwright.line.unknowns import Unknowns
from strandwright.line.yoke.drawn import drawn_pulls
from strandwright.line.yoke.making import StrandMaker, natural_for
from strandwright.line.yoke.member import Member
from strandwright.line.yoke.parts import YokeCable
from strandwright.line.yoke.state import Tripod


@dataclass(frozen=True)
class YokeModel(StrandMaker):
    """The physics of one yoke cable of one skein.

    Attributes
    ----------
    stock : StrandStock
        The strand.
    cable : YokeCable
        What is to be built, checked.
    """

    cable: YokeCable

    @property
    def turns(self) -> FloatArray:
        """Turns as drawn: leg 1, leg 2, body; shape (3,) [turn]."""
        cable = self.cable
        return np.array([*(leg.turns for leg in cable.legs), cable.body.turns])

    def tripod(self, q: Unknowns, naturals: FloatArray, turns: FloatArray | None = None) -> Tripod:
        """Put the members on their pins.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        naturals : ndarray
            Natural lengths of leg 1, leg 2 and body, throat to throat, shape (B, 3) [m]
        turns : ndarray or None
            Turns in them, shape (B, 3) or (3,); None takes those of the cable [turn]

        Returns
        -------
        Tripod
            The members.
        """
        cable, frame = self.cable, self.cable.frame
        put = np.broadcast_to(self.turns if turns is None else turns, naturals.shape)
        pulls, _ = drawn_pulls(cable)
        legs: list[Member] = []
        for i, leg in enumerate(cable.legs):
            eye = self.eye(q, leg.loop, frame.leg_pin, pulls[i] / leg.strand_count)
            legs.append(self.member(q, leg.strand_count, naturals[:, i], put[:, i], (eye,)))
        body = cable.body
        eye = self.eye(q, body.loop, frame.body_pin, pulls[2] / body.strand_count)
        still = self.still(q)
        radius, strands = self.radius(q, body.strand_count), self.bundle(q, body.strand_count)
        twisted = Member(naturals[:, 2] - still, put[:, 2], radius, strands, (eye,), still)
        return Tripod((legs[0], legs[1]), twisted, frame)

    def still(self, q: Unknowns) -> FloatArray:
        """Natural length of strands under the throat serving, which take no turns.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).

        Returns
        -------
        ndarray
            Natural length, shape (B,) [m]
        """
        law = (q["stiffness"], q["softening"], self.stock.break_strain)
        per_strand = self.cable.measuring_load / self.cable.body.strand_count
        return self.cable.throat.length / (1.0 + strand_strain(per_strand, *law))

    def naturals(self, q: Unknowns) -> FloatArray:
        """Natural lengths with which the cable has its drawn lengths at its measuring load.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).

        Returns
        -------
        ndarray
            Leg 1, leg 2 and body, throat to throat, shape (B, 3) [m]
        """
        pulls, distances = drawn_pulls(self.cable)
        batch = len(q["stiffness"])
        guess = np.broadcast_to(distances, (batch, 3))
        found = [
            natural_for(member, np.full(batch, distance), np.full(batch, pull))
            for member, distance, pull in zip(
                self.tripod(q, guess).members, distances, pulls, strict=True
            )
        ]
        found[2] = found[2] + self.still(q)
        return np.stack(found, axis=1)

    def round_natural(self, q: Unknowns, naturals: FloatArray) -> FloatArray:
        """Natural length of a round of the skein for each leg: body, leg and half of each loop.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        naturals : ndarray
            Leg 1, leg 2 and body, shape (B, 3) [m]

        Returns
        -------
        ndarray
            Rounds that go into leg 1 and into leg 2, shape (B, 2) [m]
        """
        tripod = self.tripod(q, naturals)
        far = tripod.body.eyes[0].perimeter
        return np.stack(
            [
                2.0 * (naturals[:, i] + naturals[:, 2]) + leg.eyes[0].perimeter + far
                for i, leg in enumerate(tripod.legs)
            ],
            axis=1,
        )
