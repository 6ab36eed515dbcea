"""The set in time: what overlaps, what may not, and how long it takes."""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import pytest

from line_sets import changed_plan, ridge_plans
from strandwright.planning.sets.schedule import CAUTION, make_schedule
from strandwright.planning.sets.tasks import tasks_of
from strandwright.reference import practice


def overlap(one, other):
    """Whether two spans share any time."""
    return min(one.stop, other.stop) - max(one.start, other.start) > 1e-9


@pytest.fixture(scope="module")
def ridge():
    """Give the lines of the ridge bow in time."""
    return make_schedule(ridge_plans())


def test_one_pair_of_hands_does_one_thing(ridge):
    """No two pieces of work overlap."""
    work = [s for s in ridge.spans if s.kind == "work"]
    assert not any(overlap(a, b) for a, b in combinations(work, 2))


def test_one_bench_holds_one_line(ridge):
    """Work and stretches on one bench never overlap."""
    held = [s for s in ridge.spans if s.kind != "rest"]
    assert not any(overlap(a, b) for a, b in combinations(held, 2) if a.bench == b.bench)


def test_each_line_goes_through_its_steps_in_order(ridge):
    """And all of them are done."""
    for plan in ridge_plans():
        mine = [s for s in ridge.spans if s.job == plan.job.id and s.step != "posts"]
        wanted = [(t.step, t.kind) for t in tasks_of(plan)]
        assert wanted == [(s.step, s.kind) for s in mine]
        assert all(a.stop <= b.start + 1e-9 for a, b in pairwise(mine))


def test_a_skein_stays_on_its_posts_until_its_loops_are_closed(ridge):
    """Nobody else is on that bench from its winding to its loops."""
    for plan in ridge_plans():
        mine = [s for s in ridge.spans if s.job == plan.job.id]
        begun = next(s.start for s in mine if s.step == "wind")
        closed = next(s.stop for s in mine if s.step == "loops")
        others = [s for s in ridge.spans if s.job != plan.job.id and s.kind != "rest"]
        assert all(s.stop <= begun + 1e-9 or s.start >= closed - 1e-9 for s in others)


def test_lines_together_take_no_longer_than_one_by_one(ridge):
    """And no shorter than hands are at work."""
    assert ridge.hands.value <= ridge.total.value < ridge.one_by_one
    assert ridge.said
    assert all("while RIDGE-" in said for said in ridge.said)


def test_the_doubt_of_the_time_is_that_of_the_work_alone(ridge):
    """Each kind of work is as uncertain as its row; whoever is slow at it is so in every line."""
    spent: dict[str, float] = {}
    for plan in ridge_plans():
        for task in tasks_of(plan):
            spent[task.row] = spent.get(task.row, 0.0) + task.length
    spent["set_posts"] = sum(s.stop - s.start for s in ridge.spans if s.step == "posts")
    del spent[""]
    assert ridge.hands.value == pytest.approx(math.fsum(spent.values()))
    rows = [time * practice(f"work.{row}").relative_uncertainty for row, time in spent.items()]
    assert ridge.hands.u == pytest.approx(math.hypot(*rows), rel=0.1)
    assert 0.0 < ridge.total.u < ridge.total.value


def test_two_benches_take_less_time_than_one(ridge):
    """While one line stands on the one, the other is worked on at the other."""
    other = changed_plan("ridge-lower-cable", bench__name="second beam")
    both = make_schedule((*ridge_plans()[:2], other))
    assert both.total.value < ridge.total.value


def test_work_beside_a_stretched_line_comes_with_a_caution(ridge):
    """Where hands are at one line while another stands under its stretch, and only there."""
    other = changed_plan("ridge-lower-cable", bench__name="second beam")
    both = make_schedule((*ridge_plans()[:2], other))
    assert any("stands under its stretch" in said for said in both.said)
    assert CAUTION == both.caution
    assert not any("stands under its stretch" in said for said in ridge.said)
    assert "" == ridge.caution


def test_one_line_alone_takes_its_own_steps():
    """Setting the posts and every task, one after the other."""
    plan = ridge_plans()[0]
    alone = make_schedule((plan,))
    whole = sum(t.length for t in tasks_of(plan)) + 240.0
    assert whole == pytest.approx(alone.total.value) == pytest.approx(alone.one_by_one)
    assert () == alone.said


def test_a_rest_stands_before_a_reading_that_follows_a_pull():
    """After the stretch, after the twisted stretch and before the proof."""
    rests = [t for t in tasks_of(ridge_plans()[0]) if t.kind == "rest"]
    assert ["read-bare", "read-twisted", "read-proof"] == [t.step for t in rests]
    assert {ridge_plans()[0].rest} == {t.length for t in rests}
