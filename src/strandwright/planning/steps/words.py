"""The words of a plan's steps: its numbers as people read them, and how a step is made."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan, Step
from strandwright.planning.written import Written
from strandwright.units import INCH, Dimension, format_length_decimal, to_unit


@dataclass(frozen=True)
class Words:
    """A plan, and its numbers as people read them.

    Attributes
    ----------
    plan : Plan
        The plan.
    """

    plan: Plan

    @cached_property
    def written(self) -> Written:
        """Quantities in the job's own units."""
        return Written.on(self.plan.job.paper)

    def turns(self, turns: float) -> str:
        """Write turns or rounds in halves.

        Parameters
        ----------
        turns : float
            How many [turn]

        Returns
        -------
        str
            ``12 1/2``.
        """
        whole = int(turns)
        if turns - whole < 0.25:
            return f"{whole}"
        return f"{whole} 1/2" if whole else "1/2"

    def no_more_than(self, metres: float) -> str:
        """Write a small limit rounded down, so that rounding never lets a line pass.

        Parameters
        ----------
        metres : float
            The limit [m]

        Returns
        -------
        str
            In the job's units.
        """
        units = self.plan.job.paper.units
        step = 0.001 * INCH if units == "in" else 0.0001
        digits = 3 if units == "in" else 1
        held = math.floor(metres / step + 1e-9) * step
        return format_length_decimal(held, units, digits)

    def roughly(self, metres: float) -> str:
        """Write a length that need not be met closely, to a quarter inch or 5 mm.

        Parameters
        ----------
        metres : float
            The length [m]

        Returns
        -------
        str
            ``6 in``.
        """
        step = 0.25 * INCH if self.written.system == "in" else 0.005
        return self.written.length(step * round(metres / step))

    def at_least(self, metres: float) -> str:
        """Write the least of a length that need not be met closely, rounded up as coarsely.

        Parameters
        ----------
        metres : float
            The length [m]

        Returns
        -------
        str
            ``2 3/4 in``.
        """
        step = 0.25 * INCH if self.written.system == "in" else 0.005
        return self.written.length(step * math.ceil(metres / step - 1e-9))

    def either_way(self, change: Estimate) -> str:
        """Write a change of load, as a bound where its +- is much of it.

        Parameters
        ----------
        change : Estimate
            More where above zero [N]

        Returns
        -------
        str
            ``4.1 ± 0.6 lbf more``, ``up to 7 lbf more``, ``no more than 2 lbf either way``.
        """
        size, way = abs(change.value), "more" if change.value > 0.0 else "less"
        if size > 2.0 * change.u95:
            return f"{self.written.estimate(Estimate(size, change.u, change.unit))} {way}"
        unit = "lbf" if self.written.system == "in" else "N"
        most = math.ceil(to_unit(Dimension.FORCE, size + change.u95, unit))
        if size > change.u95:
            return f"up to {most} {unit} {way}"
        return f"no more than {most} {unit} either way"


def make_step(key: str, title: str, headline: str, *lines: str, **about: object) -> Step:
    """Make a step; empty lines are left out.

    Parameters
    ----------
    key : str
        What kind of act it is.
    title : str
        The act, a verb first.
    headline : str
        The one number to act on, with its unit.
    *lines : str
        What else to know; empty ones are left out.
    **about : object
        The step's other attributes [of each its own]

    Returns
    -------
    Step
        Not numbered yet.
    """
    about = {"caution": ""} | about
    return Step(0, key, title, headline, tuple(line for line in lines if line), **about)  # pyright: ignore[reportArgumentType]
