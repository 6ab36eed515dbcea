"""Timings: what the moments of a log say of its acts, and what they do not."""

from __future__ import annotations

import pytest

from sample_job import example_plan
from strandwright.planning.quote.timings import Timing, timings_of
from timed_logs import Log

#: Turns of the crag string where it is read part way
HALF = next(s.turns for s in example_plan("crag-string").steps if s.id == "twist-half")


def _started() -> Log:
    """Posts in 5 min, two colours wound in 6 and 7, evened out in 3, shifted in 2."""
    log = Log()
    log.did("posts-set", 5.0, outside="1412 mm")
    log.did("rounds-laid", 3.0, run=0, halves=6)
    log.did("rounds-laid", 3.0, run=0, halves=6)
    log.did("rounds-laid", 7.0, run=1, halves=12)
    log.did("step-done", 3.0, step="even")
    log.did("step-done", 2.0, step="shift")
    return log


def _told(log: Log) -> dict[str, float]:
    found = timings_of(example_plan("crag-string"), log.events)
    return {"+".join(row for row, _ in t.acts): t.seconds / 60.0 for t in found}


def test_winding_is_one_act_from_the_first_round_to_the_shift():
    """All its colours with it: 3 + 3 + 7 + 3 + 2 min."""
    assert {"set_posts": 5.0, "winding": 18.0} == pytest.approx(_told(_started()))


def test_where_a_line_stands_or_rests_nothing_is_said_of_hands():
    """The stretch and the reading after its rest are left out; the loops come after them."""
    log = _started()
    log.did("step-done", 35.0, step="stretch-bare")
    log.did("length-read", 20.0, stage="bare", length="57 in")
    log.did("step-done", 2.0, step="slide-out")
    log.did("step-done", 9.0, step="serve-loops")
    log.did("step-done", 6.0, step="loops")
    told = _told(log)
    assert {"set_posts", "winding", "loops"} == set(told)
    assert 17.0 == pytest.approx(told["loops"])


def test_what_was_ticked_together_shares_its_time():
    """Twisted and read, ticked within seconds: 14 min of both."""
    log = _started()
    log.did("step-done", 35.0, step="stretch-bare")
    log.did("length-read", 20.0, stage="bare", length="57 in")
    log.did("step-done", 15.0, step="loops")
    log.did("turned", 14.0, turns=HALF)
    log.did("length-read", 0.1, stage="half", length="56 in")
    assert 14.1 == pytest.approx(_told(log)["turning+reading"])


def test_an_act_that_was_not_ticked_is_part_of_the_next():
    """Nobody ticked the closing of the loops: the twist's time holds it."""
    log = _started()
    log.did("step-done", 35.0, step="stretch-bare")
    log.did("length-read", 20.0, stage="bare", length="57 in")
    log.did("turned", 27.0, turns=HALF)
    assert 27.0 == pytest.approx(_told(log)["loops+turning"])


def test_what_was_done_once_more_and_what_was_weighed_is_no_act_s_time():
    """The spool weighed for 4 min, and a length read again: neither is winding or loops."""
    log = _started()
    log.did("mass-read", 4.0, run=0, lost="3.5 g")
    log.did("step-done", 35.0, step="stretch-bare")
    log.did("length-read", 20.0, stage="bare", length="57 in")
    log.did("length-read", 8.0, stage="bare", length="57 in")
    log.did("step-done", 15.0, step="loops")
    told = _told(log)
    assert 18.0 == pytest.approx(told["winding"])
    assert 15.0 == pytest.approx(told["loops"])


def test_a_slip_that_was_taken_back_ends_nothing():
    """The loops were ticked too early, taken back, and ticked again."""
    log = _started()
    log.did("step-done", 35.0, step="stretch-bare")
    log.did("length-read", 20.0, stage="bare", length="57 in")
    slip = log.did("step-done", 1.0, step="loops")
    log.did("withdrawn", 0.5, event=slip)
    log.did("step-done", 14.5, step="loops")
    assert 16.0 == pytest.approx(_told(log)["loops"])


def test_after_the_proof_nothing_is_timed():
    """Corrections and the bow are no part of building."""
    log = _started()
    log.did("length-read", 300.0, stage="proof", length="55 in")
    log.did("turned", 14.0, turns=27.0)
    assert {"set_posts", "winding"} == set(_told(log))


def test_a_log_that_only_began_says_nothing():
    """No tick, no time."""
    assert () == timings_of(example_plan("crag-string"), Log().events)


@pytest.mark.parametrize("seconds", [0.0, 20.0])
def test_what_is_ticked_at_once_with_the_start_says_nothing(seconds: float):
    """A log that was written down afterwards."""
    log = Log()
    log.did("posts-set", seconds / 60.0, outside="1412 mm")
    assert () == timings_of(example_plan("crag-string"), log.events)


def test_a_dwell_that_hands_stay_for_is_no_act():
    """A cable's turns are settled for 2 min: what is left of 7 is pulling it up."""
    plan = example_plan("crag-upper-cable")
    log = Log()
    log.did("posts-set", 5.0, outside="909 mm")
    for step, minutes in (("serve", 90.0), ("twist-half", 0.0), ("settle-part", 7.0)):
        if step == "twist-half":
            log.did("turned", 10.0, turns=next(s.turns for s in plan.steps if s.id == step))
        else:
            log.did("step-done", minutes, step=step)
    last: Timing = timings_of(plan, log.events)[-1]
    assert (("pull_up", 1.0),) == last.acts
    assert 300.0 == pytest.approx(last.seconds)
