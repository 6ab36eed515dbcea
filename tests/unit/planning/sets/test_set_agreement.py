"""Agreement of the lines: each way in which they may differ is told, with what to do."""

from __future__ import annotations

from dataclasses import replace

import pytest

from line_sets import PLANNER, changed_plan, line_set, planned, ridge_plans, twin_of
from strandwright.planning.sets.agreement import checks_of
from strandwright.planning.sets.data import set_data
from strandwright.planning.sets.plan_set import plan_set


def check(plans, of, **changes):
    """Give one check of a set."""
    found = checks_of(line_set(*(p.job.id for p in plans), **changes), plans)
    return next((c for c in found if c.of == of), None)


def test_the_lines_of_the_ridge_bow_agree():
    """In all but the lot, which nobody wrote down."""
    found = checks_of(line_set("RIDGE-1", "RIDGE-2", "RIDGE-3"), ridge_plans())
    assert {"agrees"} == {c.verdict for c in found if c.of != "lot"}
    assert ["not said"] == [c.verdict for c in found if c.of == "lot"]
    assert all(c.remedy for c in found if c.verdict != "agrees")


@pytest.mark.parametrize(
    ("changes", "of", "told"),
    [
        ({"makeup__hand": "S"}, "hand of twist", "S in RIDGE-2"),
        ({"makeup__strand": "hmpe"}, "fibre", "hmpe in RIDGE-2"),
        ({"makeup__lot": "7"}, "lot", "lot 7 in RIDGE-2"),
        ({"route__measure": "110 lbf"}, "measuring load", "110 lbf over 1/4 in pins in RIDGE-2"),
        ({"bow__draw_weight": "58 lbf"}, "draw weight of the bow", "58 lbf (RIDGE-2)"),
        ({"bow__axle_to_axle": "33 1/4 in"}, "axle to axle of the bow", "33 1/4 in (RIDGE-2)"),
        ({"bow__name": "rill bow"}, "name of the bow", "rill bow (RIDGE-2)"),
        ({"bow__pegs.0.diameter": "3/8 in"}, "diameter of the peg 'cam peg'", "3/8 in (RIDGE-2)"),
        ({"bench__drag": "6 lbf"}, "bench", "is another bench in RIDGE-2"),
    ],
)
def test_a_line_that_differs_is_told_with_a_remedy(changes, of, told):
    """What it says, in which line, and what mends it."""
    plans = (ridge_plans()[0], changed_plan(**changes))
    found = check(plans, of)
    assert "differs" == found.verdict
    assert told in found.said
    assert found.remedy


def test_hands_that_differ_on_purpose_are_let_be():
    """Where the set says that each job decides."""
    plans = (ridge_plans()[0], changed_plan(makeup__hand="S"))
    assert "agrees" == check(plans, "hand of twist", hands="as each job says").verdict


def test_readings_of_the_bow_may_differ_within_their_own_spread():
    """33 in and 33 1/16 in agree where one of them says ± 1/8."""
    far = changed_plan(bow__axle_to_axle="33 1/16 in")
    near = changed_plan(bow__axle_to_axle="33 1/16 in +- 1/8")
    assert check((ridge_plans()[0], far), "axle to axle of the bow") is not None
    assert check((ridge_plans()[0], near), "axle to axle of the bow") is None


def test_two_strings_in_a_set_are_asked_about():
    """A spare is counted in; a string of another bow is not meant."""
    spare = twin_of(ridge_plans()[0], "RIDGE-1.2")
    found = check((ridge_plans()[0], spare), "strings")
    assert ("not said", ("RIDGE-1", "RIDGE-1.2")) == (found.verdict, found.jobs)
    assert "a bow is strung with one" in found.said
    assert check(ridge_plans(), "strings") is None


def test_one_line_alone_has_nothing_to_agree_with():
    """No check at all."""
    assert () == checks_of(line_set("RIDGE-1"), ridge_plans()[:1])


def test_a_pair_that_is_asked_alike_matches_and_says_how_surely():
    """Two cables of one job, not read yet."""
    plans = (ridge_plans()[1], twin_of(ridge_plans()[1], "RIDGE-2.2"))
    pairs = [{"one": "RIDGE-2", "other": "RIDGE-2.2"}]
    (pair,) = planned(plans, pairs=pairs).pairs
    assert not pair.is_read
    assert {"agrees"} == {c.verdict for c in pair.checks}
    assert pair.chance is not None
    assert 0.5 < pair.chance < 1.0


@pytest.mark.parametrize(("turns", "verdict"), [(20.5, "agrees"), (21.0, "differs")])
def test_half_a_turn_apart_is_the_step_and_no_difference(turns, verdict):
    """Turns go in by halves; a whole turn apart is told, with what to do."""
    plan = ridge_plans()[1]
    twin = twin_of(plan, "RIDGE-2.2")
    plans = tuple(replace(p, twist=replace(p.twist, turns=n))
                  for p, n in ((plan, 20.0), (twin, turns)))  # fmt: skip
    pairs = [{"one": "RIDGE-2", "other": "RIDGE-2.2"}]
    (pair,) = planned(plans, pairs=pairs).pairs
    found = next(c for c in pair.checks if c.of == "turns of the pair")
    assert verdict == found.verdict
    assert ("20 in RIDGE-2, " in found.said, bool(found.remedy)) == (True, verdict == "differs")


def test_a_pair_asked_apart_says_so():
    """The cables of the ridge bow are no pair: 3/8 in apart."""
    pairs = [{"one": "RIDGE-2", "other": "RIDGE-3"}]
    (pair,) = planned(ridge_plans(), pairs=pairs).pairs
    length = next(c for c in pair.checks if c.of == "length of the pair")
    assert "differs" == length.verdict
    assert "0.375 in apart" in length.said
    assert pair.chance is not None
    assert pair.chance < 0.01


def test_lines_that_are_built_are_wound_no_more():
    """Order, time and chance are those of the others; the cut list is the whole set's."""
    plans = ridge_plans()
    found = plan_set(
        line_set(*(p.job.id for p in plans)), plans, PLANNER.plan, built={"RIDGE-1", "ELSEWHERE"}
    )
    assert ("RIDGE-1",) == found.built
    assert ("RIDGE-2", "RIDGE-3") == found.orders[0].jobs
    assert {"RIDGE-2", "RIDGE-3"} == {span.job for span in found.schedule.spans}
    assert 2 == len(found.chance.each)
    assert planned(plans).cut == found.cut
    assert "all lines still to be built are within" in set_data(found)["chance"]["said"]
