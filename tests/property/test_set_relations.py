"""Relations of sets: their order, their parts and their sums."""

from __future__ import annotations

from itertools import permutations

import pytest

from bench_work import Work
from finished_line import finish
from line_sets import PLANNER, line_set, planned, ridge_plans
from strandwright.planning.sets.data import set_data
from strandwright.planning.sets.plan_set import plan_set
from strandwright.planning.sets.spare import spare_of_build


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_the_order_of_the_lines_changes_nothing(order):
    """Whatever order they are named in, every answer is the same."""
    plans = tuple(ridge_plans()[k] for k in order)
    usual, found = (set_data(planned(p)) for p in (ridge_plans(), plans))
    for told in (usual, found):
        told["set"].pop("lines")
    assert usual == found


@pytest.mark.parametrize("number", [0, 1, 2])
def test_a_set_of_one_line_is_the_plan_of_that_line(number):
    """Its chances, its posts, its strand and its time are the plan's own."""
    plan = ridge_plans()[number]
    one = planned((plan,))
    assert (plan,) == one.plans
    assert plan.landing.chance_first == one.chance.first
    assert (plan.winding.posts_outside.value,) == one.orders[0].posts
    assert 0 == one.orders[0].moves == one.orders[0].spool_changes
    assert one.schedule.total.value == one.schedule.one_by_one
    assert () == one.checks == one.pairs
    for run, cut in zip(sorted(plan.winding.runs, key=lambda r: r.name),
                        sorted(one.cut.fibres, key=lambda f: f.name), strict=True):  # fmt: skip
        assert (run.thread_length, run.mass) == (cut.length.value, cut.mass)


def test_the_cut_list_of_a_set_is_the_sum_of_its_lines():
    """Length, mass, the +- of it, thread and bobbins no fewer than one line needs."""
    whole = planned(ridge_plans()).cut
    parts = [planned((plan,)).cut for plan in ridge_plans()]
    for cut in whole.fibres:
        mine = [f for part in parts for f in part.fibres if (f.name, f.lot) == (cut.name, cut.lot)]
        assert cut.length.value == pytest.approx(sum(f.length.value for f in mine))
        assert cut.mass.value == pytest.approx(sum(f.mass.value for f in mine))
        assert cut.mass.u == pytest.approx(sum(f.mass.u for f in mine))
    for cut in whole.threads:
        mine = [t for part in parts for t in part.threads
                if (t.thread, t.colour) == (cut.thread, cut.colour)]  # fmt: skip
        assert cut.length.value == pytest.approx(sum(t.length.value for t in mine))
        assert max(t.bobbins for t in mine) <= cut.bobbins <= sum(t.bobbins for t in mine)


def test_a_pair_named_the_other_way_round_is_the_same_pair():
    """One and other may change places."""
    told = [
        planned(ridge_plans(), pairs=[{"one": one, "other": other}]).pairs
        for one, other in (("RIDGE-2", "RIDGE-3"), ("RIDGE-3", "RIDGE-2"))
    ]
    assert told[0] == told[1]


def test_a_line_less_takes_less_and_lands_more_often():
    """Every line costs strand and time and may fail."""
    jobs = [p.job.id for p in ridge_plans()]
    whole = planned(ridge_plans())
    for gone in range(3):
        rest = tuple(p for k, p in enumerate(ridge_plans()) if k != gone)
        less = plan_set(line_set(*(j for k, j in enumerate(jobs) if k != gone)), rest, PLANNER.plan)
        assert less.schedule.total.value < whole.schedule.total.value
        assert less.chance.first >= whole.chance.first - 1e-3
        strand = [sum(f.length.value for f in s.cut.fibres) for s in (less, whole)]
        assert strand[0] < strand[1]


@pytest.mark.parametrize("job", ["RIDGE-1", "RIDGE-2", "RIDGE-3"])
def test_a_spare_of_a_build_with_no_turns_on_the_bow_asks_the_length_that_was_proved(job):
    """And by its own plan it comes to it, wound at the same posts, with about the same turns."""
    work = finish(Work(job))
    spare = spare_of_build(work.desk, work.build, "SPARE", "spare")
    landing, target = work.advice.plan.landing, work.advice.plan.target
    proved = target.length.value + landing.proof.error
    assert proved == pytest.approx(spare.plan.target.length.value, abs=3e-6)
    assert work.advice.state.posts.si == pytest.approx(spare.plan.winding.posts_outside.value)
    assert abs(spare.plan.twist.turns - work.advice.state.locked.turns) <= 1.0
    assert spare.plan.landing.blind.value == pytest.approx(proved, abs=target.tolerance)
