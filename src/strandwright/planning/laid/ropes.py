"""Ropes of a laid-in line: how its bundles lie in loop, married part and body."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from strandwright.fibre.bundle import bundle_diameter
from strandwright.fibre.laid.bundle import LaidBundles
from strandwright.fibre.laid.by_hand import balanced_by_hand, hand_rate_for
from strandwright.fibre.laid.lay import Lay, lay_at, lay_of
from strandwright.fibre.laid.make_up import bundles_of
from strandwright.line.unknowns import Unknowns
from strandwright.planning.estimate import Estimate
from strandwright.planning.laid.across import laid_angle, nesting_of
from strandwright.planning.laid.sharing_out import bundle_sizes
from strandwright.planning.makings.sections import married_length
from strandwright.planning.prepare import Prepared, at_mean
from strandwright.planning.result.laid import LaidRope
from strandwright.reference import practice
from strandwright.units import INCH
from strandwright.workshop.makings import LaidIn as LaidInSpec

#: Turns by hand are counted to a quarter a unit of length: 1/4 an inch, 1/10 a centimetre [1/m]
_BY_HAND_INCH, _BY_HAND_METRIC = 0.25 / INCH, 10.0


@dataclass(frozen=True)
class Ropes:
    """The bundles of a laid-in line, at the means of what is known.

    Attributes
    ----------
    prepared : Prepared
        The job made ready.
    """

    prepared: Prepared

    @property
    def spec(self) -> LaidInSpec:
        """How the job has it laid in."""
        laid = self.prepared.job.line.laid
        assert laid is not None
        return laid

    @property
    def q(self) -> Unknowns:
        """The unknowns, arrays of shape (1,)."""
        return at_mean(self.prepared.parameters)

    @property
    def angle(self) -> float:
        """Angle that the bundles are to be laid at by hand [rad]."""
        return laid_angle(self.spec)

    @property
    def angle_u(self) -> float:
        """How near a hand comes to it, standard uncertainty [rad]."""
        return practice("laid.angle").standard_uncertainty

    @property
    def married(self) -> float:
        """Length over which a tail is laid in, on the line [m]."""
        return married_length(self.spec)

    @property
    def step(self) -> float:
        """By which one strand of a tail ends before the next [m]."""
        return practice("laid.step").value if self.spec.step is None else self.spec.step.si

    @cached_property
    def nesting(self) -> float:
        """How near the bundles lie, over round ones that touch [-].

        From the mean square distance of the strands from the axis over that in one round bundle.
        """
        return nesting_of(float(self.q["lay"][0]), self.spec.bundles)

    def bundles(self, strands: float) -> LaidBundles:
        """Give the bundles of so many strands in all.

        Parameters
        ----------
        strands : float
            Strands in all of them, rounded to whole ones [-]

        Returns
        -------
        LaidBundles
            Arrays of shape (1,).
        """
        q, stock = self.q, self.prepared.model.stock
        single = 0.5 * bundle_diameter(1, stock.linear_density, stock.density, q["packing"])
        counts = bundle_sizes(round(strands), self.spec.bundles)
        return bundles_of(
            counts, single, q["stiffness"], q["softening"], stock.break_strain, q["share"],
            nesting=self.nesting,
        )  # fmt: skip

    @property
    def strands(self) -> int:
        """Strands of the body [-]."""
        return self.prepared.model.line.strand_count

    @property
    def thick(self) -> float:
        """Strands of a married part, a fading tail counted by half [-]."""
        return self.prepared.model.line.parts[0].strands * self.strands

    def lay(self, strands: float) -> Lay:
        """Give the lay of so many strands at the angle asked for, scalars.

        Parameters
        ----------
        strands : float
            Strands in all [-]

        Returns
        -------
        Lay
            The lay.
        """
        radius = float(self.bundles(strands).radius[0])
        return lay_at(radius, self.angle, self.spec.bundles, self.nesting)

    def by_hand(self, where: str, strands: float) -> LaidRope:
        """Lay so many strands by hand: turns by hand to a quarter an inch, and what comes of it.

        Parameters
        ----------
        where : str
            ``loop`` or ``married part``.
        strands : float
            Strands in all [-]

        Returns
        -------
        LaidRope
            Turns, lay, angle, diameter.
        """
        bundles = self.bundles(strands)
        pull = float(self.q["drag"][0]) * self.strands
        inch = self.prepared.job.paper.units == "in"
        counted = _BY_HAND_INCH if inch else _BY_HAND_METRIC
        rate = abs(hand_rate_for(pull, self.angle, bundles))
        rate = max(round(rate / counted), 1) * counted
        found = balanced_by_hand(pull, -rate, bundles)
        if bool(np.all(found.ok)):
            span = found.value
            lay_rate = float((span.lay_turns / span.length)[0])
        else:
            lay_rate = float(1.0 / self.lay(strands).pitch)
        lay = lay_of(bundles.radius, 1.0 / lay_rate, self.spec.bundles, self.nesting)
        across = 2.0 * float(lay.outside_radius[0])
        relative = 0.5 * self.prepared.parameters.standard_uncertainty("packing")
        return LaidRope(
            where, strands, rate, lay_rate, float(lay.angle[0]),
            Estimate(across, across * relative, "m"),
        )  # fmt: skip

    def body_diameter(self, rate: float) -> float:
        """Outside of the laid bundles of the body at a twist.

        Parameters
        ----------
        rate : float
            Turns of the line over its length [turn/m]

        Returns
        -------
        float
            Diameter [m]
        """
        bundles = self.bundles(self.strands)
        pitch = np.inf if rate == 0.0 else 1.0 / rate
        lay = lay_of(bundles.radius, pitch, self.spec.bundles, self.nesting)
        return 2.0 * float(lay.outside_radius[0])
