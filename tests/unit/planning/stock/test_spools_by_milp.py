"""Which spools to wind from, beside HiGHS by way of SciPy, on cases of a shop's size."""

from __future__ import annotations

import random
from typing import Any

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from strandwright.errors import LimitError, SpecError
from strandwright.planning.stock import goals
from strandwright.planning.stock.spools import Demand, SpoolAtHand, choose_spools


@pytest.fixture(autouse=True, scope="module")
def solver(need_library):
    """Need the solver that is held to the others."""
    need_library("ortools")


COARSE = 100.0


def made(seed: int) -> tuple[list[Demand], list[SpoolAtHand]]:
    """Make a set of three lines of one colour and nine spools of three lots."""
    chance = random.Random(seed)
    demands = [
        Demand(name, "ware", chance.randint(5, 14), chance.randint(21, 34) / 10, 0.6)
        for name in ("string", "cable 1", "cable 2")
    ]
    spools = [
        SpoolAtHand(f"s{j}", "ware", f"L{j % 3}", chance.randint(40, 700) / 10,
                    chance.random() < 0.6)
        for j in range(9)
    ]  # fmt: skip
    return demands, spools


def by_milp(demands, spools, useful):
    """Meet the goals one after the other with branch and cut; give their values."""
    D, S = len(demands), len(spools)
    # Unknowns: rounds and starts by demand and spool; missing; taken, left, useless, of use.
    n = 2 * D * S + D + 4 * S
    x = np.arange(D * S).reshape(D, S)
    y, m = D * S + x, 2 * D * S + np.arange(D)
    u, r, w, b = (2 * D * S + D + k * S + np.arange(S) for k in range(4))
    length = [round(d.round_length * 1000) for d in demands]
    start = [round(d.start_length * 1000) for d in demands]
    free = [round(s.free * 1000) for s in spools]
    rows, low, high = [], [], []

    def hold(entries, least, most):
        row = np.zeros(n)
        for place, factor in entries:
            row[place] += factor
        rows.append(row)
        low.append(least)
        high.append(most)

    upper = np.full(n, np.inf)
    upper[y.ravel()], upper[u], upper[b] = 1, 1, 1
    for d in range(D):
        hold([(m[d], 1), *[(x[d, s], 1) for s in range(S)]], demands[d].rounds, demands[d].rounds)
        for s in range(S):
            hold([(x[d, s], 1), (y[d, s], -demands[d].rounds)], -np.inf, 0)
            hold([(x[d, s], 1), (y[d, s], -1)], 0, np.inf)
            hold([(y[d, s], 1), (u[s], -1)], -np.inf, 0)
    big = max(free) + useful * 1000
    for s in range(S):
        used = [(x[d, s], length[d]) for d in range(D)] + [(y[d, s], start[d]) for d in range(D)]
        hold([*used, (u[s], -free[s])], -np.inf, 0)
        hold([*used, (r[s], COARSE), (u[s], -free[s])], 0, np.inf)
        hold([*used, (b[s], big)], -np.inf, free[s] - useful * 1000 + big)
        hold([(w[s], 1), (r[s], -1), (b[s], big)], 0, np.inf)
    new = [s for s in range(S) if not spools[s].is_open]
    wanted = [
        [(m[d], length[d]) for d in range(D)], [(p, 1) for p in u], [(p, 1) for p in y.ravel()],
        [(p, 1) for p in w], [(u[s], 1) for s in new], [(p, 1) for p in r],
    ]  # fmt: skip
    values = []
    for goal in wanted:
        cost = np.zeros(n)
        for place, factor in goal:
            cost[place] += factor
        limits: tuple[Any, ...] = (0, upper)
        held: tuple[Any, ...] = (np.array(rows), low, high)
        found = milp(
            cost, integrality=np.ones(n), bounds=Bounds(*limits),
            constraints=LinearConstraint(*held),
            options={"mip_rel_gap": 0.0, "time_limit": 60},
        )  # fmt: skip
        assert found.success
        values.append(round(found.fun))
        hold(goal, -np.inf, values[-1] + 0.4)
    return values


@pytest.mark.parametrize("seed", range(6))
def test_another_solver_meets_the_same_goals(seed):
    """The best lot by HiGHS has what the answer has, goal after goal."""
    demands, spools = made(seed)
    useful = 12.0
    lots = [[s for s in spools if s.lot == lot] for lot in ("L0", "L1", "L2")]
    theirs = min(by_milp(demands, lot, useful) for lot in lots)
    ours = choose_spools(demands, spools, useful)
    assert ours.is_proved
    assert theirs == [g.value for g in ours.goals if g.name not in ("lots", "order of the spools")]


