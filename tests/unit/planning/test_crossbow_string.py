"""A crossbow's string: reinforced ends, where it breaks, its middle and rail marks, its steps."""

from __future__ import annotations

import copy
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from strandwright.errors import SpecError
from strandwright.geometry.eye import fit_eye
from strandwright.line.model import LineModel
from strandwright.planning import cautions
from strandwright.planning.bow.answers import answer_bow
from strandwright.planning.bow.crossbow_string import string_loads_of
from strandwright.planning.crossbow.middle import middle_of
from strandwright.planning.details.held import prepared_line
from strandwright.planning.examples import example
from strandwright.planning.line_of_job import middle_shift
from strandwright.planning.makings.reinforced import reinforcements
from strandwright.planning.plan_data import plan_data
from strandwright.planning.plan_line import plan_line
from strandwright.planning.result import Plan
from strandwright.planning.strength.places import moving_strands
from strandwright.planning.take_off.new_line import job_from_shorthand
from strandwright.units import INCH
from strandwright.workshop.job import Job, job_from_table


def quarry(**ends: Any) -> dict[str, Any]:
    """The example's tables, with other entries at both ends; None leaves one out."""
    table = copy.deepcopy(example("QUARRY-1").model_dump(mode="json", exclude_defaults=True))
    for which in ("zero_end", "far_end"):
        end = table["line"][which] | ends
        table["line"][which] = {k: v for k, v in end.items() if v is not None}
    return table


def planned(table: dict[str, Any]) -> Plan:
    """Plan the job of these tables."""
    return plan_line(job_from_table(table))


PLAIN = {"reinforced": None, "reinforced_length": None}


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The example."""
    return plan_line(example("QUARRY-1"))


def line_of(plan: Plan) -> LineModel:
    """Its line."""
    return prepared_line(plan).model


def test_sections_and_loops_have_the_strands_laid_in(plan: Plan) -> None:
    """Half as many again in both ends and their loops, none in the body."""
    line = line_of(plan).line
    assert [(s.name, s.strands) for s in line.parts] == [
        ("zero reinforced end", 1.5),
        ("body", 1.0),
        ("far reinforced end", 1.5),
    ]
    assert (line.zero.strands, line.far.strands) == (1.5, 1.5)
    assert (line.zero.bearing, line.far.bearing) == (1.0, 1.0)
    assert [s.late for s in line.parts] == [0.5, 0.0, 0.5]
    run = line.parts[0].stop - plan.throats[0]
    assert run == pytest.approx(5.0 * INCH, abs=1e-9)


def test_a_reinforced_loop_has_thicker_legs() -> None:
    """Its bare leg grows by the root of the strands in it; the thread over it stays."""
    with_more, plain = (
        line_of(planned(quarry(**how, thread=None))).line.zero.leg_thickness for how in ({}, PLAIN)
    )
    assert with_more / plain == pytest.approx(1.5**0.5)


def test_mass_of_what_is_laid_in_is_that_of_its_strand(plan: Plan) -> None:
    """The line is heavier by the pieces' cut length of waxed strand, and a little more thread."""
    plain = planned(quarry(**PLAIN))
    stock = line_of(plan).stock
    line = line_of(plan).line
    cut = sum(one.cut for one in reinforcements(plan.job, line.zero, line.far))
    strand = cut * stock.linear_density * (1.0 + stock.wax)
    thread = sum(s.mass.value for s in plan.servings) - sum(s.mass.value for s in plain.servings)
    loops = sum(one.mass for one in plan.loops) - sum(one.mass for one in plain.loops)
    more = plan.mass.value - plain.mass.value
    assert more == pytest.approx(strand + thread + loops, rel=0.04)


def test_pieces_end_one_after_the_other_about_the_run(plan: Plan) -> None:
    """Half as many pieces as strands; the mean one goes round the loop and down both sides."""
    line = line_of(plan).line
    one = reinforcements(plan.job, line.zero, line.far)[0]
    assert (one.strands, one.pieces) == (24, 12)
    assert 0.5 * (one.shortest + one.longest) == pytest.approx(line.zero.perimeter + 2.0 * one.run)
    assert one.longest - one.shortest == pytest.approx(2.0 * 11 * one.step)


