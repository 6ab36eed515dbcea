"""Learning inside a build: what a reading says, it says once, and in the right direction."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sample_job import INCH, RIDGE, chosen_of, exact, example_plan, job_of, plan_of
from strandwright.errors import SpecError
from strandwright.planning.readings.tape import reading_uncertainty

POSTS = "57 9/16 in"
WOUND = {"build.wound_at": POSTS}


def reading(stage, metres, half="1/64 in", **more):
    """Give one reading as a job file holds it."""
    return {"stage": stage, "length": f"{exact(metres)} +- {half}"} | more


def plan_after(*readings, name=RIDGE, **more):
    """Plan the wound string after these readings."""
    return plan_of(name, WOUND | more | {"build.readings": list(readings)})


def expected(*stages):
    """What the most likely case reads in these stages, each after the ones before."""
    found = []
    for stage in stages:
        probe = plan_after(*found, reading(stage, example_plan().stage(stage).length.value))
        found.append(reading(stage, probe.learned[-1].expected.value))
    return found


def test_readings_as_expected_change_no_turns():
    """Everything reads as it should: the turns stay, nothing moved, nothing is surprising."""
    plan = plan_after(*expected("bare", "half", "twisted"))
    assert plan.twist.turns == plan_after().twist.turns
    assert [x.stage for x in plan.learned] == ["bare", "half", "twisted"]
    assert not any(x.surprising or x.sentences for x in plan.learned)


def test_readings_make_the_plan_surer():
    """Each reading shrinks the finished length's +-, by about what the plan said it buys."""
    before = plan_after()
    read = expected("bare", "half", "twisted")
    plans = [before, *(plan_after(*read[: n + 1]) for n in range(3))]
    u = np.array([p.landing.blind.u for p in plans])
    assert (np.diff(u) < 0.0).all()
    # What it buys is told by slopes; how unknowns act through each other falls away besides.
    assert u[0] - u[1] == pytest.approx(before.stage("bare").buys, rel=0.25)
    assert plans[-1].landing.chance_blind > before.landing.chance_blind
    turns = [p.twist.turns_high - p.twist.turns_low for p in plans]
    assert (np.diff(turns) < 0.0).all()


def test_a_long_bare_reading_needs_more_turns_and_says_why():
    """A skein that reads 1/16 in long gets more turns, and the plan names what moved."""
    before = plan_after()
    bare = before.stage("bare").length.value
    long, short = (plan_after(reading("bare", bare + s * INCH / 16.0)) for s in (1.0, -1.0))
    assert short.twist.turns < before.twist.turns < long.twist.turns
    for plan in (long, short):
        assert plan.learned[0].sentences
        assert all(" is " in s and ", not " in s for s in plan.learned[0].sentences)


def test_what_a_reading_takes_up_is_not_lost():
    """After a long reading, the expected bare length is the reading, nearly: it is finer by far."""
    bare = plan_after().stage("bare").length
    read = bare.value + bare.u
    after = plan_after(reading("bare", read)).stage("bare").length
    assert abs(after.value - read) < 0.1 * bare.u
    # Read again it is as sure as two readings by themselves; the curvature adds a little.
    noise = reading_uncertainty(plan_after().job)
    assert after.u == pytest.approx(math.sqrt(2.0) * noise, rel=0.2)


@pytest.mark.parametrize(
    ("away", "surprising"), [(0.5, False), (2.0, False), (-2.0, False), (-4.5, True), (12.0, True)]
)
def test_a_surprising_reading_is_flagged(away, surprising):
    """A reading far off is questioned; short sooner than long, where bedding-in has its tail."""
    probe = plan_after(reading("bare", plan_after().stage("bare").length.value)).learned[0]
    read = probe.expected.value + away * probe.expected.u
    learned = plan_after(reading("bare", read)).learned[0]
    assert learned.surprising is surprising
    assert learned.expected.value == pytest.approx(probe.expected.value, abs=1e-12)
    assert learned.read == pytest.approx(read, abs=1e-9)


def test_the_order_of_readings_does_not_matter():
    """Independent readings lead to the same plan whichever was written down first."""
    plan = plan_after()
    bare, half = (plan.stage(k).length for k in ("bare", "half"))
    one = reading("bare", bare.value + 0.5 * bare.u)
    two = reading("half", half.value + 0.4 * half.u)
    forth, back = plan_after(one, two), plan_after(two, one)
    # A curved model, linearised at two places in another order: within a few per cent of the u.
    apart = forth.landing.blind.value - back.landing.blind.value
    assert abs(apart) < 0.1 * forth.landing.blind.u
    assert forth.landing.blind.u == pytest.approx(back.landing.blind.u, rel=0.03)
    assert abs(forth.twist.turns - back.twist.turns) <= 0.5


