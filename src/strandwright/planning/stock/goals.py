"""Goals met one after the other by a solver in whole numbers, each with its bound."""

from __future__ import annotations

import importlib
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from strandwright.errors import SolveError, SpecError


@dataclass(frozen=True)
class Goal:
    """One goal, as it was met.

    Attributes
    ----------
    name : str
        What is to be small.
    value : int
        What the answer has of it [unit]
    bound : int
        Nothing that is as good in all goals before has less; equal to ``value`` where that is
        proved to be the best [unit]
    unit : str
        ``mm``, ``dm``, or empty for a count.
    """

    name: str
    value: int
    bound: int
    unit: str = ""


@dataclass
class GoalModel:
    """A model of the solver, with what is decided in it and what is to be small.

    Attributes
    ----------
    cp : object
        The solver's own model.
    decided : list
        Unknowns that all else follows from.
    goals : list of (str, str, object)
        Name, unit and expression of each goal, first to last.
    """

    cp: Any
    decided: list[Any] = field(default_factory=list)
    goals: list[tuple[str, str, Any]] = field(default_factory=list)


def solver() -> Any:
    """Give the solver of problems in whole numbers.

    Returns
    -------
    module
        CP-SAT of OR-Tools.

    Raises
    ------
    SpecError
        If it is not installed.
    """
    try:
        return importlib.import_module("ortools.sat.python.cp_model")
    except ImportError as error:
        rule = "needs the solver OR-Tools, which is not installed"
        remedy = "install strandwright with its extra 'shop', or choose the spools by hand"
        raise SpecError("spools", "choose", rule, remedy) from error


def meet_goals(
    cp: Any, models: Sequence[GoalModel], effort: float
) -> tuple[tuple[Goal, ...], int, dict[int, int]]:
    """Make each goal as small as those before it allow; models that fall behind drop out.

    Parameters
    ----------
    cp : module
        The solver, as :func:`solver` gives it.
    models : sequence of GoalModel
        Ways that exclude each other, with the same goals.
    effort : float
        Deterministic time of the solver for all goals, > 0 [-]

    Returns
    -------
    (tuple of Goal, int, dict)
        The goals; which model is the best, and its unknowns by their place in it [-]

    Raises
    ------
    SolveError
        If the solver found nothing in the time it had.
    """
    met: list[Goal] = []
    best: dict[int, dict[int, int]] = {m: {} for m in range(len(models))}
    for place, (name, unit, _) in enumerate(models[0].goals):
        share = effort / len(models[0].goals) / len(best)
        found = {m: _least(cp, models[m], place, best[m], share) for m in best}
        value = min(f.value for f in found.values())
        met.append(Goal(name, value, min(f.bound for f in found.values()), unit))
        best = {m: f.unknowns for m, f in found.items() if f.value == value}
        for m in best:
            models[m].cp.add(models[m].goals[place][2] <= value)
    chosen = min(best)
    return tuple(met), chosen, best[chosen]


class _Found(NamedTuple):
    """The least of a goal that was found, its bound, and the unknowns that reach it."""

    value: int
    bound: int
    unknowns: dict[int, int]


def _least(cp: Any, model: GoalModel, place: int, best: dict[int, int], effort: float) -> _Found:
    """Make one goal small, beginning with what was best for the goals before."""
    goal = model.goals[place][2]
    known = model.decided
    model.cp.minimize(goal)
    model.cp.clear_hints()
    for unknown in known if best else ():
        model.cp.add_hint(unknown, best[unknown.index])
    solving = cp.CpSolver()
    # One worker and a clock that counts work, not seconds: the same answer on every run.
    solving.parameters.num_workers = 1
    solving.parameters.random_seed = 0
    solving.parameters.max_deterministic_time = effort
    status = solving.solve(model.cp)
    if status in (cp.OPTIMAL, cp.FEASIBLE):
        value = int(solving.value(goal))
        bound = value if status == cp.OPTIMAL else math.ceil(solving.best_objective_bound - 1e-9)
        return _Found(value, bound, {u.index: int(solving.value(u)) for u in known})
    if not best:
        message = "which spools to wind from was not found in the time the solver had"
        raise SolveError(f"{message}; give it more effort, or fewer spools")
    # What met the goals before stands; of this one nothing more is known.
    return _Found(_worth(cp, model, goal, best), 0, best)


def _worth(cp: Any, model: GoalModel, goal: Any, best: dict[int, int]) -> int:
    """Work out what a known answer has of a goal."""
    fixed = model.cp.clone()
    for unknown in model.decided:
        fixed.add(fixed.get_int_var_from_proto_index(unknown.index) == best[unknown.index])
    fixed.clear_objective()
    solving = cp.CpSolver()
    solving.parameters.num_workers = 1
    solving.solve(fixed)
    return int(solving.value(goal))