@pytest.mark.parametrize(
    ("end", "said"),
    [
        ({"reinforced": 15}, "must be even"),
        ({"reinforced": 50}, "must be at most"),
        ({"reinforced_length": "20 in"}, "must leave a body"),
    ],
)
def test_ends_that_cannot_be_reinforced_so_are_refused(end: dict[str, Any], said: str) -> None:
    """An odd number, more than the line has, or pieces that meet in the middle."""
    with pytest.raises(SpecError, match=said):
        planned(quarry(**end))


def test_without_reinforcement_it_breaks_at_a_loop_and_with_half_more_in_the_middle(
    plan: Plan,
) -> None:
    """Found: unreinforced loops break first; half as many strands again move it to the middle."""
    plain = planned(quarry(**PLAIN))
    assert plain.strength.weakest == "loops"
    assert plain.strength.places[0].name.startswith("loop")
    assert plan.strength.weakest == "middle"
    assert plan.strength.derated.value == plan.strength.places[0].load.value
    loads = [place.load.value for place in plan.strength.places]
    assert loads == sorted(loads)


def test_as_many_strands_as_told_move_the_break() -> None:
    """With that many it breaks in the middle, with two less still at a loop."""
    plain = planned(quarry(**PLAIN))
    likely, sure = moving_strands(prepared_line(plain), plain.strength)
    assert 0 < likely <= sure <= 48
    at, before = (planned(quarry(reinforced=n or None)) for n in (likely, likely - 2))
    assert (before.strength.weakest, at.strength.weakest) == ("loops", "middle")


def test_the_break_of_a_line_of_another_bow_stays_as_it_was() -> None:
    """No places are told; what its loops keep is the last factor."""
    ridge = plan_line(example("RIDGE-1"))
    assert (ridge.strength.places, ridge.strength.weakest) == ((), "loops")


def test_the_centre_serving_lies_about_the_middle(plan: Plan) -> None:
    """Four inches, half to each side of the finished middle, for both ends are alike."""
    centre = next(s for s in line_of(plan).line.servings if s.kind == "centre")
    assert centre.length == pytest.approx(4.0 * INCH)
    assert 0.5 * (centre.start + centre.stop) == pytest.approx(0.5 * plan.target.length.value)


def test_unlike_loops_and_pegs_shift_the_middle_by_half_their_difference() -> None:
    """What the loops reach otherwise over the pegs than over the pins; solved by SciPy."""
    table = quarry(**PLAIN)
    table["bow"]["pegs"] = [
        {"name": "limb tip", "diameter": "7/16 in"},
        {"name": "thick tip", "diameter": "3/4 in"},
    ]
    table["line"]["far_end"] |= {"peg": "thick tip", "size": "2 1/2 in"}
    job = job_from_table(table)
    line = line_of(plan_line(job)).line
    gains = [
        _throat(loop, peg) - _throat(loop, 0.25 * INCH)
        for loop, peg in ((line.zero, 7 / 16 * INCH), (line.far, 0.75 * INCH))
    ]
    assert middle_shift(job) == pytest.approx(0.5 * (gains[1] - gains[0]), abs=1e-7)
    assert abs(middle_shift(job)) > 1e-3


def _throat(loop: Any, pin: float) -> float:
    """Distance of the throat from the pin's outside: a tangent from the offset to an arc."""
    around = 0.5 * (pin + loop.seat)
    half = 0.5 * loop.perimeter

    def miss(distance: float) -> float:
        chord = np.hypot(distance, loop.throat_offset)
        straight = np.sqrt(chord**2 - around**2)
        angle = np.arctan2(loop.throat_offset, distance) + np.arccos(around / chord)
        return float(straight + around * (np.pi - angle) - half)

    distance = float(np.asarray(brentq(miss, around * 1.0001, loop.perimeter)))
    # The eye of the model, beside it: the same closed form by another way.
    fit = fit_eye(loop.perimeter, loop.seat, pin, loop.throat_offset)
    assert distance == pytest.approx(float(fit.throat_distance), abs=1e-6)
    return distance + 0.5 * pin


