"""The line as a whole: loops and sections one after the other, each as soft as its strands."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.strands import LineStrands
from strandwright.line.unknowns import Unknowns


@dataclass(frozen=True)
class Piece:
    """A piece of the line of one make-up: a loop from pin to throat, or a section between them.

    Attributes
    ----------
    share : float
        Its length over that of the line [-]
    strands : float
        Strands there over those of the body, > 0 [-]
    late : float
        Of those the ones laid in after the stretch: slack until they follow the others [-]
    rate : float
        Turns that it was made with over its length, before those of the line [turn/m]
    radius : float
        Radius of the member that these turns go by over that of the body [-]
    """

    share: float
    strands: float
    late: float
    rate: float
    radius: float

    @property
    def is_plain(self) -> bool:
        """True where it is like the body of a straight line."""
        return self.strands == 1.0 and self.rate == 0.0

    def bearing(self, late: bool) -> float:
        """Give the strands that bear.

        Parameters
        ----------
        late : bool
            Whether those laid in after the stretch are counted.

        Returns
        -------
        float
            Over those of the body [-]
        """
        return self.strands if late else self.strands - self.late


@dataclass(frozen=True)
class WholeLine(LineStrands):
    """The strands of one line with the stretch of all of it, pin to pin."""

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """Loops and sections in order, between the outsides of the pins."""
        line, edges = self.line, self.layout.edges
        first, last = float(edges[0]), float(edges[-1])
        far = line.far
        found = [Piece(first / line.length, line.zero.strands, line.zero.late, 0.0, 1.0)]
        for part in line.parts:
            long = min(part.stop, last) - max(part.start, first)
            rate, radius = part.turns / part.length, part.member_strands**0.5
            found.append(Piece(long / line.length, part.strands, part.late, rate, radius))
        found.append(Piece(1.0 - last / line.length, far.strands, far.late, 0.0, 1.0))
        return tuple(found)

    @cached_property
    def _is_plain(self) -> bool:
        return all(piece.is_plain for piece in self.pieces)

    def line_stiffness(self, q: Unknowns, *, late: bool = True) -> FloatArray:
        """Stiffness EA of the line as a whole: its sections and loops in series.

        .. math:: EA = \\frac{n\\,(EA)_1 L}{\\sum_i l_i / (s_i c_i)}

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        late : bool
            Whether strands laid in after the stretch bear too, as they do under high loads.

        Returns
        -------
        ndarray
            Load over the strain of the whole length, secant to break, shape (B,) [N]

        Notes
        -----
        :math:`s_i` are the strands of a piece over those of the body and :math:`c_i` what the
        turns a leg was made with leave of its stiffness, :math:`(1 + \\tan^2\\alpha/2)^{-3/2}`
        with strands that share. What the line's own turns take, 1 to 2 % at the twists that are
        built, is left out, as it was of a straight line.
        """
        return self.line.strand_count * q["stiffness"] / self.softness(q, late=late)

    def softness(self, q: Unknowns, *, late: bool = True) -> FloatArray:
        """Stretch of the whole line over that of one of the body's strands all along.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        late : bool
            Whether strands laid in after the stretch bear too, as they do under high loads.

        Returns
        -------
        ndarray
            Ratio, 1 of a straight line, shape (B,) [-]
        """
        if self._is_plain:
            return np.ones_like(q["stiffness"])
        pieces = (
            piece.share / (piece.bearing(late) * self._kept(q, piece)) for piece in self.pieces
        )
        return np.sum([part * np.ones_like(q["stiffness"]) for part in pieces], axis=0)

    def _kept(self, q: Unknowns, piece: Piece) -> FloatArray | float:
        """What the turns of a piece leave of its stiffness [-]."""
        if piece.rate == 0.0:
            return 1.0
        slope = 2.0 * np.pi * piece.rate * piece.radius * self.twist_radius(q)
        return (1.0 + 0.5 * slope * slope) ** -1.5

    def line_strain(self, q: Unknowns, load: FloatArray) -> FloatArray:
        """Elastic strain of the whole line: every piece of it by the load on its own strands.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        load : ndarray
            Load along the line, shape (B,) [N]

        Returns
        -------
        ndarray
            Strain of straight strands, those laid in after the stretch slack, shape (B,) [-]
        """
        if self._is_plain:
            return self.strain(q, load)
        strains = [
            piece.share * self.strain(q, load / piece.bearing(late=False)) / self._kept(q, piece)
            for piece in self.pieces
        ]
        return np.sum(strains, axis=0)
