"""A matched spare: what it takes from the record, what it says, and when it is refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from bench_work import Work
from finished_line import FITTED, Life, finish
from sample_job import INCH
from strandwright.errors import Conflict, InputError, NotFound
from strandwright.planning.line_of_job import serving_edges
from strandwright.planning.plan_line import MODEL_VERSION
from strandwright.planning.sets.pairs import proved_length
from strandwright.planning.sets.spare import (
    inches,
    keep_spare,
    spare_of_build,
    taken_from,
    turned,
)
from strandwright.planning.sets.spare_differences import differences_of
from strandwright.planning.settling.keeping import write
from strandwright.workshop.happenings.bench import Locked


@pytest.fixture
def made() -> Work:
    """Give a finished ridge string."""
    work = finish(Work())
    work.now = FITTED + timedelta(days=30)
    return work


def lives(work: Work, *entries: tuple) -> None:
    """Write what happened to the line on its bow."""
    life = Life()
    for type, day, shots, body in (("on-bow", 0, 0, {}), *entries):
        write(work.desk, work.build, life(type, day, shots, **body))


def of(work: Work, **about):
    """Make the spare of a build."""
    return spare_of_build(work.desk, work.build, "RIDGE-1.2", "spare", **about)


def kinds(spare) -> list[str]:
    """Give what the differences are about."""
    return [difference.of for difference in spare.differences]


def test_without_turns_on_the_bow_it_asks_the_length_that_was_proved(made):
    """Wound at the same posts, with the same turns and hand, at the same bench."""
    spare = of(made)
    proved = proved_length(made.advice.plan)
    assert proved.value == pytest.approx(spare.job.line.finished.si, abs=3e-6)
    assert proved.value == spare.taken.proved
    state = made.advice.state
    assert state.posts.si == pytest.approx(spare.job.route.wound_at.si)
    assert (state.locked.turns, state.locked.hand) == (
        spare.job.makeup.turns, spare.job.makeup.hand
    )  # fmt: skip
    assert made.advice.first.job.bench == spare.job.bench
    assert () == spare.job.build.readings
    assert spare.plan.twist.turns == pytest.approx(state.locked.turns, abs=1.0)


def test_turns_put_in_on_the_bow_are_in_it(made):
    """One and a half turns more are in its turns and off its length, and are told."""
    before = of(made)
    lives(made, ("turns-changed", 2, 50, {"turns": 1.5}))
    after = of(made)
    assert before.job.makeup.turns is not None
    assert before.job.makeup.turns + 1.5 == after.job.makeup.turns
    shorter = before.job.line.finished.si - after.job.line.finished.si
    effect = abs(made.advice.plan.twist.next_turn.value)
    assert 1.5 * effect == pytest.approx(shorter, abs=5e-6)
    assert "turns on the bow" in kinds(after)
    assert "turns on the bow" not in kinds(before)


def test_turns_that_were_taken_back_do_not_count(made):
    """Put in and taken out again it is as before; an entry that was a slip is none."""
    lives(made, ("turns-changed", 2, 50, {"turns": 1}), ("turns-changed", 3, 60, {"turns": -1}))
    assert 0.0 == of(made).taken.turns_on_bow


def test_every_serving_lies_where_it_was(made):
    """Near an end it keeps its distance from that end."""
    old, spare = made.advice.plan, of(made)
    length = spare.job.line.finished.si
    for before, after in zip(
        serving_edges(old.job, old.target.length.value), serving_edges(spare.job, length),
        strict=True,
    ):  # fmt: skip
        for a, b in zip(before, after, strict=True):
            off = min(abs(a - b), abs((old.target.length.value - a) - (length - b)))
            assert off < 5e-6


def test_turns_between_the_last_proof_and_the_lock_are_counted():
    """A turn put in after the proof was read, and not read again, is in length and turns."""
    work = finish(Work())
    usual = of(work)
    advice = replace(
        work.advice, state=replace(work.advice.state, locked=Locked(turns=29.5, hand="Z"))
    )
    more = taken_from(advice, ())
    turns = 29.5 - usual.taken.turns
    effect = turned(work.advice.plan, turns)
    assert turns > 0.0 > effect
    assert usual.taken.length + effect == pytest.approx(more.length)
    assert 29.5 == more.turns


def test_without_a_proof_the_numbers_say_the_length():
    """And the spare says that it is so."""
    work = finish(Work())
    usual, plan = of(work), work.advice.plan
    unproved = replace(work.advice, plan=replace(plan, landing=replace(plan.landing, proved=False)))
    taken = taken_from(unproved, ())
    assert taken.proved is None
    assert usual.taken.length == pytest.approx(taken.length, abs=plan.target.tolerance)
    told = differences_of(work.desk, unproved, taken, usual.plan, MODEL_VERSION)
    assert "length" in [d.of for d in told]


def test_another_lot_and_another_bench_are_told(made):
    """And on another bench the posts are planned anew."""
    bench = made.advice.first.job.bench.model_copy(update={"name": "short beam"})
    table = bench.model_dump(mode="json", exclude_defaults=True)
    made.desk.keep_bench("short-beam", table, 0)
    spare = of(made, lot="9", bench="short-beam")
    assert {"lot", "bench", "posts"} <= set(kinds(spare))
    assert spare.job.route.wound_at is None
    assert ("9", "short beam") == (spare.job.makeup.lot, spare.job.bench.name)


def test_a_bench_that_was_changed_since_is_told(made):
    """By what has changed, with the bench to choose."""
    bench = made.advice.first.job.bench.model_copy(update={"layers": 3.0})
    made.desk.keep_bench("long-beam", bench.model_dump(mode="json", exclude_defaults=True), 0)
    told = next(d for d in of(made).differences if d.of == "bench")
    assert "layers" in told.said
    assert "long-beam" in told.remedy


def test_what_the_shop_has_learned_since_is_told(made):
    """The first one's own build taught it, and an older model is named."""
    spare = of(made)
    assert "shop" in kinds(spare)
    older = differences_of(made.desk, made.advice, spare.taken, spare.plan, MODEL_VERSION - 1)
    assert "model" in [d.of for d in older]
    assert "model" not in kinds(spare)


