"""Weighing the spools: whether it finds a missing strand, and which way of weighing does."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from strandwright.planning.result import ColourRun
from strandwright.planning.written import Written
from strandwright.units import Dimension, to_unit

#: A missing strand is found when its mass is more than this many standard uncertainties [-]
SURE = 2.0


@dataclass(frozen=True)
class Weighing:
    """What is known when spools are weighed before and after winding.

    Attributes
    ----------
    strand_mass : float
        Mass of one strand from post to post [kg]
    strand_length : float
        Its length off the spool [m]
    relative : float
        Relative standard uncertainty of the strand's mass per length [-]
    step : float
        Smallest step of the scale [kg]
    """

    strand_mass: float
    strand_length: float
    relative: float
    step: float

    @property
    def change_u(self) -> float:
        """Standard uncertainty of a spool's loss by the scale, two readings of a step [kg]."""
        return self.step / math.sqrt(6.0)

    def loss_u(self, mass: float) -> float:
        """Standard uncertainty of what a spool should lose and is read to lose.

        Parameters
        ----------
        mass : float
            What it should lose [kg]

        Returns
        -------
        float
            Standard uncertainty [kg]
        """
        return math.hypot(mass * self.relative, self.change_u)

    def finds(self, u: float) -> bool:
        """Say whether one strand shows through a standard uncertainty.

        Parameters
        ----------
        u : float
            Standard uncertainty of the comparison [kg]

        Returns
        -------
        bool
            True when it does, at 95 %.
        """
        return self.strand_mass > SURE * u

    def lengths_first(self, strands: float) -> int | None:
        """Strand's lengths to weigh first, so that a colour's own mass can then be told.

        Parameters
        ----------
        strands : float
            Strands of the colour, its tails counted in [-]

        Returns
        -------
        int or None
            Lengths, at most as many as the colour has strands; None where that does not do.

        Notes
        -----
        k lengths weighed on the same scale fix the mass per length to s/k of a strand, with s
        the scale's own share of one; n strands then stand to s sqrt(1 + (n/k)^2).
        """
        room = (self.strand_mass / (SURE * self.change_u)) ** 2 - 1.0
        if room <= 0.0:
            return None
        count = math.floor(strands / math.sqrt(room)) + 1
        return count if count <= strands else None


def weighing_advice(runs: Sequence[ColourRun], weighing: Weighing, to: Written) -> str:
    """Say whether weighing finds a missing strand, what limits it, and which way works.

    Parameters
    ----------
    runs : sequence of ColourRun
        The colours.
    weighing : Weighing
        Strand and scale.
    to : Written
        How masses and lengths are written.

    Returns
    -------
    str
        One or two sentences.
    """
    one = _mass(weighing.strand_mass, to)
    if not weighing.finds(weighing.change_u):
        finest = weighing.strand_mass * math.sqrt(6.0) / SURE
        return (
            f"This scale is too coarse to find a missing strand: a strand is {one}, the scale "
            f"reads in steps of {_mass(weighing.step, to)}. Use one that reads to "
            f"{_step_under(finest, to)}, and count aloud."
        )
    if all(run.scale_finds_missing for run in runs):
        return f"Weigh each spool before and after: {one} less than it should lose is one strand."
    worst = max((r for r in runs if not r.scale_finds_missing), key=lambda r: r.mass.value)
    off = SURE * weighing.relative * worst.mass.value / weighing.strand_mass
    cause = (
        f"One spool alone cannot tell: the strand's mass per length is known to "
        f"{100.0 * SURE * weighing.relative:.0f} %, which is {off:.1f} strands on "
        f"{worst.strands}; the scale would do."
    )
    counts = {run.strands for run in runs}
    if len(runs) > 1 and len(counts) == 1 and weighing.finds(math.sqrt(2.0) * weighing.change_u):
        spools = "both spools" if len(runs) == 2 else "every spool"
        return (
            f"{cause} Weigh {spools}: a difference of {one} is one strand, where the colours are "
            "of one make."
        )
    tailed = worst.mass.value / weighing.strand_mass
    first = weighing.lengths_first(tailed)
    if first is not None:
        lengths = "one strand's length" if first == 1 else f"{first} strands' lengths"
        return (
            f"{cause} Weigh {lengths} first, {to.length(first * weighing.strand_length)} off this "
            "spool, and reckon with that."
        )
    return f"{cause} Then the scale falls short by itself: count aloud, and count the ends."


def _mass(kilograms: float, to: Written) -> str:
    """Write a mass as small as a strand's or a scale's step, to two digits."""
    number, unit = _small(kilograms, to)
    digits = max(1 - math.floor(math.log10(number)), 0)
    return f"{number:.{digits}f} {unit}"


def _step_under(kilograms: float, to: Written) -> str:
    """Write the usual scale's step (1, 2 or 5 of a decade) that is no larger than a mass."""
    number, unit = _small(kilograms, to)
    decade = 10.0 ** math.floor(math.log10(number))
    step = max((d for d in (2.0, 5.0) if d * decade <= number), default=1.0)
    return f"{step * decade:.6g} {unit}"


def _small(kilograms: float, to: Written) -> tuple[float, str]:
    unit = "gr" if to.system == "in" else "g"
    return to_unit(Dimension.MASS, kilograms, unit), unit
