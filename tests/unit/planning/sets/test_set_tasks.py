"""The steps of every making as time: none is forgotten, and each costs what its row says."""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path

import pytest

import strandwright.planning.steps
from line_sets import ridge_plans
from sample_job import example_plan
from strandwright.planning.examples import example_texts
from strandwright.planning.sets.schedule import make_schedule
from strandwright.planning.sets.tasks import COUNTED, is_begun, tasks_of, uncounted
from strandwright.reference import practice

STEPS = Path(strandwright.planning.steps.__file__).parent


def keys_of(source):
    """Give the kinds of steps that a module lays out."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "make_step":
            key = node.args[0]
            assert isinstance(key, ast.Constant), "the key of a step is to be written out"
            yield key.value


def test_every_kind_of_step_is_counted():
    """Whatever a plan may lay out: a new kind needs a row of practice."""
    laid_out = {key for file in STEPS.glob("*.py") for key in keys_of(file.read_text("utf-8"))}
    assert {"posts", "wind", "halve", "swing", "lay", "reinforce", "proof"} <= laid_out
    assert set() == laid_out - COUNTED


@pytest.mark.parametrize("name", sorted(example_texts()))
def test_every_step_of_every_example_is_counted(name):
    """Up to its proof each is a task, or is counted with another."""
    plan = example_plan(name)
    assert () == uncounted(plan)
    tasks = tasks_of(plan)
    assert "read-proof" == tasks[-1].step
    beside = {"posts"} if plan.laid is not None else {"posts", "even", "shift"}
    proof = next(i for i, step in enumerate(plan.steps) if step.key == "proof")
    # Small acts are counted with the loops that they make, the other halves with the first.
    beside |= {"shift", "serve-loops", "pull", "mark", "posts-out", "hang", "turn-strap"}
    beside |= {"cut-pieces"}
    again = {"swing-back", "loop-zero-2", "loop-far-2"}
    steps = [s for s in plan.steps[: proof + 1] if s.id not in again]
    wanted = [s.id for s in steps if s.key not in beside | {"wind"}]
    assert wanted == list(dict.fromkeys(t.step for t in tasks if not t.step.startswith("wind")))


def minutes_by_row(plan):
    """Give how often each row of practice is taken, by the time it comes to."""
    spent: dict[str, float] = {}
    for task in tasks_of(plan):
        if task.row:
            time = task.length / practice(f"work.{task.row}").value
            spent[task.row] = spent.get(task.row, 0.0) + time
    return spent


def test_a_split_end_takes_three_loops_and_its_legs():
    """Halved, one more loop than two, the legs turned, the fork tied, both legs matched."""
    spent = minutes_by_row(example_plan("crag-upper-cable"))
    assert 1.5 == spent["loops"]
    assert {1.0} == {spent[row] for row in ("halve", "leg_turns", "tie", "match_legs")}


def test_loops_on_four_posts_take_their_own_acts():
    """Arms out and back, each loop served and each pair of legs, in place of closing loops."""
    spent = minutes_by_row(example_plan("gill-string"))
    assert {"swing": 1.0, "loop": 2.0, "level": 1.0, "legs": 2.0} == {
        row: spent[row] for row in ("swing", "loop", "level", "legs")
    }
    assert "loops" not in spent


def test_a_string_laid_in_is_cut_and_not_wound():
    """Each bundle is cut, each loop laid and married, and the whole pulled straight."""
    spent = minutes_by_row(example_plan("heath-string"))
    assert {"cut_bundle": 2.0, "wax": 1.0, "lay": 2.0, "marry": 2.0, "untwist": 1.0} == {
        row: spent[row] for row in ("cut_bundle", "wax", "lay", "marry", "untwist")
    }
    assert "winding" not in spent
    assert 2.0 == spent["pull_up"]


def test_a_skein_stays_on_the_arms_until_both_legs_are_served():
    """The last pair of legs frees the posts, as the loops do of a plain skein."""
    closing = [t.step for t in tasks_of(example_plan("gill-string")) if t.closes]
    assert ["legs-far"] == closing
    assert ["loops"] == [t.step for t in tasks_of(ridge_plans()[0]) if t.closes]


def test_what_is_done_at_the_bow_is_not_in_the_time():
    """A serving laid on the bow follows the proof, and is work of another day."""
    plan = example_plan("beck-string")
    assert "serve-on-bow" in [step.id for step in plan.steps]
    assert "serve-on-bow" not in [t.step for t in tasks_of(plan)]


def test_a_step_that_no_row_knows_is_told_as_not_counted(monkeypatch):
    """It is left out of the time, and the schedule says so."""
    plan = ridge_plans()[1]
    odd = replace(plan.steps[3], key="polish", title="Polish it")
    steps = (*plan.steps[:5], odd, *plan.steps[5:])
    monkeypatch.setattr(strandwright.planning.steps, "lay_out_steps", lambda _: steps)
    changed = replace(plan)
    assert ("Polish it",) == uncounted(changed) == make_schedule((changed,)).uncounted
    assert make_schedule((changed,)).total == make_schedule((plan,)).total


def test_steps_that_are_behind_take_no_more_time():
    """A line on the jig needs what is left of it; a stretch that is behind still wants its rest."""
    plan = ridge_plans()[1]
    ids = [step.id for step in plan.steps]
    wound = ids[: ids.index("stretch-bare") + 1]
    left = tasks_of(plan, wound)
    assert [t.step for t in tasks_of(plan)][-len(left) :] == [t.step for t in left]
    assert ("rest", "read-bare") == (left[0].kind, left[0].step)
    assert () == tasks_of(plan, ids)
    assert is_begun(plan, wound)
    assert not is_begun(plan, ["posts"])


def test_a_skein_on_the_jig_goes_before_the_others_of_its_bench():
    """Its posts are its own until its loops are closed, and are not set again for it."""
    first, second = ridge_plans()[1:]
    ids = [step.id for step in second.steps]
    done = {second.job.id: ids[: ids.index("shift") + 1]}
    schedule = make_schedule((second, first), done)
    assert second.job.id == schedule.spans[0].job
    closed = next(s.stop for s in schedule.spans if (s.job, s.step) == (second.job.id, "loops"))
    assert all(s.start >= closed for s in schedule.spans if s.job == first.job.id)
    assert "posts" not in [s.step for s in schedule.spans if s.job == second.job.id][:3]
    assert schedule.total.value < make_schedule((first, second)).total.value


def test_the_time_of_hands_agrees_with_what_the_trade_says_of_it():
    """A compound string 1 1/2 to 2 1/2 h beside its stretches, a full set 3 to 5 h; no source."""
    alone = make_schedule(ridge_plans()[:1]).hands
    assert 1.5 * 3600.0 < alone.value < 2.5 * 3600.0
    whole = make_schedule(ridge_plans()).hands
    assert 3.0 * 3600.0 < whole.value
    assert whole.value - whole.u < 5.0 * 3600.0
