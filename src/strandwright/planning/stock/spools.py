"""Spools to wind from: which ones to take and finish, so that a colour comes from one lot.

An exact problem in whole numbers: rounds and millimetres. Its goals come one after the other,
each as good as those before it allow, and each is told with the bound that proves how much better
it could be at most.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from strandwright.errors import LimitError, SpecError
from strandwright.planning.stock.goals import Goal
from strandwright.planning.stock.spools_model import solve_ware

#: Rounds of one colour beyond this are a slip of the hand [round]
_MOST_ROUNDS = 100_000
#: Spools of one ware beyond this are not looked at together [-]
_MOST_SPOOLS = 200


@dataclass(frozen=True)
class Demand:
    """What one line needs of one ware, wound in whole rounds.

    Attributes
    ----------
    name : str
        Line and colour, each its own name.
    ware : str
        The ware's key: wares are never mixed, and each is wound from one lot.
    rounds : int
        Rounds to wind, or pieces that are not parted, >= 1 [round]
    round_length : float
        Length of one, > 0 [m]
    start_length : float
        What each spool that is begun for it costs besides: tail and join, >= 0 [m]
    """

    name: str
    ware: str
    rounds: int
    round_length: float
    start_length: float = 0.0


@dataclass(frozen=True)
class SpoolAtHand:
    """A spool that may be taken.

    Attributes
    ----------
    id : str
        Its log.
    ware : str
        The ware's key.
    lot : str
        Its lot; a spool that does not say is a lot of its own.
    free : float
        Length that may be taken, the shop's safety off already, >= 0 [m]
    is_open : bool
        Whether it is begun.
    """

    id: str
    ware: str
    lot: str
    free: float
    is_open: bool


@dataclass(frozen=True)
class Piece:
    """What one spool gives to one line.

    Attributes
    ----------
    demand : str
        Line and colour.
    spool : str
        The spool's log.
    rounds : int
        Rounds wound from it, >= 1 [round]
    length : float
        Length they take, with what the start costs [m]
    """

    demand: str
    spool: str
    rounds: int
    length: float


@dataclass(frozen=True)
class SpoolChoice:
    """Which spools to wind from.

    Attributes
    ----------
    pieces : tuple of Piece
        By line, and for each in the order of winding: begun spools first.
    remnants : dict
        What is free afterwards on each spool that is taken [m]
    missing : dict
        Rounds of each line that nothing at hand winds; empty where all can be wound [round]
    goals : tuple of Goal
        Each goal in its order, summed over the wares.
    """

    pieces: tuple[Piece, ...]
    remnants: Mapping[str, float]
    missing: Mapping[str, int]
    goals: tuple[Goal, ...]

    @property
    def is_proved(self) -> bool:
        """Whether nothing better exists."""
        return all(goal.bound == goal.value for goal in self.goals)


def choose_spools(
    demands: Sequence[Demand],
    spools: Sequence[SpoolAtHand],
    useful: float,
    *,
    may_mix: bool = False,
    effort: float = 8.0,
) -> SpoolChoice:
    """Choose the spools a set is wound from.

    Goals, first to last: wind as much as can be wound; mix as few lots as can be; take the fewest
    spools; change spools within a line least often; leave the least length on spools that are
    then too short to be of use; begin the fewest new spools; take those with the least on them.

    Parameters
    ----------
    demands : sequence of Demand
        What the lines need, in the order of winding.
    spools : sequence of SpoolAtHand
        What is there; their order says nothing.
    useful : float
        Shortest length on a spool that is still of use, >= 0 [m]
    may_mix : bool
        Whether one colour may come from several lots where one does not suffice. Otherwise what
        no single lot can wind is missing.
    effort : float
        When to stop at the latest, in the solver's own deterministic time, > 0 [-]

    Returns
    -------
    SpoolChoice
        The same for the same input, on every run.

    Raises
    ------
    InputError
        If a number cannot be meant, or the solver is not installed.
    """
    _refuse(demands, spools, useful)
    order = {d.name: i for i, d in enumerate(demands)}
    chosen = [
        solve_ware(
            [d for d in demands if d.ware == ware],
            sorted((s for s in spools if s.ware == ware), key=_by_turn),
            _down(useful),
            may_mix=may_mix,
            effort=effort,
        )
        for ware in sorted({d.ware for d in demands})
    ]
    pieces = [
        Piece(d.name, s.id, rounds, rounds * d.round_length + d.start_length)
        for answer in chosen
        for (d, s), rounds in answer.rounds.items()
    ]
    turn = {s.id: i for i, s in enumerate(sorted(spools, key=_by_turn))}
    pieces.sort(key=lambda p: (order[p.demand], turn[p.spool]))
    free = {s.id: s.free for s in spools}
    taken = {p.spool: sum(q.length for q in pieces if q.spool == p.spool) for p in pieces}
    return SpoolChoice(
        tuple(pieces),
        {id: max(free[id] - length, 0.0) for id, length in taken.items()},
        {d.name: r for answer in chosen for d, r in answer.missing.items() if r},
        _summed([answer.goals for answer in chosen]),
    )


def _by_turn(spool: SpoolAtHand) -> tuple[bool, float, str]:
    """Begun spools first, then those with less on them."""
    return not spool.is_open, spool.free, spool.id


def _summed(goals: Sequence[Sequence[Goal]]) -> tuple[Goal, ...]:
    """Add the goals of the wares, which have nothing to do with each other, up."""
    return tuple(
        Goal(same[0].name, sum(g.value for g in same), sum(g.bound for g in same), same[0].unit)
        for same in zip(*goals, strict=True)
    )


def _down(metres: float) -> int:
    """Count whole millimetres, never more than there are."""
    return math.floor(metres * 1000.0 + 1e-6)


def _refuse(demands: Sequence[Demand], spools: Sequence[SpoolAtHand], useful: float) -> None:
    """Refuse what cannot be meant."""
    names = [d.name for d in demands]
    for name in names:
        if names.count(name) > 1:
            raise SpecError("demand.name", name, "must be there once", "name line and colour")
    for d in demands:
        if not 1 <= d.rounds <= _MOST_ROUNDS:
            rule = f"must be 1 to {_MOST_ROUNDS} rounds"
            raise LimitError("demand.rounds", str(d.rounds), rule, "count whole rounds")
        if not (0.0 < d.round_length < 1e4 and 0.0 <= d.start_length < 1e4):
            rule = "must be a length of a round above 0, and of a start from 0, below 10 km"
            raise LimitError("demand.round_length", f"{d.round_length} m", rule, "mend it")
    ids = [s.id for s in spools]
    for s in spools:
        if ids.count(s.id) > 1:
            raise SpecError("spool.id", s.id, "must be there once", "name each spool once")
        if not 0.0 <= s.free < 1e6:
            rule = "must be 0 or more, and below 1000 km"
            raise LimitError("spool.free", f"{s.free} m", rule, "mend it")
    if not 0.0 <= useful < 1e5:
        raise LimitError("useful", f"{useful} m", "must be 0 or more", "give a length")
    for ware in {s.ware for s in spools}:
        if sum(s.ware == ware for s in spools) > _MOST_SPOOLS:
            rule = f"must be at most {_MOST_SPOOLS} spools of one ware"
            raise LimitError("spools", ware, rule, "leave out those that are nearly empty")
