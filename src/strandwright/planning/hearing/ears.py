"""Ears kept ready: working out a line's modes takes longer than hearing a pluck of it."""

from __future__ import annotations

from collections import OrderedDict
from threading import Lock

from strandwright.errors import SpecError
from strandwright.planning.desk.advice import Advice
from strandwright.planning.hearing.ear import Ear, ear_for
from strandwright.planning.hearing.standing import can_hear, standing_at
from strandwright.planning.result import Plan, Step
from strandwright.planning.strand_stock import known_strand

#: Lines at steps that are kept [-]
MOST = 16


class Ears:
    """The ears of the lines at hand. Safe to use from several threads."""

    def __init__(self) -> None:
        self._kept: OrderedDict[tuple[object, ...], Ear] = OrderedDict()
        self._lock = Lock()

    def at(self, plan: Plan, step: Step) -> Ear:
        """Give the ear for a plan's line at a step.

        Parameters
        ----------
        plan : Plan
            The plan as the readings have it.
        step : Step
            The step.

        Returns
        -------
        Ear
            The ear.

        Raises
        ------
        SpecError
            If the line is under no load at that step.
        """
        key = (plan.id, plan.target.length.value, step.id, step.load)
        with self._lock:
            found = self._kept.get(key)
            if found is None:
                job = plan.job
                found = ear_for(job, known_strand(job), standing_at(plan, step))
                self._kept[key] = found
            self._kept.move_to_end(key)
            while len(self._kept) > MOST:
                self._kept.popitem(last=False)
        return found


def step_of(advice: Advice, id: str) -> Step:
    """Find the step of a build at which a line is heard.

    Parameters
    ----------
    advice : Advice
        The build.
    id : str
        The step's identity.

    Returns
    -------
    Step
        The step.

    Raises
    ------
    SpecError
        If there is no such step, or the line is under no load there.
    """
    loaded = [step for step in advice.steps if can_hear(step)]
    for step in loaded:
        if step.id == id:
            return step
    rule = "must be a step of this build at which the line is under load"
    raise SpecError("step", id, rule, f"choose {', '.join(step.id for step in loaded)}")
