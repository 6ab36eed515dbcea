"""Break places: what each place holds by its strands, bends, friction, lag and legs."""

from __future__ import annotations

import copy
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from strandwright.planning.details.held import prepared_line
from strandwright.planning.examples import example
from strandwright.planning.makings.reinforced import piece_ends
from strandwright.planning.makings.reinforced_hold import PieceHold, lag_of, piece_hold
from strandwright.planning.plan_line import plan_line
from strandwright.planning.prepare import at_mean
from strandwright.planning.result import Plan
from strandwright.planning.servings.tails import TAIL_SPREAD
from strandwright.planning.strength.legs import loop_strands
from strandwright.planning.strength.places import middle_keeps, tension_in_loop
from strandwright.reference import practice
from strandwright.units import INCH
from strandwright.workshop.job import job_from_table
from yoke_jobs import strap_cable, strap_plan, yoke_plan


def changed(name: str, **changes: Any) -> Plan:
    """Plan an example with its ends, make-up or bench changed; None leaves an entry out."""
    table = copy.deepcopy(example(name).model_dump(mode="json", exclude_defaults=True))
    for which in ("zero_end", "far_end"):
        end = table["line"][which] | changes.get("ends", {})
        table["line"][which] = {k: v for k, v in end.items() if v is not None}
    for part in ("makeup", "route", "bench", "bow"):
        table[part] = table.get(part, {}) | changes.get(part, {})
    return plan_line(job_from_table(table))


@pytest.fixture(scope="module")
def plan() -> Plan:
    """A crossbow's string, its pieces longer than they need be."""
    return plan_line(example("QUARRY-1"))


@pytest.fixture(scope="module")
def shorter() -> Plan:
    """The same with pieces of which some end before their hold length."""
    return changed("QUARRY-1", ends={"reinforced_length": "2 1/4 in"})


def hold_of(plan: Plan, which: str = "zero_end") -> PieceHold:
    """What the pieces of an end bear where its loop breaks."""
    prepared = prepared_line(plan)
    found = piece_hold(prepared, which, tension_in_loop(prepared, plan.strength))
    assert found is not None
    return found


def test_long_pieces_bear_what_their_lag_lets_them(plan: Plan) -> None:
    """All alike, less than a strand of the line by the strain that it had before the grip."""
    hold = hold_of(plan)
    assert hold.short == 0
    assert np.ptp(hold.carried) < 1e-9
    stiffness = plan.parameters.value("stiffness")
    # Bedding-in of either is all but over at that load: a few parts in 100000 are to come.
    lag = lag_of(prepared_line(plan))
    assert hold.at - hold.carried[0] == pytest.approx(stiffness * lag, rel=1e-4)
    share = hold.carried[0] / hold.at
    assert 0.7 < share < 0.9
    assert hold.strands.value == pytest.approx(0.5 * share)


def test_pieces_that_end_before_their_hold_length_bear_by_the_length_they_have(
    plan: Plan, shorter: Plan
) -> None:
    """In a straight line from nothing at their ends; fewer strands hold the loop."""
    hold = hold_of(shorter)
    assert 0 < hold.short < len(hold.ends)
    grip = hold.follow.value / hold.hold.value
    for end, carried in zip(hold.ends[: hold.short], hold.carried, strict=False):
        assert carried == pytest.approx(grip * end)
    assert hold.strands.value < hold_of(plan).strands.value
    loads = [
        next(p.load.value for p in p.strength.places if p.name.startswith("loop"))
        for p in (shorter, plan)
    ]
    assert loads[0] < loads[1]


def test_friction_on_a_piece_is_that_of_both_its_faces_under_the_wraps(plan: Plan) -> None:
    """Two frictions times pressure times width, written out; the core's width drops out."""
    hold, q = hold_of(plan), at_mean(plan.parameters)
    model = prepared_line(plan).model
    thread = model.line.servings[0].thread
    pitch = thread.diameter / (thread.flattening * float(q["flattening"][0]))
    force = 2.0 * (model.stock.friction + thread.friction) * thread.tension / pitch
    assert hold.follow.value / hold.hold.value == pytest.approx(force / 72.0**0.5, rel=5e-3)
    spread = np.hypot(TAIL_SPREAD, plan.parameters.standard_uncertainty("wrap_tension"))
    assert hold.hold.u / hold.hold.value == pytest.approx(spread)


def test_a_serving_that_stops_short_grips_no_further(plan: Plan) -> None:
    """Only what lies under thread holds; a piece's bare end counts for nothing."""
    prepared = prepared_line(plan)
    line = prepared.model.line
    stop = plan.throats[0] + 0.02
    cut = replace(line, servings=(replace(line.servings[0], stop=stop), *line.servings[1:]))
    model = replace(prepared.model, line=cut)
    hold = piece_hold(replace(prepared, model=model), "zero_end", hold_of(plan).at)
    assert hold is not None
    assert hold.served == pytest.approx([0.02] * 12)
    assert hold.strands.value < hold_of(plan).strands.value


