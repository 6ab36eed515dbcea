"""Memory of a shop: what finished builds teach the next plan, and how it is kept."""

from __future__ import annotations

import numpy as np
import pytest

from bench_work import PLANNER, Work
from sample_job import RIDGE, job_of
from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.shop.knowledge import POOLED
from strandwright.planning.shop.lesson import lesson_of
from strandwright.planning.shop.memory import ShopMemory, spreads
from strandwright.statistics.pooling import pool_of
from strandwright.store.memory import MemoryStore
from strandwright.store.open import open_store
from strandwright.units import INCH, Dimension, parse


def build(work: Work, bare: float = 0.0) -> None:
    """Build the line to its end, the bare skein reading so much long."""
    work.wound()
    work.read("bare", bare)
    work.did("step-done", step="loops")
    work.did("turned", turns=work.advice.act.step.turns)
    work.read("half")
    work.did("turned", turns=work.advice.plan.twist.turns)
    work.did("step-done", step="stretch-twisted")
    work.read("twisted")
    if work.advice.act.step.id == "twist-full":
        work.did("turned", turns=work.advice.plan.twist.turns)
    work.did("step-done", step="serve")
    plan = work.advice.plan
    work.read("proof", plan.target.length.value - plan.stage("proof").length.value)
    work.did("locked", turns=work.advice.state.turns, hand="Z")


@pytest.fixture
def built() -> Work:
    """A desk at which one line was built whose skein read 1/16 in long."""
    work = Work()
    build(work, INCH / 16.0)
    return work


def plan_of_next(work: Work):
    """Plan a line at that desk."""
    return work.desk.plan(work.desk.job("RIDGE-1").job)


def test_a_lesson_that_cannot_be_read_any_more_counts_for_no_build(built):
    """Of other unknowns than today's it teaches nothing, and no plan is said to rest on it."""
    store = built.desk.store
    found = store.document("lesson", built.build)
    other = found.table | {"version": 0}
    store.save("lesson", built.build, other, at=found.saved_at, expected=found.revision)
    assert ShopMemory(store, lambda: found.saved_at).knows(job_of(RIDGE)).shop is None


def test_a_finished_build_narrows_the_next_plan_and_is_named(built):
    """Surer before the first reading, and it says from how many builds."""
    before, after = built.advice.first, plan_of_next(built)
    assert after.landing.blind.u < 0.95 * before.landing.blind.u
    assert after.job.shop is not None
    assert after.job.shop.builds == 1
    assert [b.builds for b in after.job.shop.of] == [1, 1]
    assert any("1 finished build" in s for s in after.parameters.sources)


def test_a_skein_that_read_long_makes_the_next_one_expected_longer(built):
    """What the first build taught of bedding-in and posts goes into the second's first reading."""
    before, after = built.advice.first, plan_of_next(built)
    posts = [p.winding.posts_outside.value for p in (before, after)]
    expected = [p.stage("bare").length.value for p in (before, after)]
    # At the same posts it would read longer: either the posts come closer or it is told longer.
    assert (expected[1] - posts[1]) - (expected[0] - posts[0]) > 0.2 * INCH / 16.0


def test_a_build_that_has_begun_keeps_what_was_known_when_it_began(built):
    """The plan of a build is stored with its knowledge; later builds do not move it."""
    first = built.advice.first
    assert first.job.shop is None
    again = built.desk.advice(built.build).first
    assert again.id == first.id


def test_a_lock_that_is_withdrawn_is_unlearned(built):
    """As if it had not been built."""
    log = built.desk.store.events(built.build)
    lock = next(s.event for s in log if s.event.type == "locked")
    built.did("withdrawn", event=lock.id)
    assert plan_of_next(built).job.shop is None


def test_lessons_are_kept_and_read_again(built, tmp_path):
    """Another desk on the same records knows the same; also after a file and back."""
    known = plan_of_next(built).job.shop
    again = Desk(built.desk.store, planner=PLANNER)
    assert again.plan(again.job("RIDGE-1").job).job.shop == known
    store = open_store(str(tmp_path / "store.sqlite3"))
    store.take_in(list(built.desk.store.contents()))
    other = Desk(store, planner=PLANNER)
    assert other.plan(other.job("RIDGE-1").job).job.shop == known
    store.close()


