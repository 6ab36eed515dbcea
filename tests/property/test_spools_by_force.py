"""Which spools to wind from, beside every way there is of doing it, on small cases."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandwright.planning.stock.spools import Demand, SpoolAtHand, choose_spools


@pytest.fixture(autouse=True, scope="module")
def solver(need_library):
    """Need the solver that is held to the others."""
    need_library("ortools")


COARSE = 100


def ceil_of(metres: float, step: int) -> int:
    """Round a length up to whole steps of so many millimetres."""
    return -(-round(metres * 1000) // step)


def goals_of(way, demands, spools, useful):
    """Say how well a way of winding does, or None where it cannot be done."""
    taken = [j for j in range(len(spools)) if any(row[j] for row in way)]
    used = [
        sum(
            row[j] * round(d.round_length * 1000) + round(d.start_length * 1000) * (row[j] > 0)
            for row, d in zip(way, demands, strict=True)
        )
        for j in range(len(spools))
    ]
    free = [round(s.free * 1000) for s in spools]
    if any(u > f for u, f in zip(used, free, strict=True)):
        return None
    if any(sum(row) > d.rounds for row, d in zip(way, demands, strict=True)):
        return None
    left = {j: free[j] - used[j] for j in taken}
    return (
        sum(
            (d.rounds - sum(row)) * round(d.round_length * 1000)
            for row, d in zip(way, demands, strict=True)
        ),
        len({spools[j].lot or spools[j].id for j in taken}),
        len(taken),
        sum(n > 0 for row in way for n in row),
        sum(ceil_of(m / 1000, COARSE) for m in left.values() if m < useful * 1000),
        sum(not spools[j].is_open for j in taken),
        sum(ceil_of(m / 1000, COARSE) for m in left.values()),
    )


def best_by_force(demands, spools, useful, may_mix):
    """Try every way and give the goals of the best."""
    counts = [range(d.rounds + 1) for d in demands for _ in spools]
    found = []
    for flat in product(*counts):
        way = [flat[i * len(spools) : (i + 1) * len(spools)] for i in range(len(demands))]
        goals = goals_of(way, demands, spools, useful)
        if goals is not None and (may_mix or goals[1] <= 1):
            found.append(goals)
    return min(found)


LENGTHS = st.integers(1, 30).map(lambda n: n / 10)
DEMANDS = st.lists(
    st.tuples(st.integers(1, 3), LENGTHS, st.sampled_from((0.0, 0.3))), min_size=1, max_size=2
)
SPOOLS = st.lists(
    st.tuples(st.integers(0, 90).map(lambda n: n / 10), st.sampled_from(("A", "B", "")),
              st.booleans()),
    max_size=3,
)  # fmt: skip


@settings(max_examples=150)
@given(DEMANDS, SPOOLS, st.sampled_from((0.0, 1.0, 2.5)), st.booleans())
def test_no_way_is_better(rows, shelf, useful, may_mix):
    """The goals met are the least of all ways, goal after goal, and the answer says so itself."""
    demands = [Demand(f"line {i}", "ware", *row) for i, row in enumerate(rows)]
    spools = [
        SpoolAtHand(f"s{j}", "ware", lot, free, is_open)
        for j, (free, lot, is_open) in enumerate(shelf)
    ]
    choice = choose_spools(demands, spools, useful, may_mix=may_mix)
    values = tuple(goal.value for goal in choice.goals)
    assert values[:7] == best_by_force(demands, spools, useful, may_mix)
    assert choice.is_proved
    way = [
        [sum(p.rounds for p in choice.pieces if (p.demand, p.spool) == (d.name, s.id))
         for s in spools]
        for d in demands
    ]  # fmt: skip
    assert goals_of(way, demands, spools, useful) == values[:7]
    assert {d.name: d.rounds - sum(row) for d, row in zip(demands, way, strict=True)
            if d.rounds > sum(row)} == dict(choice.missing)  # fmt: skip
    for spool in spools:
        if spool.id in choice.remnants:
            used = sum(p.length for p in choice.pieces if p.spool == spool.id)
            assert choice.remnants[spool.id] == pytest.approx(max(spool.free - used, 0.0))


@given(DEMANDS, SPOOLS, st.randoms(use_true_random=False))
@settings(max_examples=40)
def test_the_order_of_the_shelf_says_nothing(rows, shelf, random):
    """The same spools in another order, asked again: the same answer, piece by piece."""
    demands = [Demand(f"line {i}", "ware", *row) for i, row in enumerate(rows)]
    spools = [
        SpoolAtHand(f"s{j}", "ware", lot, free, is_open)
        for j, (free, lot, is_open) in enumerate(shelf)
    ]
    shuffled = list(spools)
    random.shuffle(shuffled)
    assert choose_spools(demands, spools, 1.0) == choose_spools(demands, shuffled, 1.0)
