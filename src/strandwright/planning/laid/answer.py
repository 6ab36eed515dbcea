"""The answer for a laid-in line: from a plan to what is cut, laid and held."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from strandwright.planning.estimate import Estimate
from strandwright.planning.laid.cutting import cut_list
from strandwright.planning.laid.ends import Paths
from strandwright.planning.laid.holding import hold_of, warnings_of_laying
from strandwright.planning.laid.ropes import Ropes
from strandwright.planning.prepare import prepare
from strandwright.planning.result import Plan
from strandwright.planning.result.laid import CutList, LaidIn
from strandwright.planning.written import Written
from strandwright.reference import practice

_OTHER = {"S": "Z", "Z": "S"}
_GAPE = (
    "{turns:g} turns are fewer than the {fewest:g} that keep laid bundles from gaping (common "
    "practice, no source): ask for more in makeup.twist, or set the pegs further out"
)


@dataclass(frozen=True)
class Laying:
    """What is cut and laid, as far as it does not hang on turns by hand.

    Attributes
    ----------
    paths : Paths
        Lengths of bundle.
    """

    paths: Paths

    @cached_property
    def cut(self) -> CutList:
        """The strands to cut."""
        return cut_list(self.paths)

    @property
    def tail(self) -> float:
        """From the longest strand's end to where its loop begins [m]."""
        return self.paths.ends(self.cut.longest, 0.0)[0].tail

    @property
    def fewest(self) -> float:
        """Turns under which the bundles gape, by practice, to a half turn [turn].

        Pull and torque set no such limit: a married part is laid free of torque, and holds by the
        lay it got by hand.
        """
        rate, model = practice("twist.laid_in").low, self.paths.ropes.prepared.model
        return math.ceil(2.0 * (rate or 0.0) * model.twisting_length - 1e-6) / 2.0

    def warnings(self, load: Estimate, to: Written) -> tuple[str, ...]:
        """Say what does not work out.

        Parameters
        ----------
        load : Estimate
            Highest load of the bow [N]
        to : Written
            How lengths are written.

        Returns
        -------
        tuple of str
            One sentence each.
        """
        hold = hold_of(self.paths.ropes, self.cut, load)
        # What a steeper hand takes up comes off the tails.
        surely = self.paths.ends(self.cut.needed.value, 0.0)[0].tail
        said = warnings_of_laying(hold, self.cut, surely, to)
        turns = self.paths.chosen.settings.turns
        if turns >= self.fewest:
            return said
        return (*said, _GAPE.format(turns=turns, fewest=self.fewest))


def laid_in_of(plan: Plan) -> LaidIn | None:
    """Work out what a laid-in line needs of a plan.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    LaidIn or None
        None for a line that is wound.
    """
    if plan.job.line.laid is None:
        return None
    prepared = prepare(plan.job, plan.target.length.value, plan.parameters)
    ropes = Ropes(prepared)
    laying = Laying(Paths(ropes, plan.chosen))
    loop = ropes.by_hand("loop", ropes.strands)
    married = ropes.by_hand("married part", ropes.thick)
    ends = laying.paths.ends(laying.cut.longest, loop.lay)
    load = max((check.load for check in plan.strength.checks), key=lambda one: one.value)
    hold = hold_of(ropes, laying.cut, load, married)
    return LaidIn(
        cut=laying.cut,
        # The turns that the string gets at its end go the way of the lay, so that they tighten it.
        hand=plan.twist.hand,
        by_hand=_OTHER[plan.twist.hand],
        loop=loop,
        married=married,
        ends=ends,
        marks=laying.paths.marks(ends[1], plan.twist.next_turn.value),
        hold=hold,
        body_diameter=ropes.body_diameter(plan.twist.rate),
        nesting=ropes.nesting,
        fewest=laying.fewest,
        warnings=laying.warnings(load, Written.on(plan.job.paper)),
    )
