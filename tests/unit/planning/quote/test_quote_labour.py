"""Labour: a shop without builds has the figures of practice; its own logs correct them."""

from __future__ import annotations

import math

import pytest

from bench_work import Work
from sample_job import EXAMPLE_NAMES, example_plan
from strandwright.errors import SpecError
from strandwright.planning.quote.labour import fitting_time, labour_of, timed_builds
from strandwright.planning.quote.operations import operations_of
from strandwright.planning.quote.pace import pace_of, spread_of
from strandwright.planning.quote.pauses import LEAST, weight_of
from strandwright.planning.sets.schedule import make_schedule
from strandwright.reference import practice
from timed_logs import acts_of, builds_of, true_times

CRAG = "crag-string"


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_a_shop_without_builds_has_the_figures_of_practice(name: str):
    """Hands are those of the schedule of a line alone, and so are the waits."""
    plan = example_plan(name)
    labour, schedule = labour_of([plan]), make_schedule([plan])
    assert schedule.hands.value == pytest.approx(labour.hands.value)
    waits = schedule.total.value - schedule.hands.value
    assert waits == pytest.approx(labour.stands + labour.rests)
    assert schedule.uncounted == labour.uncounted
    assert (0, 0) == (labour.builds, labour.paused)


def test_the_spread_of_practice_is_kept_act_by_act():
    """Mean and standard uncertainty of a first winding are those of the table."""
    row = practice("work.winding")
    (one,), whole = pace_of([], ["winding"]).minutes([("winding", 1.0)])
    assert one == whole
    assert row.value == pytest.approx(one.value)
    assert row.standard_uncertainty == pytest.approx(one.u)


def test_acts_add_up_to_the_whole():
    """By row and by line alike."""
    plans = [example_plan(CRAG), example_plan("crag-upper-cable")]
    labour = labour_of(plans)
    assert math.fsum(act.time.value for act in labour.acts) == pytest.approx(labour.hands.value)
    assert math.fsum(t.value for t in labour.by_job.values()) == pytest.approx(labour.hands.value)
    assert {"CRAG-1", "CRAG-2"} == set(labour.by_job)


def test_slow_hands_are_slow_at_everything():
    """The +- of the whole is more than that of acts that know nothing of each other."""
    acts = acts_of(example_plan(CRAG))
    each, whole = pace_of([], [row for row, _ in acts]).minutes(acts)
    assert whole.u > 1.5 * math.sqrt(math.fsum(one.u**2 for one in each))
    assert whole.u < math.fsum(one.u for one in each)


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_a_shop_s_own_times_are_found(seed: int):
    """After 20 builds the whole is known to 6 %, where practice was a third off at worst."""
    acts = acts_of(example_plan(CRAG))
    times = true_times(acts, seed)
    true = math.fsum(times[row] * amount for row, amount in acts)
    rows = [row for row, _ in acts]
    told = pace_of(builds_of(acts, times, 20), rows).minutes(acts)[1]
    before = pace_of([], rows).minutes(acts)[1]
    assert true == pytest.approx(told.value, rel=0.06)
    assert told.u < 0.6 * before.u


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_pauses_are_found_and_left_out(seed: int):
    """Lunch, customers and evenings in a fifth of the times move the whole by under 8 %."""
    acts = acts_of(example_plan(CRAG))
    times = true_times(acts, seed)
    rows = [row for row, _ in acts]
    clean = pace_of(builds_of(acts, times, 12), rows)
    paused = pace_of(builds_of(acts, times, 12, paused=0.2), rows)
    one, other = (pace.minutes(acts)[1].value for pace in (clean, paused))
    assert one == pytest.approx(other, rel=0.08)
    assert clean.paused <= 2
    assert 15 <= paused.paused <= 40


def test_one_lunch_in_a_first_build_does_not_count():
    """An hour on top of the winding, the only times there are."""
    acts = acts_of(example_plan(CRAG))
    times = {row: practice(f"work.{row}").value for row, _ in acts}
    (build,) = builds_of(acts, times, 1)
    wound = next(t for t in build.timings if t.acts[0][0] == "winding")
    longer = type(wound)(wound.acts, wound.seconds + 3600.0)
    with_lunch = type(build)("", tuple(longer if t is wound else t for t in build.timings))
    without, with_it = (
        pace_of([one]).minutes([("winding", 1.0)])[1].value for one in (build, with_lunch)
    )
    assert without == pytest.approx(with_it, rel=0.15)
    assert practice("work.winding").value * 1.6 > with_it


