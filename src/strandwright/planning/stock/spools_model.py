"""Model of winding one ware from spools: whole rounds from whole spools, goal after goal."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from strandwright.planning.stock.goals import Goal, GoalModel, meet_goals, solver

if TYPE_CHECKING:
    from strandwright.planning.stock.spools import Demand, SpoolAtHand


#: What is left on a spool is weighed up in steps of this [mm]
COARSE = 100


@dataclass(frozen=True)
class WareAnswer:
    """How one ware is wound.

    Attributes
    ----------
    rounds : dict
        Rounds by demand and spool, none of them 0 [round]
    missing : dict
        Rounds by demand that are not wound [round]
    goals : tuple of Goal
        In their order.
    """

    rounds: dict[tuple[Demand, SpoolAtHand], int]
    missing: dict[Demand, int]
    goals: tuple[Goal, ...]


@dataclass
class _Model(GoalModel):
    """The solver's model with its unknowns by demand and spool."""

    wound: dict[tuple[int, int], Any] = field(default_factory=dict)
    begun: dict[tuple[int, int], Any] = field(default_factory=dict)
    missing: list[Any] = field(default_factory=list)
    taken: list[Any] = field(default_factory=list)
    lots: list[Any] = field(default_factory=list)
    remnant: list[Any] = field(default_factory=list)
    useless: list[Any] = field(default_factory=list)


def solve_ware(
    demands: Sequence[Demand],
    spools: Sequence[SpoolAtHand],
    useful: int,
    *,
    may_mix: bool,
    effort: float,
) -> WareAnswer:
    """Wind the demands for one ware from the spools of that ware.

    Parameters
    ----------
    demands : sequence of Demand
        In the order of winding.
    spools : sequence of SpoolAtHand
        In the order in which they are taken where nothing else decides.
    useful : int
        Shortest length on a spool that is of use [mm]
    may_mix : bool
        Whether several lots may be used.
    effort : float
        Deterministic time of the solver for all goals, > 0 [-]

    Returns
    -------
    WareAnswer
        The answer.

    Raises
    ------
    SpecError
        If the solver is not installed.
    SolveError
        If the solver found nothing in the time it had.
    """
    cp = solver()
    parts = [spools] if may_mix else _by_lot(spools)
    models = [_modelled(cp, demands, part, useful) for part in parts]
    goals, chosen, best = meet_goals(cp, models, effort)
    model, part = models[chosen], parts[chosen]
    places = [(i, j) for i in range(len(demands)) for j in range(len(part))]
    return WareAnswer(
        {(demands[i], part[j]): best[model.wound[i, j].index] for i, j in places
         if best[model.wound[i, j].index]},
        {d: best[model.missing[i].index] for i, d in enumerate(demands)},
        goals,
    )  # fmt: skip


def _by_lot(spools: Sequence[SpoolAtHand]) -> list[list[SpoolAtHand]]:
    """Part spools by their lots; where there is none, one empty part."""
    lots: dict[str, list[SpoolAtHand]] = {}
    for spool in spools:
        lots.setdefault(_lot(spool), []).append(spool)
    return list(lots.values()) or [[]]


def _lot(spool: SpoolAtHand) -> str:
    return f"lot {spool.lot}" if spool.lot else f"alone {spool.id}"


def _modelled(
    cp: Any, demands: Sequence[Demand], spools: Sequence[SpoolAtHand], useful: int
) -> _Model:
    model = _Model(cp.CpModel())
    _wind(model, demands, spools)
    _count_lots(model, spools)
    _measure(model, demands, spools, useful)
    _set_goals(model, demands, spools)
    model.decided = [*model.wound.values(), *model.missing]
    return model


def _up(metres: float) -> int:
    return math.ceil(metres * 1000.0 - 1e-6)


def _free(spool: SpoolAtHand) -> int:
    return math.floor(spool.free * 1000.0 + 1e-6)