def test_a_spare_is_kept_as_a_job_like_any_other(made):
    """And not twice under one id."""
    kept = keep_spare(made.desk, of(made))
    assert kept.job == made.desk.job("RIDGE-1.2").job
    changed = of(made, lot="9")
    with pytest.raises(Conflict, match="is kept here already"):
        keep_spare(made.desk, changed)


def test_a_build_that_was_never_locked_is_refused():
    """With what to do instead."""
    work = Work()
    with pytest.raises(Conflict, match="was never locked") as caught:
        of(work)
    assert "lock its turns" in caught.value.remedy
    work.did("put-aside", why="a strand broke")
    with pytest.raises(Conflict, match="was put aside"):
        of(work)


def test_what_is_not_there_and_what_cannot_be_used_is_refused(made):
    """A build, a bench, an id."""
    with pytest.raises(NotFound):
        spare_of_build(made.desk, "0" * 32, "A", "a")
    with pytest.raises(NotFound):
        of(made, bench="none")
    with pytest.raises(InputError) as caught:
        spare_of_build(made.desk, made.build, "a b", "a")
    assert "id" == caught.value.field


@pytest.mark.parametrize(
    ("metres", "text"),
    [(57.25 * INCH, "57.25 in"), (17.0 * INCH, "17 in"), (0.0, "0 in"), (-1e-9, "0 in"),
     (1.45393360, "57.2415 in")],
)  # fmt: skip
def test_lengths_are_written_without_noughts_at_their_end(metres, text):
    """As finely as a reading needs."""
    assert text == inches(metres)
