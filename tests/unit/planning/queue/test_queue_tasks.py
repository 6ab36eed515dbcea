"""Tasks of the queue: a plan's steps as handwork with the waits behind it."""

from __future__ import annotations

import math

import pytest

from strandwright.planning.examples import examples
from strandwright.planning.planner import Planner
from strandwright.planning.queue.tasks import SETTING, queue_tasks
from strandwright.planning.sets.tasks import tasks_of, time_of

PLANNER = Planner()
JOBS = ("RIDGE-1", "CRAG-3", "GILL-1", "HEATH-1")


@pytest.fixture(scope="module", params=JOBS)
def plan(request):
    """An example, planned."""
    return PLANNER.plan(examples()[request.param])


def test_nothing_is_lost_and_nothing_counted_twice(plan):
    """Hands, stretches and rests add up to the operations of the plan, and the posts once."""
    operations = tasks_of(plan)
    tasks = queue_tasks(plan, ("posts",))
    posts = 0.0 if plan.laid is not None else time_of(SETTING)
    for kind, total in (
        ("work", sum(t.hands for t in tasks)),
        ("stretch", sum(t.stands for t in tasks)),
        ("rest", sum(t.rests for t in tasks)),
    ):
        seconds = math.fsum(o.length for o in operations if o.kind == kind)
        seconds += posts if kind == "work" else 0.0
        assert seconds / 60.0 - 1e-6 <= total <= seconds / 60.0 + len(operations)
    assert len({task.step for task in tasks}) == len(tasks)


def test_a_skein_stays_until_its_last_loop_is_closed(plan):
    """Every task before the one that closes stays on its bench; none after."""
    tasks = queue_tasks(plan, ("posts",))
    closing = next((o.step for o in tasks_of(plan) if o.closes), None)
    stays = [task.stays for task in tasks]
    if closing is None:
        assert not any(stays)
    else:
        place = next(n for n, task in enumerate(tasks) if task.holds(closing))
        assert stays == [True] * place + [False] * (len(tasks) - place)


def test_a_load_is_never_pulled_up_in_two_halves(plan):
    """What stands under load follows handwork that is not broken off."""
    assert all(not task.splits for task in queue_tasks(plan, ("posts",)) if task.stands)


def test_steps_that_are_behind_take_no_more_time(plan):
    """With the first half done the rest is what is left."""
    behind = [step.id for step in plan.steps[: len(plan.steps) // 2]]
    left = queue_tasks(plan, ("posts",), behind)
    assert sum(t.hands for t in left) < sum(t.hands for t in queue_tasks(plan, ("posts",)))
    assert not any(act.step in behind for task in left for act in task.acts)


def test_a_slower_shop_takes_longer_at_what_it_is_slow_at(plan):
    """Twice the time for servings, and nothing else."""
    usual, slow = (queue_tasks(plan, ("posts",), (), pace) for pace in ({}, {"serving_time": 2.0}))
    serving = sum(a.minutes for t in usual for a in t.acts if a.title == "mark and serve")
    assert sum(t.hands for t in slow) - sum(t.hands for t in usual) == serving