def _wind(model: _Model, demands: Sequence[Demand], spools: Sequence[SpoolAtHand]) -> None:
    """Let each spool give whole rounds, no more than are wanted and no more than it has."""
    cp = model.cp
    model.taken = [cp.new_bool_var(f"taken {j}") for j in range(len(spools))]
    for i, d in enumerate(demands):
        model.missing.append(cp.new_int_var(0, d.rounds, f"missing {i}"))
        for j, s in enumerate(spools):
            most = min(d.rounds, max(_free(s) - _up(d.start_length), 0) // _up(d.round_length))
            model.wound[i, j] = cp.new_int_var(0, most, f"wound {i} {j}")
            model.begun[i, j] = cp.new_bool_var(f"begun {i} {j}")
            cp.add(model.wound[i, j] <= most * model.begun[i, j])
            cp.add(model.wound[i, j] >= model.begun[i, j])
            cp.add_implication(model.begun[i, j], model.taken[j])
        cp.add(sum(model.wound[i, j] for j in range(len(spools))) + model.missing[i] == d.rounds)
    for j, s in enumerate(spools):
        cp.add(_used(model, demands, j) <= _free(s) * model.taken[j])
        cp.add(sum(model.begun[i, j] for i in range(len(demands))) >= model.taken[j])


def _used(model: _Model, demands: Sequence[Demand], j: int) -> Any:
    return sum(
        _up(d.round_length) * model.wound[i, j] + _up(d.start_length) * model.begun[i, j]
        for i, d in enumerate(demands)
    )


def _count_lots(model: _Model, spools: Sequence[SpoolAtHand]) -> None:
    """Count the lots that are used."""
    cp = model.cp
    for lot in sorted({_lot(s) for s in spools}):
        used = cp.new_bool_var(lot)
        for j, s in enumerate(spools):
            if _lot(s) == lot:
                cp.add_implication(model.taken[j], used)
        model.lots.append(used)


def _measure(
    model: _Model, demands: Sequence[Demand], spools: Sequence[SpoolAtHand], useful: int
) -> None:
    """Measure what is left on each spool that is taken, and how much of it is of no use.

    In whole tenths of a metre, each begun one counted: nobody knows a spool any finer.
    """
    cp = model.cp
    for j, s in enumerate(spools):
        free = _free(s)
        left = cp.new_int_var(0, -(-free // COARSE), f"remnant {j}")
        cp.add(COARSE * left + _used(model, demands, j) >= free * model.taken[j])
        useless = cp.new_int_var(0, -(-min(free, useful) // COARSE), f"useless {j}")
        is_of_use = cp.new_bool_var(f"of use {j}")
        cp.add(_used(model, demands, j) <= free - useful).only_enforce_if(is_of_use)
        cp.add(useless >= left).only_enforce_if(is_of_use.negated())
        model.remnant.append(left)
        model.useless.append(useless)


def _set_goals(model: _Model, demands: Sequence[Demand], spools: Sequence[SpoolAtHand]) -> None:
    """Set the goals, first to last; the last one only makes the answer the only one."""
    lengths = [_up(d.round_length) for d in demands]
    turns = (
        j * (i + 1) * model.wound[i, j] for i in range(len(demands)) for j in range(len(spools))
    )
    new = [model.taken[j] for j, s in enumerate(spools) if not s.is_open]
    model.goals = [
        ("length that cannot be wound", "mm", _dot(lengths, model.missing)),
        ("lots", "", sum(model.lots)),
        ("spools", "", sum(model.taken)),
        ("spools begun for a line", "", sum(model.begun.values())),
        ("length left of no use", "dm", sum(model.useless)),
        ("new spools begun", "", sum(new)),
        ("length left on the spools taken", "dm", sum(model.remnant)),
        ("order of the spools", "", sum(turns)),
    ]


def _dot(weights: Sequence[int], unknowns: Sequence[Any]) -> Any:
    return sum(w * u for w, u in zip(weights, unknowns, strict=True))
