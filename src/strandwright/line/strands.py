"""The strands of one line: its bundle, bare and served, and how far it stretches.

All functions take a batch axis first: the unknowns ``q`` are arrays of shape (B,) keyed by
:data:`strandwright.line.unknowns.UNKNOWNS`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from strandwright.fibre.bundle import bundle_diameter, filled_radii
from strandwright.fibre.strand_law import FloatArray, strand_strain
from strandwright.fibre.twist import StrandSet
from strandwright.line.layout import Layout, lay_out
from strandwright.line.parts import Bench, Line, ServingThread, StrandStock
from strandwright.line.route import Route
from strandwright.line.sections import Section
from strandwright.line.serving_geometry import ServedSpan, served_span
from strandwright.line.unknowns import Key, Unknowns, once


@dataclass(frozen=True)
class LineStrands:
    """The strands of one line on one bench by one route.

    Attributes
    ----------
    line : Line
        What is to be built.
    stock : StrandStock
        The strand.
    bench : Bench
        The jig.
    route : Route
        The order of work.
    """

    line: Line
    stock: StrandStock
    bench: Bench
    route: Route

    @cached_property
    def layout(self) -> Layout:
        """Segments of the finished body."""
        return lay_out(self.line)

    def strand_set(self, q: Unknowns) -> StrandSet:
        """Give the strands with an axis for the kinds of segment, shape (B, 1).

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).

        Returns
        -------
        StrandSet
            The strands.
        """
        return once(q, ("strands", *self._bundle), lambda: self._strand_set(q))

    @cached_property
    def _bundle(self) -> tuple[Key]:
        """What of the line makes its bundle."""
        return (Key(self.line.strand_count, self.stock),)

    def _strand_set(self, q: Unknowns) -> StrandSet:
        return StrandSet(
            radii=filled_radii(self.line.strand_count),
            stiffness=q["stiffness"][:, None],
            softening=q["softening"][:, None],
            break_strain=self.stock.break_strain,
            share=q["share"][:, None],
        )

    def strain(self, q: Unknowns, load: FloatArray) -> FloatArray:
        """Elastic strain of straight strands under a load on the whole bundle.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        load : ndarray
            Load on the bundle, shape (B,) [N]

        Returns
        -------
        ndarray
            Strain, shape (B,) [-]
        """
        per_strand = load / self.line.strand_count
        return strand_strain(per_strand, q["stiffness"], q["softening"], self.stock.break_strain)

    def core_diameter(self, q: Unknowns, served: bool) -> FloatArray:
        """Diameter of the bundle, bare or inside a serving.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        served : bool
            True inside a serving.

        Returns
        -------
        ndarray
            Diameter, shape (B,) [m]
        """
        key = ("core", served, *self._bundle)
        return once(q, key, lambda: self._core_diameter(q, served))

    def twist_radius(self, q: Unknowns, served: bool = False) -> FloatArray:
        """Radius that the twist goes by: of a round bundle whose strands lie as far from the axis.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        served : bool
            True inside a serving.

        Returns
        -------
        ndarray
            Radius, shape (B,) [m]

        Notes
        -----
        Bundles laid about each other have their strands further out than one round bundle of
        them all, by how much is an unknown of its own.
        """
        radius = 0.5 * self.core_diameter(q, served=served)
        return radius if self.line.bundles == 1 else radius * np.sqrt(q["lay"])

    def _core_diameter(self, q: Unknowns, served: bool) -> FloatArray:
        packing = q["packing"] * q["squeeze"] if served else q["packing"]
        stock = self.stock
        return bundle_diameter(
            self.line.strand_count, stock.linear_density, stock.density, packing
        )

    def servings(self, q: Unknowns) -> tuple[ServedSpan, ...]:
        """Give the geometry of each body serving, arrays of shape (B,).

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).

        Returns
        -------
        tuple of ServedSpan
            In order along the line.
        """
        return tuple(
            self._served(q, s.thread, self.section_of(i).member_strands)
            for i, s in enumerate(self.line.servings)
        )

    def section_of(self, serving: int) -> Section:
        """Give the thickest section that a serving lies on.

        Parameters
        ----------
        serving : int
            Index of the serving [-]

        Returns
        -------
        Section
            The section.
        """
        return self.line.parts[self.layout.section[self.thickest_of(serving)]]

    def thickest_of(self, serving: int) -> int:
        """Give the segment of a serving on which it is thickest.

        Parameters
        ----------
        serving : int
            Index of the serving [-]

        Returns
        -------
        int
            Index of the segment, the first of several alike.
        """
        first, last = self.layout.bounds(serving)
        parts, section = self.line.parts, self.layout.section
        return max(range(first, last), key=lambda i: parts[section[i]].member_strands)

    def _served(self, q: Unknowns, thread: ServingThread, strands: float) -> ServedSpan:
        """Geometry of a serving of some thread on a member of so many times the body's strands."""
        return once(
            q,
            ("served", thread, strands, *self._bundle),
            lambda: served_span(
                self.core_diameter(q, served=True) * strands**0.5,
                thread.diameter,
                q["flattening"] * thread.flattening,
                q["wrap_tension"] * thread.tension,
            ),
        )