def test_a_coarse_reading_moves_less():
    """The wider a reading's own +-, the less it moves the plan."""
    plan = plan_after()
    bare = plan.stage("bare").length.value + INCH / 16.0
    fine, coarse = (plan_after(reading("bare", bare, h)) for h in ("1/64 in", "1/8 in"))
    free = plan.landing.blind.value
    assert 0.0 < coarse.landing.blind.value - free or coarse.twist.turns >= plan.twist.turns
    assert fine.twist.turns > coarse.twist.turns
    assert fine.landing.blind.u < coarse.landing.blind.u < plan.landing.blind.u


def test_a_reading_twice_is_worth_more_than_once():
    """Two readings of one stage make it surer than one, not less sure."""
    once = expected("bare")
    one, two = plan_after(*once), plan_after(*once, *once)
    assert two.landing.blind.u < one.landing.blind.u


def test_a_reading_at_another_load_is_taken_at_that_load():
    """A skein read at 150 lbf is expected to be longer than at 100 lbf."""
    plan = plan_after()
    usual = plan_after(reading("bare", plan.stage("bare").length.value)).learned[0]
    harder = plan_after(
        reading("bare", plan.stage("bare").length.value, load="150 lbf")
    ).learned[0]
    assert harder.expected.value > usual.expected.value + INCH / 64.0


def test_a_reading_at_other_turns_is_taken_at_those_turns():
    """A line read at fewer turns than half is expected to be longer."""
    half = plan_after().stage("half").length.value
    fewer, more = (
        plan_after(reading("half", half, turns=t)).learned[0].expected.value for t in (6.0, 20.0)
    )
    assert fewer > more + INCH / 32.0


def test_a_reading_part_way_is_taken_at_the_turns_that_were_told():
    """Without turns it is the reading that the plan asks for, as far on as that; stated, the same.

    Taken at half of them, what was told would read as a line that turns take up too little of.
    """
    told = plan_after().stage("half")
    silent, stated = (
        plan_after(reading("half", told.length.value) | about)
        for about in ({}, {"turns": told.turns})
    )
    assert told.turns > 0.6 * plan_after().twist.turns
    assert silent.learned[0].turns == told.turns
    assert silent.learned[0].expected.value == pytest.approx(told.length.value, abs=1e-4)
    assert silent.twist.turns == stated.twist.turns


def test_a_reading_needs_the_posts():
    """A reading of a line nobody says how it was wound cannot be used."""
    with pytest.raises(SpecError) as caught:
        plan_of(RIDGE, {"build.readings": [reading("bare", 1.46)]})
    assert caught.value.field == "build.wound_at"


def test_a_stage_the_route_lacks_is_refused():
    """The order that never reads it twisted bare refuses such a reading, and says what it has."""
    with pytest.raises(SpecError, match="choose bare, half, proof") as caught:
        plan_after(reading("twisted", 1.455), **{"route.order": "serve, then twist"})
    assert caught.value.field == "build.readings[1].stage"


def test_readings_of_a_line_without_turns():
    """A reading that names its turns can be used on a line planned with none."""
    free: dict[str, object] = {"makeup.twist": None, "makeup.turns": 0.0}
    posts = chosen_of(job_of(RIDGE, free)).exact_posts
    free |= {"build.wound_at": exact(posts + 1e-8)}
    bare = plan_of(RIDGE, free)
    assert bare.twist.turns == 0.0
    plan = plan_of(RIDGE, free | {
        "build.turns": 0.0,
        "build.readings": [reading("half", bare.stage("half").length.value, turns=0.0)],
    })  # fmt: skip
    assert len(plan.learned) == 1


def test_a_millimetre_job_is_told_in_its_own_units():
    """What moved is said in newtons and millimetres where the job is in millimetres."""
    metric = {
        "paper.units": "mm",
        "build.wound_at": "57 7/8 in",
        "bench.drag": "22 N +- 20",
        "bench.post_stiffness": "60 N/mm",
    }
    bare = plan_after(**metric).stage("bare").length
    learned = plan_after(reading("bare", bare.value - 2.0 * bare.u), **metric).learned[0]
    assert any("drag" in s for s in learned.sentences)
    assert not any("lbf" in s or " in," in s or s.endswith(" in") for s in learned.sentences)