def test_a_shop_that_is_twice_as_slow_is_believed_in_time():
    """Times that are all long are no pauses."""
    acts = acts_of(example_plan(CRAG))
    times = {row: 2.0 * practice(f"work.{row}").value for row, _ in acts}
    told = pace_of(builds_of(acts, times, 12), []).minutes(acts)[1]
    true = math.fsum(times[row] * amount for row, amount in acts)
    assert true == pytest.approx(told.value, rel=0.1)


def test_builders_are_told_apart_and_a_new_one_is_the_shop_s():
    """The quick one, the slow one, and somebody new in between."""
    acts = acts_of(example_plan(CRAG))
    usual = {row: practice(f"work.{row}").value for row, _ in acts}
    quick = [
        type(b)("Ansgar", b.timings)
        for b in builds_of(acts, {row: 0.8 * t for row, t in usual.items()}, 8)
    ]
    slow = [
        type(b)("Berit", b.timings)
        for b in builds_of(acts, {row: 1.3 * t for row, t in usual.items()}, 8, seed=6)
    ]
    pace = pace_of([*quick, *slow])
    one, other, new = (pace.minutes(acts, who)[1] for who in ("Ansgar", "Berit", "Cecilie"))
    assert one.value < new.value < other.value
    assert other.value / one.value == pytest.approx(1.3 / 0.8, rel=0.1)
    assert new.u > one.u


def test_the_order_of_builds_says_nothing():
    """Shuffled they teach the same."""
    acts = acts_of(example_plan(CRAG))
    builds = builds_of(acts, true_times(acts, 1), 7, paused=0.2)
    one, other = (pace_of(order).minutes(acts)[1] for order in (builds, builds[::-1]))
    assert one.value == pytest.approx(other.value, rel=1e-9)
    assert one.u == pytest.approx(other.u, rel=1e-9)


def test_weights_of_times():
    """As expected it counts whole, with an hour on top hardly, after two days not at all."""
    mean, variance = math.log(900.0), spread_of("winding") ** 2
    logs = [math.log(t) for t in (900.0, 900.0 + 3600.0, 900.0 + 2 * 86400.0, 30.0)]
    usual, lunch, days, hasty = weight_of(logs, [mean] * 4, [variance] * 4)
    assert usual > 0.95
    assert lunch < 0.1
    assert days == LEAST
    assert 0.05 < hasty < 0.5


def test_the_builds_of_a_store_are_read():
    """One that is locked teaches, one under way does not."""
    work = Work("CRAG-1").wound()
    assert () == timed_builds(work.desk.store)
    while work.advice.state.locked is None:
        step = work.advice.act.step
        match step.key:
            case "read" | "proof":
                work.read(step.stage)
            case "twist":
                work.did("turned", turns=step.turns, after=12.0)
            case "tag":
                turns = work.advice.state.turns
                work.did("locked", turns=turns, hand=work.advice.plan.twist.hand)
            case _:
                work.did("step-done", step=step.id, after=20.0)
    (build,) = timed_builds(work.desk.store)
    assert "" == build.builder
    seen = {row for timing in build.timings for row, _ in timing.acts}
    assert {"winding", "loops", "turning", "serving_time"} <= seen
    labour = labour_of([work.advice.first], [build])
    assert 1 == labour.builds
    assert "1 build of this shop" in labour.source


def test_a_build_that_cannot_be_planned_any_more_is_passed_over(monkeypatch: pytest.MonkeyPatch):
    """The others teach as before."""
    work = Work("CRAG-1").wound()
    turns, hand = 27.0, work.advice.plan.twist.hand
    work.read("bare")
    work.read("proof")
    work.did("locked", turns=turns, hand=hand)
    assert 1 == len(timed_builds(work.desk.store))

    def refused(*_: object) -> None:
        raise SpecError("line", "x", "cannot be planned here", "leave it")

    monkeypatch.setattr("strandwright.planning.planner.plan_line", refused)
    assert () == timed_builds(work.desk.store)


def test_operations_leave_nothing_out():
    """Each task of the set's schedule is an act, a fixed dwell or a wait."""
    work = operations_of(example_plan("crag-upper-cable"))
    assert "set_posts" == work.acts[0].row
    assert {"halve", "tie", "leg_turns", "match_legs"} <= {act.row for act in work.acts}
    assert 240.0 == math.fsum(work.fixed.values())


def test_fitting_takes_what_practice_says_of_the_bow():
    """A bow with wheels goes into a press; a recurve is braced."""
    assert (7200.0, 1800.0) == (fitting_time("two-cam").value, fitting_time("recurve").value)
