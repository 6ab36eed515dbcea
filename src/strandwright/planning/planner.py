"""Planner: plans jobs, and remembers the last plans so that the same question costs nothing."""

from __future__ import annotations

from collections import OrderedDict
from threading import Lock

from strandwright.errors import InputError, InputErrors, SolveError, StrandwrightError
from strandwright.planning.plan_line import plan_line
from strandwright.planning.result import Plan, Target
from strandwright.workshop.job import Job

#: Plans that are remembered; a bench with several lines under way asks for a few each [-]
REMEMBERED = 128


class Planner:
    """Plans jobs; safe to use from several threads.

    Parameters
    ----------
    remembered : int
        How many plans to remember, >= 1 [-]
    """

    def __init__(self, remembered: int = REMEMBERED) -> None:
        self._remembered = remembered
        self._plans: OrderedDict[str, Plan | StrandwrightError] = OrderedDict()
        self._lock = Lock()

    def plan(self, job: Job, target: Target | None = None) -> Plan:
        """Plan a job, or give the plan made before.

        Parameters
        ----------
        job : Job
            The job.
        target : Target or None
            The target found before, where make-up and original stayed as they were.

        Returns
        -------
        Plan
            The plan.

        Raises
        ------
        InputError
            If the job contradicts itself or goes over a limit.
        """
        key = job.model_dump_json(exclude_defaults=True)
        with self._lock:
            found = self._plans.get(key)
            if found is not None:
                self._plans.move_to_end(key)
        made = found if found is not None else self._made(key, job, target)
        if isinstance(made, StrandwrightError):
            raise made
        return made

    def _made(self, key: str, job: Job, target: Target | None) -> Plan | StrandwrightError:
        """Plan, and remember the plan, or why there is none."""
        try:
            made: Plan | StrandwrightError = plan_line(job, target)
        except (InputError, InputErrors, SolveError) as error:
            made = error.with_traceback(None)
        with self._lock:
            self._plans[key] = made
            while len(self._plans) > self._remembered:
                self._plans.popitem(last=False)
        return made
