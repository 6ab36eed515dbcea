"""The steps of a yoke: where they stand on the route, in each order of work, and what they say."""

from __future__ import annotations

import pytest

from strandwright.errors import SpecError
from strandwright.line.route import Order
from strandwright.planning import cautions
from strandwright.planning.entries.editing import Change, edited
from strandwright.planning.picture import strip_picture
from strandwright.planning.plan_line import plan_line
from strandwright.planning.take_off.new_line import job_from_shorthand
from strandwright.units import INCH
from yoke_jobs import plan_read, strap_plan, yoke_job, yoke_plan

LOOPS = ["slide-out", "serve-loops", "loops"]
LEGS = ["halve", *LOOPS, "tie-fork", "twist-legs"]


@pytest.mark.parametrize("order", list(Order))
def test_legs_are_made_before_they_are_matched_and_matched_before_the_throat(order: Order) -> None:
    """In every order of work, tied before they are twisted; then the throat is served."""
    job = yoke_job()
    route = job.route.model_copy(update={"order": order.value})
    steps = plan_line(job.model_copy(update={"route": route})).steps
    ids = [step.id for step in steps]
    first = ids.index("halve")
    assert ids[first : first + len(LEGS)] == LEGS
    assert ids[ids.index("match-legs") + 1] == "serve"
    assert first < ids.index("match-legs")
    assert all(step.caution for step in steps if step.id in ("match-legs", "serve"))
    assert len(ids) == len(set(ids))


def test_where_no_order_is_named_the_throat_goes_on_before_the_body_is_twisted() -> None:
    """Practice's way with half-skein legs."""
    ids = [step.id for step in yoke_plan().steps]
    assert ids.index("serve") < ids.index("twist-half")


def test_the_match_says_what_to_do_once_read() -> None:
    """Turns and the leg they go into are the headline."""
    plan = plan_read({"left": "36 9/16 in", "right": "36 1/2 in"})
    step = next(s for s in plan.steps if s.id == "match-legs")
    assert step.headline.endswith("into the left leg")
    assert not step.done


def test_three_loops_are_closed_and_leg_servings_are_for_each() -> None:
    """The body's and one for each leg; a serving past the fork is laid twice."""
    steps = {step.id: step for step in yoke_plan().steps}
    assert sum("serve" in line for line in steps["serve-loops"].lines) == 3
    assert any(line.startswith("leg ends") and "each leg" in line for line in steps["serve"].lines)
    lines = steps["serve"].lines
    first = next(i for i, line in enumerate(lines) if line.startswith("throat first"))
    assert lines[first + 1].startswith("throat: ")
    assert not any("the throat to" in line for line in lines)
    assert any("bind either half by itself" in line for line in steps["loops"].lines)


def test_the_body_is_turned_at_its_single_end() -> None:
    """Both leg loops stay on their one pin, or the turns would go into a leg."""
    for step in yoke_plan().steps:
        if step.key == "twist":
            told = " ".join(step.lines)
            assert "lift the loop of lower cam off its pin" in told
            assert "lift the loop of upper axle" not in told
            assert "both leg loops stay on their one upper axle pin" in told
            assert step.caution == cautions.TURNING


def test_every_reading_says_how_the_legs_hang() -> None:
    """Over pins, once there are legs: both on the one pin; matched one by one, or at the width."""
    steps = {step.id: step for step in yoke_plan().steps}
    assert steps["read-half"].lines[0].startswith("both leg loops on the one upper axle pin")
    assert steps["read-proof"].lines[0].startswith("both leg loops on the one upper axle pin")
    assert not any("leg" in line for line in steps["read-bare"].lines)
    match = " ".join(steps["match-legs"].lines)
    assert "by the left leg alone" in match
    assert "2 3/8 in apart" in match


def test_a_strap_is_made_and_hung_before_the_cable_is_proved() -> None:
    """Its own posts, rounds and turns; both together longer by about its sides."""
    plan = strap_plan()
    ids = [step.id for step in plan.steps]
    last = ids.index("read-proof")
    assert ids[last - 4 : last] == ["strap", "strap-stretch", "turn-strap", "hang-strap"]
    assert "halve" not in ids
    yoke = plan.yoke
    assert yoke is not None
    strap = yoke.strap
    assert strap is not None
    assert strap.strands == 12
    assert strap.posts is not None
    assert strap.posts.value == pytest.approx(strap.length, abs=INCH)
    more = yoke.strap.overall.value - plan.target.length.value
    assert more == pytest.approx(yoke.leg, abs=INCH / 4.0)
    cautioned = {s.id for s in plan.steps if s.caution}
    assert {"strap-stretch", "turn-strap"} <= cautioned


def test_arms_are_told_to_be_left_where_the_skein_is_halved() -> None:
    """Named with their field: no loop of a leg is a stretch of one whole skein."""
    job = edited(yoke_job(), [Change("bench.arms.between", "4 in")])
    told = next(s for s in plan_line(job).steps if s.id == "halve").lines
    assert any("bench.arms, 4 in: not used" in line for line in told)


def test_the_strip_parts_where_the_legs_do() -> None:
    """A fork in each leg's colours; no span crosses it, and turns never fall."""
    picture = strip_picture(yoke_plan())
    fork = picture.fork
    assert fork is not None
    assert fork.parting == pytest.approx((35.5 - 8.625) * INCH)
    assert {strand.colour for strand in fork.legs[0]} == {"#6C4F77"}
    bare = [span for span in picture.spans if span.served is None]
    assert all(not span.start < fork.parting - 1e-4 < span.stop - 2e-4 for span in bare)
    assert strip_picture(strap_plan()).fork is None


def test_the_throat_follows_the_leg() -> None:
    """A leg keyed otherwise moves the serving that ties it, as long as it was."""
    job = edited(yoke_job(), [Change("line.yoke.leg", "8")])
    throat = next(s for s in job.line.servings if s.use == "throat")
    assert throat.stop is not None
    assert throat.start is not None
    assert (throat.stop.text, throat.from_far_end) == ("8 in", True)
    assert throat.start.si == pytest.approx(9.5 * INCH, abs=1e-6)
    assert plan_line(job).yoke is not None


ENTRY = {
    "id": "FORK-1",
    "name": "a fork",
    "shorthand": "35 1/2: 0-9 1/4, 14 3/4-20 1/2, 25 3/8-26 7/8, 3 3/4-0",
    "kind": "cable",
    "bow": {"kind": "two-cam", "draw_weight": "60 lbf"},
    "strand": "hmpe-lcp",
    "strands": 24,
    "loop": "7/8 in",
}
BENCH = {"name": "beam", "zero_post": "1/2 in", "longest": "120 in"}


def test_a_new_line_names_its_throat_by_where_the_legs_part() -> None:
    """The run that stops there ties them; what begins past it is the legs'."""
    job = job_from_shorthand(ENTRY | {"yoke": {"leg": "8 5/8 in"}}, BENCH)
    assert [s.name for s in job.line.servings] == ["zero end", "serving 2", "throat", "leg ends"]
    assert plan_line(job).yoke is not None
    for leg, says in (("9 in", "where a serving of the shorthand stops"), ("", "must say how far")):
        with pytest.raises(SpecError, match=says):
            job_from_shorthand(ENTRY | {"yoke": {"leg": leg or None, "span": "2 in"}}, BENCH)