def test_a_build_taught_twice_is_learned_once(built):
    """Kept again, as after a lost answer, it says no more."""
    known = plan_of_next(built).job.shop
    built.desk.memory.keep(built.build, built.advice)
    assert plan_of_next(built).job.shop == known


def test_a_lesson_with_the_tables_gives_back_what_the_build_learned(built):
    """Tables and lesson together are the unknowns as the build itself had them, about."""
    job = built.advice.plan.job
    lesson = lesson_of(job)
    assert lesson is not None
    own = spreads()
    variance = own.variance.sum(axis=0)
    information = np.diag(1.0 / variance) + lesson.slopes.T @ lesson.slopes
    covariance = np.linalg.inv(information)
    mean = covariance @ lesson.slopes.T @ lesson.value
    after = built.advice.plan.parameters
    tables = Work().advice.first.parameters
    for name in ("bedding", "packing", "drag", "gauge", "own_proof"):
        i, u = POOLED.index(name), tables.standard_uncertainty(name)
        k = after.index(name)
        assert mean[i] == pytest.approx((after.mean[k] - tables.mean[k]) / u, abs=0.06)
        learned = np.sqrt(after.covariance[k, k]) / u
        assert np.sqrt(covariance[i, i]) == pytest.approx(learned, rel=0.12)


def test_a_build_of_which_nothing_was_read_teaches_nothing():
    """No reading, no lesson."""
    assert lesson_of(job_of(RIDGE)) is None


def test_a_misread_length_teaches_less_than_it_would_by_its_size(built):
    """An inch too long at the half way reading, against the readings round it, moves little."""
    good = built.advice.plan.job
    readings = list(good.build.readings)
    half = next(i for i, r in enumerate(readings) if r.stage == "half")
    inch = parse(Dimension.LENGTH, f"{readings[half].length.si / INCH + 0.5:.4f} in", field="x")
    readings[half] = readings[half].model_copy(update={"length": inch})
    record = good.build.model_copy(update={"readings": tuple(readings)})
    one = spreads()
    moved = []
    for job in (good, good.model_copy(update={"build": record})):
        lesson = lesson_of(job)
        assert lesson is not None
        pool = pool_of(one, np.zeros(len(POOLED)), [lesson])
        mean, covariance = pool.prior_for(lesson.groups)
        moved.append(np.abs(mean / np.sqrt(np.diagonal(covariance))).max())
    assert moved[1] < 3.0


def test_another_fibre_on_another_bench_learns_little_and_the_same_lot_most(built):
    """Knowledge is pooled: nearest what was built, and nearly nothing far from it."""
    desk = built.desk
    job = desk.job("RIDGE-1").job

    def width(**changes):
        known = desk.memory.knows(job.model_copy(update=changes)).shop
        i = POOLED.index("bedding")
        return known.covariance[i][i]

    bench = job.bench.model_copy(update={"name": "another"})
    makeup = job.makeup.model_copy(update={"strand": "polyester"})
    same, elsewhere, other = width(), width(bench=bench), width(bench=bench, makeup=makeup)
    assert same <= elsewhere < other < 1.0


def test_how_a_build_came_out_is_kept_beside_what_it_taught(built):
    """Its proof's error, its turns against the first plan, its groups."""
    (outcome,) = built.desk.memory.outcomes()
    assert outcome.job == "RIDGE-1"
    assert outcome.bench == "long beam"
    assert outcome.length == pytest.approx(built.advice.plan.landing.proof.error)
    assert outcome.turns == built.advice.state.turns - built.advice.first.twist.turns
    assert outcome.turns > 0.5
    assert outcome.mass is None
    assert outcome.at == built.advice.state.ended_at


def test_memory_without_builds_leaves_a_job_as_it_is():
    """Nothing known, nothing said."""
    desk = Desk(MemoryStore(), planner=PLANNER)
    desk.add_job(tables_of(job_of(RIDGE)))
    memory = ShopMemory(desk.store, desk.now)
    job = job_of(RIDGE)
    assert memory.knows(job) is job
