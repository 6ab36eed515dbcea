"""The yoke of a plan: halved skein, what turns do, reserve, lean, and what is said of them."""

from __future__ import annotations

import pytest

from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import example
from strandwright.planning.plan_data import plan_data
from strandwright.planning.plan_line import plan_line
from strandwright.planning.written import Written
from strandwright.planning.yoke.sections import yoke_sections
from strandwright.units import INCH
from strandwright.workshop.job import job_from_table
from yoke_jobs import plan_read, yoke_plan


def test_a_line_without_a_yoke_has_none() -> None:
    """Nothing is said of a fork that is not there."""
    plan = plan_line(example("RIDGE-2"))
    assert plan.yoke is None
    assert plan_data(plan)["yoke"] is None
    assert all(not section.key.startswith("yoke") for section in plan.details)


def test_the_skein_is_halved_in_the_order_it_was_wound() -> None:
    """Each leg is half of the strands; what was wound first goes to the left."""
    yoke = yoke_plan().yoke
    assert yoke is not None
    left, right = yoke.legs
    assert (left.name, left.strands, left.colours[0][0]) == ("left", 12, "heather")
    assert (right.name, right.strands, right.colours[0][0]) == ("right", 12, "birch")


def test_colours_that_do_not_halve_go_on_into_the_right_leg() -> None:
    """Sixteen and eight strands: the left leg of the first alone, the right one of both."""
    table = tables_of(example("CRAG-2"))
    table["makeup"]["pattern"] = "free"
    for colour, strands in zip(table["makeup"]["colours"], (16, 8), strict=True):
        colour["strands"] = strands
    yoke = plan_line(job_from_table(table)).yoke
    assert yoke is not None
    assert [c[2] for c in yoke.legs[0].colours] == [12]
    assert [c[2] for c in yoke.legs[1].colours] == [4, 8]


def test_a_turn_in_one_leg_is_half_of_one_in_both() -> None:
    """On one pin as on the axle; the body's is the line's own."""
    plan = yoke_plan()
    yoke = plan.yoke
    assert yoke is not None
    assert yoke.on_pin is not None
    assert yoke.on_axle is not None
    for turns in (yoke.on_pin, yoke.on_axle):
        ratio = turns.one_leg.value / turns.both_legs.value
        assert ratio == pytest.approx(0.5, abs=0.03)
        assert turns.body == plan.twist.next_turn
        assert turns.one_leg.u > 0.0


def test_turns_moved_over_cost_by_their_square_and_more_than_nothing() -> None:
    """Two turns moved over take four times what one does; on the axle, more than a leg's turn."""
    yoke = yoke_plan().yoke
    assert yoke is not None
    assert yoke.on_axle is not None
    by = {number: (length.value, moment.value) for number, length, moment in yoke.on_axle.moved}
    assert by[2.0][0] / by[1.0][0] == pytest.approx(4.0, rel=0.1)
    assert by[2.0][1] / by[1.0][1] == pytest.approx(2.0, rel=0.1)
    assert by[2.0][0] < yoke.on_axle.one_leg.value < 0.0


def test_one_pin_gives_no_moment() -> None:
    """Legs side by side turn nothing round."""
    yoke = yoke_plan().yoke
    assert yoke is not None
    assert yoke.on_pin is not None
    assert all(moment.value == pytest.approx(0.0) for _, _, moment in yoke.on_pin.moved)


def test_moment_of_unlike_legs_is_their_pulls_at_half_the_span() -> None:
    """By statics on a level axle, and twice the difference gives twice the moment."""
    yoke = yoke_plan().yoke
    assert yoke is not None
    lean = yoke.lean
    assert lean is not None
    for (_, tight, loose), moment in zip(lean.pulls, lean.moments, strict=True):
        by_hand = 0.5 * lean.span * (tight - loose)
        assert moment.value == pytest.approx(by_hand, rel=0.03)
    assert lean.moments[1].value == pytest.approx(2.0 * lean.moments[0].value, rel=0.02)
    assert lean.righting > 0.0


def test_the_axle_shortens_the_cable_by_what_the_legs_open() -> None:
    """A leg less its part along the pull, about."""
    yoke = yoke_plan().yoke
    assert yoke is not None
    assert yoke.lean is not None
    leg = yoke.leg - INCH / 8.0
    opened = leg - (leg**2 - (0.5 * yoke.lean.span) ** 2) ** 0.5
    assert yoke.lean.shorter == pytest.approx(opened, rel=0.05)


def test_without_a_span_nothing_is_said_of_lean_but_how_to_ask() -> None:
    """The span is asked for; on one pin the turns are told all the same."""
    plan = plan_read(span=None)
    yoke = plan.yoke
    assert yoke is not None
    assert yoke.lean is None
    assert yoke.on_pin is not None
    notes = [n for s in yoke_sections(plan, Written.on(plan.job.paper)) for n in s.notes]
    assert any("line.yoke.span" in note for note in notes)


def test_turns_that_leave_no_reserve_are_warned_of_and_the_usual_ones_are_not() -> None:
    """By the field's own name in the warning's words; the default holds a usual correction."""
    assert not any("right a lean" in warning for warning in yoke_plan().warnings)
    usual = yoke_plan().yoke
    assert usual is not None
    assert usual.reserve is not None
    assert usual.reserve.is_enough
    few = plan_read(turns=1.5)
    assert any("1.5 turns in a leg leave too little" in warning for warning in few.warnings)


def test_a_leg_without_turns_is_planned_and_has_none_to_give() -> None:
    """No turns: no effects, no reserve, and a warning."""
    plan = plan_read(turns=0.0)
    yoke = plan.yoke
    assert yoke is not None
    assert yoke.on_pin is None
    assert yoke.reserve is not None
    assert yoke.reserve.apart == 0.0
    assert any("right a lean" in warning for warning in plan.warnings)


def test_swapped_names_lean_the_other_way() -> None:
    """What a shorter left leg does to the left a shorter right one does to the right."""
    left = plan_read({"left": "36 1/2 in", "right": "36 5/8 in"}).yoke
    right = plan_read({"left": "36 5/8 in", "right": "36 1/2 in"}).yoke
    assert left is not None
    assert right is not None
    one, other = left.read[0], right.read[0]
    assert one.difference.value == pytest.approx(-other.difference.value, abs=1e-9)
    assert (one.longer, other.longer) == ("right", "left")
    assert one.turns == other.turns