def test_the_middle_is_as_far_from_both_pegs_at_brace(plan: Plan) -> None:
    """And the rail marks lie half a rail's width to both sides of it, in every state about so."""
    found = middle_of(plan)
    assert found is not None
    half = found.half_rail.value
    assert half == pytest.approx(0.5 * 1.125 * INCH)
    assert found.middle.braced - found.zero_side.braced == pytest.approx(half)
    assert found.far_side.braced - found.middle.braced == pytest.approx(half)
    assert found.middle.finished == pytest.approx(0.5 * plan.target.length.value, abs=5e-4)
    assert abs(found.drift) < 1e-4


def test_the_example_plans_clean(plan: Plan) -> None:
    """Nothing has to be settled first, every load is fine, every diameter fits."""
    assert plan.warnings == ()
    assert {check.verdict for check in plan.strength.checks} == {"fine"}
    assert {fit.verdict for fit in plan.fits} == {"fits"}


def test_one_end_reinforced_moves_the_middle_of_the_cocked_string() -> None:
    """The stiffer half stretches less: a heavier load brings the middle nearer to its end."""
    table = quarry()
    table["line"]["far_end"] |= {"reinforced_length": "8 in"}
    table["line"]["zero_end"] = {
        k: v for k, v in table["line"]["zero_end"].items() if not k.startswith("reinforced")
    }
    found = middle_of(planned(table))
    assert found is not None
    assert found.loads.drawn.value > found.loads.braced.value
    # The mark goes towards the stiff end, so the middle lies on its other side: the zero one.
    assert found.drift < 0.0


def test_no_marks_on_a_line_that_no_latch_holds() -> None:
    """A hand bow's string has no rail."""
    assert middle_of(plan_line(example("RIDGE-1"))) is None


def test_a_latch_too_narrow_is_told() -> None:
    """The served string is held against the room that the latch leaves."""
    for room, verdict in (("0.230 in", "fits"), ("0.120 in", "tight")):
        table = quarry()
        table["bow"]["latch"] = room
        fits = {f.against: f.verdict for f in planned(table).fits}
        assert fits["latch"] == verdict


def test_steps_lay_in_before_the_loops_and_mark_the_middle_first(plan: Plan) -> None:
    """What is laid in comes before the loops are served, the middle before the servings."""
    keys = [step.key for step in plan.steps]
    first = keys.index("cut-pieces")
    assert keys[first + 1 : first + 5] == ["shift", "reinforce", "serve-loops", "loops"]
    laid = plan.steps[first + 2]
    assert "25 lbf, the pull locked" in laid.lines[0]
    assert laid.caution == cautions.AT_THE_LINE
    serve = next(step for step in plan.steps if step.key == "serve")
    assert "half of what the tape reads" in serve.lines[1]
    plain = planned(quarry(**PLAIN))
    assert "reinforce" not in [step.key for step in plain.steps]


def test_sections_say_it_and_json_has_it(plan: Plan) -> None:
    """Rail marks, break and cut list stand in the details; wax is told with its conflict."""
    told = {section.key: section for section in plan.details}
    assert {"rail", "breaks", "reinforced"} <= told.keys()
    assert any("paraffin" in note for note in told["rail"].notes)
    data = plan_data(plan)
    assert data["strength"]["weakest"] == "middle"
    assert len(data["strength"]["places"]) == 3


@pytest.mark.parametrize("off", ["-1/16 in", "1/16 in"])
def test_a_mark_read_off_the_rail_tells_which_half_is_longer(off: str) -> None:
    """The mark to the left: the right half is the longer, by twice as much."""
    table = quarry()
    table["bow"]["now"] = {"centring": off}
    rail = next(s for s in planned(table).details if s.key == "rail")
    row = next(row for row in rail.rows if row[0] == "read on the bow")
    assert ("left half" if off == "1/16 in" else "right half") in row[2]
    assert "longer by 0.125 in" in row[2]