def test_wares_are_chosen_apart():
    """Goals of two wares are summed, and no spool winds a ware it is not of."""
    demands, spools = made(1)
    other = [Demand(f"{d.name} b", "thread", 1, d.round_length) for d in demands]
    both = choose_spools(
        [*demands, *other], [*spools, SpoolAtHand("t", "thread", "", 30.0, True)], 5.0
    )
    alone = choose_spools(demands, spools, 5.0)
    assert [p for p in both.pieces if p.spool != "t"] == list(alone.pieces)
    assert {p.demand for p in both.pieces if p.spool == "t"} == {d.name for d in other}


def test_lots_are_mixed_only_where_that_is_allowed():
    """Two spools of half the length, of two lots: one colour, half of it missing; or mixed."""
    demands = [Demand("string", "ware", 10, 3.0)]
    spools = [SpoolAtHand("a", "ware", "A", 16.0, True), SpoolAtHand("b", "ware", "B", 16.0, True)]
    apart = choose_spools(demands, spools, 1.0)
    assert apart.missing == {"string": 5}
    mixed = choose_spools(demands, spools, 1.0, may_mix=True)
    assert mixed.missing == {}
    assert [g.value for g in mixed.goals[:3]] == [0, 2, 2]
    # A spool that does not say its lot is a lot of its own.
    unnamed = [SpoolAtHand(s.id, "ware", "", s.free, s.is_open) for s in spools]
    assert choose_spools(demands, unnamed, 1.0).missing == {"string": 5}


def test_begun_spools_are_finished_first():
    """Of two lots that both serve, the begun one with less on it is taken."""
    demands = [Demand("string", "ware", 10, 3.0)]
    spools = [
        SpoolAtHand("new", "ware", "N", 80.0, False),
        SpoolAtHand("long", "ware", "A", 90.0, True),
        SpoolAtHand("short", "ware", "B", 60.0, True),
    ]
    assert [p.spool for p in choose_spools(demands, spools, 12.0).pieces] == ["short"]


def test_no_useless_remnant_where_there_is_another_way():
    """A begun spool is passed over where it would leave less than is of use."""
    demands = [Demand("string", "ware", 10, 3.0)]
    spools = [
        SpoolAtHand("begun", "ware", "L", 37.0, True),
        SpoolAtHand("new", "ware", "L", 300.0, False),
    ]
    assert [p.spool for p in choose_spools(demands, spools, 12.0).pieces] == ["new"]
    assert [p.spool for p in choose_spools(demands, spools, 5.0).pieces] == ["begun"]


def test_little_effort_tells_its_bound():
    """Cut short, the answer can still be wound, and says that better may exist."""
    chance = random.Random(1)
    demands = [
        Demand(f"line {i}", "ware", chance.randint(8, 14), chance.uniform(2, 3.4), 0.6)
        for i in range(6)
    ]
    spools = [
        SpoolAtHand(f"s{j}", "ware", "L", chance.uniform(5, 45), chance.random() < 0.6)
        for j in range(12)
    ]
    choice = choose_spools(demands, spools, 12.0, effort=0.4)
    assert choice == choose_spools(demands, spools, 12.0, effort=0.4)
    assert not choice.is_proved
    assert all(goal.bound <= goal.value for goal in choice.goals)
    for spool in spools:
        assert sum(p.length for p in choice.pieces if p.spool == spool.id) <= spool.free + 1e-9


def test_without_the_solver_it_says_what_to_install(monkeypatch):
    """The extra is named; nothing is guessed."""
    monkeypatch.setattr(goals.importlib, "import_module", _missing)
    with pytest.raises(SpecError, match="extra 'shop'"):
        choose_spools([Demand("string", "ware", 10, 3.0)], [], 1.0)


def _missing(name: str):
    raise ImportError(name)


@pytest.mark.parametrize(
    ("demands", "spools", "field"),
    [
        ([Demand("a", "w", 0, 1.0)], [], "demand.rounds"),
        ([Demand("a", "w", 1, 0.0)], [], "demand.round_length"),
        ([Demand("a", "w", 1, 1.0), Demand("a", "w", 1, 1.0)], [], "demand.name"),
        ([], [SpoolAtHand("s", "w", "", -1.0, True)], "spool.free"),
        ([], [SpoolAtHand("s", "w", "", float("nan"), True)], "spool.free"),
    ],
)
def test_what_cannot_be_meant_is_refused(demands, spools, field):
    """Field, value, rule and remedy."""
    with pytest.raises((LimitError, SpecError)) as caught:
        choose_spools(demands, spools, 1.0)
    assert caught.value.field == field
