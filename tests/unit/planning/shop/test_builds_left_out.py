"""Builds left out of what a shop knows: kept with a reason, undone, seen by every desk."""

from __future__ import annotations

import pytest
from test_shop_memory import build, plan_of_next

from bench_work import PLANNER, Work
from strandwright.errors import NotFound, SpecError
from strandwright.planning.desk.builds import Desk
from strandwright.store.open import open_store
from strandwright.units import INCH


@pytest.fixture
def two() -> tuple[Work, list[str]]:
    """A desk with two finished builds, the second read 1/16 in long; their identities."""
    work, builds = Work(), []
    for off in (0.0, INCH / 16.0):
        build(work, off)
        builds.append(work.build)
        work.build = work.id()
        at = work.now.isoformat(timespec="milliseconds")
        work.advice = work.desk.start("RIDGE-1", work.build, work.id(), at=at)
    return work, builds


def test_a_build_left_out_teaches_nothing_and_stays_in_the_charts(two):
    """The next plan is as with the other build alone; how it came out is still told."""
    work, (good, bad) = two
    memory = work.desk.memory
    memory.leave_out(bad, " one strand\n too many ")
    known = plan_of_next(work).job.shop
    assert known.builds == 1
    assert list(memory.lessons) == [good]
    assert memory.left_out[bad].because == "one strand too many"
    assert memory.left_out[bad].lesson is not None
    assert [o.build for o in memory.outcomes()] == [good, bad]
    alone = Work()
    build(alone)
    assert plan_of_next(alone).job.shop == known


def test_it_is_taken_in_again_as_it_was(two):
    """To the last bit, and every step is a revision of its lesson."""
    work, (_, bad) = two
    before = plan_of_next(work).job.shop
    work.desk.memory.leave_out(bad, "wrong thread")
    work.desk.memory.take_in(bad)
    assert plan_of_next(work).job.shop == before
    assert work.desk.memory.left_out == {}
    said = [d.table.get("left_out") for d in work.desk.store.revisions("lesson", bad)]
    assert [s and s["because"] for s in said] == [None, "wrong thread", None]


def test_a_shop_whose_only_build_is_left_out_knows_nothing():
    """As before its first build."""
    work = Work()
    build(work)
    work.desk.memory.leave_out(work.build, "a trial")
    assert plan_of_next(work).job.shop is None


def test_another_desk_on_the_same_records_sees_it_at_once(two, tmp_path):
    """Two programs on one store: what one leaves out, the other's next plan does without."""
    work, (_, bad) = two
    place = str(tmp_path / "shop.sqlite3")
    store, other = open_store(place), open_store(place)
    store.take_in(list(work.desk.store.contents()))
    here, there = (Desk(s, planner=PLANNER) for s in (store, other))
    job = here.job("RIDGE-1").job
    assert there.plan(job).job.shop == here.plan(job).job.shop
    here.memory.leave_out(bad, "one strand too many")
    assert there.plan(job).job.shop == here.plan(job).job.shop
    assert there.memory.left_out[bad].because == "one strand too many"
    store.close()
    other.close()


def test_left_out_twice_it_is_left_out_once(two):
    """Said again with the same words nothing is written; other words are a new reason."""
    work, (_, bad) = two
    memory, store = work.desk.memory, work.desk.store
    for words in ("odd", "odd", "wrong thread"):
        memory.leave_out(bad, words)
    assert len(store.revisions("lesson", bad)) == 3
    assert memory.left_out[bad].because == "wrong thread"


@pytest.mark.parametrize("words", ["", "  \n", "x" * 201])
def test_a_reason_is_asked_for(two, words):
    """Nothing said, or a whole story: refused by field and rule."""
    work, (_, bad) = two
    with pytest.raises(SpecError, match="why the build is left out"):
        work.desk.memory.leave_out(bad, words)
    assert work.desk.memory.left_out == {}


def test_a_build_that_is_not_finished_cannot_be_left_out(two):
    """Nor taken in: there is nothing of it."""
    work, _ = two
    for act in (lambda: work.desk.memory.leave_out(work.build, "odd"),
                lambda: work.desk.memory.take_in("0" * 32)):  # fmt: skip
        with pytest.raises(NotFound):
            act()


def test_a_lock_withdrawn_and_made_again_teaches_anew(two):
    """Its lesson is another one: the old reason does not hold for it."""
    work, (good, _) = two
    memory = work.desk.memory
    memory.leave_out(good, "odd")
    memory.forget(good)
    assert memory.left_out == {}
    memory.keep(good, work.desk.advice(good))
    assert good in memory.lessons