@pytest.mark.parametrize("strands", [40, 80, 120])
@pytest.mark.parametrize("fibre", ["hmpe", "polyester"])
def test_many_strands_plan(strands: int, fibre: str) -> None:
    """Thick skeins plan, count right and land."""
    table = quarry(reinforced=strands // 2)
    table["makeup"] |= {"strands": strands, "strand": fibre, "colours": []}
    for end in ("zero_end", "far_end"):
        # More pieces end over a longer way, the shortest still past the throat.
        table["line"][end] |= {"reinforced_length": f"{2.5 + strands / 30:g} in"}
    plan = planned(table)
    assert plan.winding.strands == strands
    assert plan.winding.rounds == 0.5 * strands
    assert plan.landing.chance > 0.9


def test_loads_of_the_string_come_from_the_bow_that_agrees(plan: Plan) -> None:
    """At brace, drawn and at the latch by the model's own tensions, and the bound over them."""
    answers = answer_bow(plan.job, plan)
    loads = string_loads_of(plan, answers.model)
    braced, highest = answers.tension["string"]
    assert loads["resting"].value == pytest.approx(braced.value)
    assert loads["highest"].value == pytest.approx(highest.value)
    assert loads["cocked"].value <= loads["highest"].value
    assert loads["release"].value > loads["highest"].value
    keys = [section.key for section in answers.details]
    assert keys.index("cocked") < keys.index("loads")


def test_the_latch_pulls_along_both_halves(plan: Plan) -> None:
    """Force at the latch is twice a half's tension times the cosine of its angle to the rail."""
    answers = answer_bow(plan.job, plan)
    cycle = answers.model.family.cycle
    index = answers.model.lines.index("string")
    own = cycle.tension[:, -1, cycle.rig.of_line == index].mean(axis=1)
    bodies, nock = cycle.rig.paths.bodies, cycle.rig.bow.nock
    into = int(np.flatnonzero(bodies[:, 1] == nock)[0])
    along = 2.0 * own * np.abs(np.cos(cycle.direction[:, -1, into]))
    assert along == pytest.approx(cycle.force[:, -1], rel=1e-3)


def turned_end_for_end(job: Job) -> Job:
    """The same job with its ends changed over."""
    line = job.line.model_copy(update={"zero_end": job.line.far_end, "far_end": job.line.zero_end})
    return job.model_copy(update={"line": line})


def test_a_symmetrical_string_turned_end_for_end_is_the_same(plan: Plan) -> None:
    """Posts, turns, mass, strength and the middle; servings mirrored."""
    other = plan_line(turned_end_for_end(plan.job))
    assert other.winding.posts_outside == plan.winding.posts_outside
    assert other.twist.turns == plan.twist.turns
    assert other.mass.value == pytest.approx(plan.mass.value)
    assert other.strength.derated.value == pytest.approx(plan.strength.derated.value)
    first, last = plan.servings[0], plan.servings[-1]
    assert first.outside.value == pytest.approx(last.outside.value)
    assert first.core.value == pytest.approx(last.core.value)


def test_nothing_laid_in_is_a_plain_line() -> None:
    """A length for what is not there changes nothing."""
    plain = planned(quarry(**PLAIN))
    said = planned(quarry(reinforced=None, reinforced_length="3 in"))
    assert line_of(said).line == line_of(plain).line
    assert said.mass == plain.mass


def test_a_new_line_of_a_crossbow_is_served_about_its_middle() -> None:
    """A shorthand with two end servings and a few words make a string that plans, reinforced."""
    entry: dict[str, Any] = {
        "id": "NEW-1",
        "name": "String for the new crossbow",
        "shorthand": "33 3/8: 0-10 1/2, 10 1/2-0",
        "bow": {"kind": "crossbow", "crossbow": "recurve", "draw_weight": "150 lbf"},
        "strand": "polyester",
        "strands": 40,
        "thread": "braid-018",
        "centre_thread": "braid-025",
        "loop": "1 7/8 in",
        "reinforced": 20,
    }
    job = job_from_shorthand(entry, quarry()["bench"])
    assert [s.use for s in job.line.servings] == ["end", "centre", "end"]
    assert job.line.far_end.reinforced == 20
    plan = plan_line(job)
    centre = plan.servings[1]
    middle = 0.5 * (centre.start.value + centre.stop.value)
    assert middle == pytest.approx(0.5 * plan.target.length.value, abs=INCH / 16.0)
