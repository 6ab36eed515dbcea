"""Solve: the queue laid out by constraint programming, least late first, then soonest done.

Every task is one whole-minute start; opening hours are the starts it may have, so that closed
hours cost the solver nothing. The same load gives the same schedule on any machine: one worker, a
fixed seed, effort counted in the solver's own steps and not by the clock.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from strandwright.errors import SpecError
from strandwright.planning.queue.bounds import least_flow, least_lateness
from strandwright.planning.queue.course import NEVER
from strandwright.planning.queue.deal import deal
from strandwright.planning.queue.first import far_end, first_starts
from strandwright.planning.queue.model import QueueModel, make_model, solver_library
from strandwright.planning.queue.nouns import Flag, Key, Load, Schedule
from strandwright.planning.queue.overrides import way_through

#: Effort of each of the two searches, in the solver's own seconds [-]
EFFORT = 0.8
_SEED = 6
#: Ways of searching that find and prove less here in the same time than those that are left
_IGNORED = (
    "core", "default_lp", "fixed", "max_lp", "pseudo_costs", "quick_restart_no_lp", "reduced_costs",
)  # fmt: skip


@dataclass(frozen=True)
class _Found:
    """What one search found."""

    starts: Mapping[Key, int]
    value: int
    bound: int


def solve(
    load: Load,
    effort: float = EFFORT,
    flags: tuple[Flag, ...] = (),
    *,
    soonest: bool = True,
) -> Schedule:
    """Lay a queue out.

    Parameters
    ----------
    load : Load
        Shop and work; what is fixed in it can be kept.
    effort : float
        How long each of the two searches goes on, in the solver's own seconds [-]
    flags : tuple of Flag
        What was fixed and is left out.
    soonest : bool
        Whether of the least late schedules the soonest done is looked for.

    Returns
    -------
    Schedule
        The least late that was found and, of those, the soonest done, with bounds.

    Raises
    ------
    InputError
        If the solver is not installed, or there is no way through.
    """
    if not any(work.tasks for work in load.works):
        return Schedule((), flags=flags)
    horizon = far_end(load)
    if horizon >= NEVER:
        raise _no_way()
    made = make_model(load, horizon)
    # By rule nothing is kept free for what was fixed, so it may be missed.
    firsts = first_starts(load) or [way_through(load)]
    schedules = [deal(load, starts, flags=flags) for starts in firsts if starts]
    best = min(schedules, key=lambda s: (s.lateness, s.flow), default=None)
    late = _least_late(made, best, least_lateness(load), effort)
    best = deal(load, late.starts, flags=flags)
    if not soonest:
        return deal(load, late.starts, lateness_bound=late.bound, flags=flags)
    made.model.add(made.lateness <= late.value)
    soon = _search(made, made.flow, best, least_flow(load), effort)
    return deal(load, soon.starts, lateness_bound=late.bound, flow_bound=soon.bound, flags=flags)


def _no_way() -> SpecError:
    rule = "leave no room for some task: no stretch of open hours is as long as it"
    return SpecError("hours", "these hours", rule, "open longer, or let the task be broken off")


def _least_late(made: QueueModel, best: Schedule | None, bound: int, effort: float) -> _Found:
    if best is not None and best.lateness <= bound:
        return _Found({p.task.key: p.start for p in best.placed}, best.lateness, best.lateness)
    return _search(made, made.lateness, best, bound, effort)


def _search(made: QueueModel, aim: Any, best: Schedule | None, bound: int, effort: float) -> _Found:
    cp_model = solver_library()
    model = made.model
    if best is not None:
        made.hint({p.task.key: p.start for p in best.placed})
    model.add(aim >= bound)
    model.minimize(aim)
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers, parameters.random_seed = 1, _SEED
    # Ways of searching take turns on the one worker: more than any of them alone finds.
    parameters.interleave_search, parameters.cp_model_probing_level = True, 0
    parameters.ignore_subsolvers.extend(_IGNORED)
    parameters.max_deterministic_time = effort
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        if best is None:
            raise _no_way()
        raise RuntimeError(solver.status_name(status))
    starts = {key: solver.value(part.start) for key, part in made.parts.items()}
    value = round(solver.objective_value)
    return _Found(starts, value, max(bound, round(solver.best_objective_bound)))
