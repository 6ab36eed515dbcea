"""Overrides: which of the fixed starts and orders can be kept together, and why others cannot.

They are taken in the order in which they were set. One that cannot stand beside those before it is
left out and said, with the one it clashes with where that can be told; nothing is moved in silence.
"""

from __future__ import annotations

from dataclasses import replace

from strandwright.planning.queue.course import NEVER, begin, course
from strandwright.planning.queue.first import dispatch, far_end
from strandwright.planning.queue.model import key_of, make_model, solver_library
from strandwright.planning.queue.nouns import Fixed, Flag, Key, Load, Task
from strandwright.planning.queue.when import moment_said

#: Effort of looking whether there is a way through, in the solver's own seconds [-]
_EFFORT = 0.2


def sift(load: Load) -> tuple[Load, tuple[Flag, ...]]:
    """Leave out what was fixed and cannot be.

    Parameters
    ----------
    load : Load
        Shop and work, with everything that was fixed.

    Returns
    -------
    load : Load
        With what can be kept together.
    flags : tuple of Flag
        What cannot, with the reason and what would do.
    """
    kept: list[Fixed] = []
    flags: list[Flag] = []
    for fixed in load.fixed:
        flag = _alone(load, fixed) or _among(load, kept, fixed)
        if flag is None:
            kept.append(fixed)
        else:
            flags.append(flag)
    return replace(load, fixed=tuple(kept)), tuple(flags)


def way_through(load: Load) -> dict[Key, int] | None:
    """Find any schedule that keeps to what was fixed.

    Parameters
    ----------
    load : Load
        Shop and work.

    Returns
    -------
    dict or None
        Open minutes at which tasks begin; None where none was found [min]
    """
    by_rule = dispatch(load, lambda work, minute: work.due or 0)
    if by_rule:
        return by_rule
    cp_model = solver_library()
    made = make_model(load, far_end(load))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers, solver.parameters.random_seed = 1, 1
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.max_deterministic_time = _EFFORT
    if solver.solve(made.model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return {key: solver.value(part.start) for key, part in made.parts.items()}


def _alone(load: Load, fixed: Fixed) -> Flag | None:
    """What stands against it even in an empty shop."""
    if fixed.start is None:
        return None
    work = next(work for work in load.works if work.job == fixed.job)
    clock = max(load.now, work.ready)
    key = key_of(load, fixed.job, fixed.step)
    for task in work.tasks:
        start = begin(load.hours, task, max(clock, fixed.start if task.key == key else 0))
        if task.key == key:
            return _misses(load, fixed, task, clock, start)
        clock = course(load.hours, task, start).free
    return None


def _misses(load: Load, fixed: Fixed, task: Task, clock: int, start: int) -> Flag | None:
    wanted = fixed.start or 0
    if start == wanted:
        return None
    next_best = "" if start >= NEVER else moment_said(load.hours, start)
    if clock > wanted:
        why = f"what goes before it is not over before {moment_said(load.hours, clock)}"
    elif task.stands:
        why = "it and its time under load do not end while somebody is there"
    else:
        why = f"its {task.hands} min do not fit before closing, and it is not broken off"
    return Flag(fixed, why, f"let it begin at {next_best}")


def _among(load: Load, kept: list[Fixed], fixed: Fixed) -> Flag | None:
    """What stands against it beside what was fixed before."""
    if way_through(replace(load, fixed=(*kept, fixed))) is not None:
        return None
    other = next((k for k in kept if way_through(replace(load, fixed=(k, fixed))) is None), None)
    if other is not None:
        why = f"it cannot be beside what was set for {_name(load, other)}"
        return Flag(fixed, why, "unpin one of the two")
    if kept:
        return Flag(fixed, "it cannot be beside all that was set before it", "unpin some of it")
    return Flag(fixed, "what lies on the benches now leaves no room for it", "unpin it")


def _name(load: Load, fixed: Fixed) -> str:
    if fixed.before:
        return f"{fixed.job}, to go before {fixed.before}"
    return f"{fixed.job} at {moment_said(load.hours, fixed.start or 0)}"