def test_where_pieces_end_follows_from_run_and_step(plan: Plan) -> None:
    """One step after the other about the run."""
    ends = piece_ends(plan.job, "zero_end")
    assert np.diff(ends) == pytest.approx(practice("reinforced.step").value)
    assert np.mean(ends) == pytest.approx(5.0 * INCH)


def test_strands_at_a_loop_have_their_spread(plan: Plan, shorter: Plan) -> None:
    """Friction known to about half makes the most of it where pieces are short."""
    for one in (plan, shorter):
        place = next(p for p in one.strength.places if p.name == "loop left limb")
        assert place.strands.value == pytest.approx(1.0 + hold_of(one).strands.value)
        assert place.strands.u == pytest.approx(hold_of(one).strands.u)
    assert hold_of(shorter).strands.u > 2.0 * hold_of(plan).strands.u


def test_the_reinforced_end_is_as_soft_as_the_body_at_what_the_tape_reads(plan: Plan) -> None:
    """Pieces are slack up to the load they were gripped under, and bear a part above it."""
    model, q = prepared_line(plan).model, at_mean(plan.parameters)
    columns = model.layout.kind
    serve = plan.loads.serve

    def bearing(load: float) -> np.ndarray:
        return model.bearing(q, columns, np.full((1, len(columns)), load))[0]

    assert bearing(plan.loads.measure) == pytest.approx(1.0)
    assert bearing(serve) == pytest.approx(1.0)
    above = bearing(3.0 * serve)
    late = np.array([model.line.parts[kind.section].late for kind in columns])
    assert above[late == 0.0] == pytest.approx(1.0)
    assert ((1.05 < above[late > 0.0]) & (above[late > 0.0] < 1.5)).all()


def test_a_hand_bows_middle_keeps_less_than_all() -> None:
    """Reinforced loops move the break to a middle that nock and serving edge weaken."""
    plan = changed("RIDGE-1", ends={"reinforced": 12, "reinforced_length": "5 in"})
    middle = next(p for p in plan.strength.places if p.name == "middle")
    row = practice("middle.efficiency")
    assert middle.keeps == middle_keeps(plan.job)
    assert (middle.keeps.value, middle.keeps.u) == (row.value, row.standard_uncertainty)
    assert practice("crossbow.latch_efficiency").value < middle.keeps.value < 1.0
    plain = plan_line(example("RIDGE-1"))
    gain = plan.strength.derated.value / plain.strength.derated.value
    assert 1.0 < gain <= row.value / practice("safety.end_efficiency").value + 0.02


def test_odd_strands_cost_half_of_what_the_thinner_leg_may() -> None:
    """Legs of 11 and 12: between as many as all and one less, named with its margin."""
    even = changed("RIDGE-1", makeup={"strands": 24, "colours": []})
    odd = changed("RIDGE-1", makeup={"strands": 23, "colours": []})
    assert even.strength.places == ()
    strands = loop_strands(odd.job)
    assert strands.value == pytest.approx(1.0 - 0.5 / 23)
    assert strands.value - np.sqrt(3.0) * strands.u == pytest.approx(22 / 23)
    loops = [p for p in odd.strength.places if p.name.startswith("loop")]
    assert [p.strands for p in loops] == [strands, strands]
    assert odd.strength.weakest == "loops"
    notes = next(s for s in odd.details if s.key == "breaks").notes
    assert any("legs of 11 and 12" in note for note in notes)


def test_a_strap_of_few_strands_breaks_before_its_cable() -> None:
    """Half of the cable's strands hold it; fewer hold as much less, and the plan says so."""
    usual = strap_plan().strength
    count = strap_plan().job.makeup.strands
    thin = plan_line(strap_cable(strands=count // 4)).strength
    assert thin.weakest == "legs"
    place = thin.places[0]
    assert place.name == "legs"
    # A little more than half, for a leg is twisted less than the body.
    assert 0.5 < place.strands.value < 0.6
    assert thin.derated.value == pytest.approx(place.strands.value * usual.derated.value, rel=0.1)


def test_legs_of_a_yoke_that_keep_less_are_the_place() -> None:
    """Where legs weaken a cable they are named; the product of the factors stays the load."""
    strength = yoke_plan().strength
    assert strength.weakest in ("legs", "loops")
    factors = strength.twist.value * strength.bundle.value * strength.ends.value
    assert strength.derated.value == pytest.approx(strength.strands * factors)
