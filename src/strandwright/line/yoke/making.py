"""The making of members: bundles and loops of one strand, and the natural length they need."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strandwright.fibre.bundle import bundle_diameter, filled_radii
from strandwright.fibre.strand_law import FloatArray, strand_strain
from strandwright.fibre.twist import StrandSet, span_length
from strandwright.line.parts import Loop, StrandStock
from strandwright.line.unknowns import Unknowns
from strandwright.line.yoke.member import Eye, Member

_STEPS = 60
#: Error of a natural length [m]
_CLOSE = 1e-12


@dataclass(frozen=True)
class StrandMaker:
    """Bundles, loops and members of one strand.

    Attributes
    ----------
    stock : StrandStock
        The strand.
    """

    stock: StrandStock

    def bundle(self, q: Unknowns, count: int) -> StrandSet:
        """Give the strands of a bundle, shape (B,).

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        count : int
            Strands in it [-]

        Returns
        -------
        StrandSet
            The strands.
        """
        law = (q["stiffness"], q["softening"], self.stock.break_strain)
        return StrandSet(filled_radii(count), *law, q["share"])

    def radius(self, q: Unknowns, count: int) -> FloatArray:
        """Give the radius of a bare bundle.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        count : int
            Strands in it [-]

        Returns
        -------
        ndarray
            Radius, shape (B,) [m]
        """
        stock = self.stock
        return 0.5 * bundle_diameter(count, stock.linear_density, stock.density, q["packing"])

    def eye(self, q: Unknowns, loop: Loop, pin: float, per_strand: float | FloatArray) -> Eye:
        """Give a loop at its natural perimeter.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        loop : Loop
            The loop as drawn.
        pin : float
            Diameter of its pin [m]
        per_strand : float or ndarray
            Load on a strand at which it is drawn [N]

        Returns
        -------
        Eye
            The loop.
        """
        law = (q["stiffness"], q["softening"], self.stock.break_strain)
        perimeter = (loop.perimeter + q["loop_error"]) / (1.0 + strand_strain(per_strand, *law))
        return Eye(perimeter, q["leg"] * loop.seat, pin, loop.throat_offset)

    def member(
        self, q: Unknowns, count: int, natural: FloatArray, turns: FloatArray, eyes: tuple[Eye, ...]
    ) -> Member:
        """Give a member of bare strands.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        count : int
            Strands in it [-]
        natural : ndarray
            Natural length throat to throat, shape (B,) [m]
        turns : ndarray
            Turns, shape (B,) [turn]
        eyes : tuple of Eye
            Its loops.

        Returns
        -------
        Member
            The member.
        """
        return Member(natural, turns, self.radius(q, count), self.bundle(q, count), eyes)


def natural_for(member: Member, distance: FloatArray, load: FloatArray) -> FloatArray:
    """Natural length with which a member spans a distance at a load.

    Parameters
    ----------
    member : Member
        The member; its own natural length is the first guess.
    distance : ndarray
        Between its ends, shape (B,) [m]
    load : ndarray
        Pull, shape (B,) [N]

    Returns
    -------
    ndarray
        Natural length, shape (B,), NaN where the loops alone are longer [m]

    Notes
    -----
    The span is nearly in proportion to its natural length, so each step takes off the miss.
    """
    natural = member.natural
    ends = member.length(load) - _span(member, natural, load)
    wanted = np.where(distance > ends, distance - ends, np.nan)
    natural = np.where(np.isfinite(wanted), wanted, 1.0)
    for _ in range(_STEPS):
        miss = wanted - _span(member, natural, load)
        natural = natural + np.where(np.isfinite(miss), miss, 0.0)
        if not bool((np.abs(miss) > _CLOSE).any()):
            break
    return np.where(np.isfinite(wanted), natural, np.nan)


def _span(member: Member, natural: FloatArray, load: FloatArray) -> FloatArray:
    return span_length(load, natural, member.turns, member.radius, member.strands).length
