"""Split and laid-in lines: from the words of the job to sections, loops and a plan that lands."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from strandwright.errors import SpecError
from strandwright.line.laid_in import LaidInModel
from strandwright.line.layout import lay_out
from strandwright.line.route import Order
from strandwright.line.states import ClosedCase
from strandwright.planning.makings.yoke import leg_turns
from strandwright.planning.plan_line import plan_line
from strandwright.planning.prepare import at_mean, order_of, prepare
from strandwright.units import INCH
from strandwright.workshop.job import Job, read_job
from strandwright.workshop.makings import SplitYoke

LAID = """
id = "HEATH-9"
name = "String of the heath bow"
[bow]
kind = "longbow"
draw_weight = "45 lbf"
[line]
name = "string"
finished = "64 1/4 in"
zero_end = { name = "upper limb", size = "3 1/4 in" }
far_end = { name = "lower limb", size = "2 3/4 in" }
laid = { bundles = 2 }
servings = [
  { name = "centre", use = "centre", thread = "nylon-017", start = "29 in", stop = "36 in" },
]
[makeup]
strand = "polyester"
strands = 14
[bench]
zero_post = "1/2 in"
longest = "80 in"
gauge = "spring scale"
"""
YOKE = """
id = "CRAG-9"
name = "Cable of the crag bow"
[bow]
kind = "two-cam"
draw_weight = "60 lbf"
[line]
name = "upper cable"
kind = "cable"
finished = "36 7/8 in"
shorthand = "36 7/8: 0-9 1/2, 15 1/4-21 3/4, 27 3/8-28 7/8, 4-0"
zero_end = { name = "cam", size = "7/8 in", thread = "braid-018" }
far_end = { name = "axle", size = "1 in", thread = "braid-018" }
yoke = { leg = "8 in" }
servings = [
  { name = "cam end", use = "track", thread = "braid-016" },
  { name = "slide", use = "free", thread = "braid-018" },
  { name = "throat", use = "throat", thread = "braid-018" },
  { name = "leg ends", use = "end", thread = "braid-018" },
]
[makeup]
strand = "hmpe-lcp"
strands = 24
[bench]
zero_post = "1/2 in"
longest = "120 in"
gauge = "load cell"
"""


def job(text: str, **instead: str) -> Job:
    """The job, some of its text put otherwise."""
    for old, new in instead.items():
        text = text.replace(old, new)
    return read_job(text)


def changed(text: str, old: str, new: str) -> Job:
    """The job with one piece of its text changed; it has to be there."""
    assert old in text
    return read_job(text.replace(old, new))


def test_a_yoke_is_a_body_and_two_legs_of_half_the_strands() -> None:
    """Leg length from the far end, turns by practice's rate, half a bundle in each loop."""
    prepared = prepare(job(YOKE), 36.875 * INCH)
    body, legs = prepared.model.line.parts
    assert body.stop == pytest.approx(28.875 * INCH)
    assert (legs.members, legs.turns, legs.takes_turns) == (2, 3.5, False)
    zero, far = prepared.model.line.zero, prepared.model.line.far
    assert far.throat_offset == pytest.approx(zero.throat_offset / 2**0.5)


def test_a_yokes_plan_lands_and_its_throat_stops_where_the_legs_part() -> None:
    """Every order of work brings the cable to its length, the throat to its place."""
    for order in Order:
        text = YOKE + f'[route]\norder = "{order.value}"\n'
        plan = plan_line(job(text))
        assert plan.landing.chance > 0.9
        throat = next(s for s in plan.servings if s.use == "throat")
        assert throat.stop.value == pytest.approx(28.875 * INCH, abs=1e-3)
        assert throat.thread_length.value > 0.0


def test_thread_of_the_legs_counts_for_both() -> None:
    """A serving on the legs is laid twice."""
    plan = plan_line(job(YOKE))
    throat, ends = plan.servings[2], plan.servings[3]
    a_wrap = [s.thread_length.value / s.wraps.value for s in (throat, ends)]
    thinner = (ends.outside.value - 0.014 * INCH) / (throat.outside.value - 0.014 * INCH)
    assert a_wrap[1] / a_wrap[0] == pytest.approx(2.0 * thinner, rel=0.02)


def test_a_laid_in_line_is_set_by_its_pegs_and_lands() -> None:
    """The pegs stand nearly at the finished length, and the plan comes to it."""
    plan = plan_line(job(LAID))
    prepared = prepare(job(LAID), plan.target.length.value)
    assert isinstance(prepared.model, LaidInModel)
    assert order_of(job(LAID)) is Order.TWIST_THEN_SERVE
    take_up = plan.winding.posts_outside.value - plan.target.length.value
    assert -0.5 * INCH < take_up < 3.0 * INCH
    assert plan.spread.mean[plan.spread.index("finished")] == pytest.approx(
        plan.target.length.value, abs=INCH / 16
    )
    assert plan.stages[0].key == "bare"
    assert plan.stages[0].turns == 0.0


def test_a_peg_further_off_lays_a_longer_line() -> None:
    """Setting and round go up and down together; the guess is the inverse but for the pull."""
    prepared = prepare(job(LAID), 64.25 * INCH)
    model, q = prepared.model, at_mean(prepared.parameters)
    near, far = (model.wound(q, s * INCH).natural_loop[0] for s in (64.0, 65.0))
    assert 0.5 * (far - near) == pytest.approx(INCH, rel=5e-3)
    back = model.setting_for(q, np.array([near]))[0]
    assert back == pytest.approx(64.0 * INCH, abs=3e-3)


def test_bundles_that_lie_further_out_take_up_more() -> None:
    """The effect of a turn goes with the mean square distance of the strands from the axis."""
    prepared = prepare(job(LAID), 64.25 * INCH)
    model = prepared.model
    q = {name: np.array([v[0]] * 2) for name, v in at_mean(prepared.parameters).items()}
    q["lay"], q["share"] = np.array([1.0, 1.5]), np.array([1.0 - 1e-9] * 2)
    stage = model.route.stage("proof")
    lengths: list[np.ndarray] = []
    for turns in (0.0, 20.0):
        naturals = np.tile(model.layout.lengths, (2, 1))
        case = ClosedCase(stage, np.full(2, 400.0), naturals, np.full(2, turns))
        lengths.append(model.closed_states(q, [case])[0].length)
    taken = lengths[0] - lengths[1]
    assert taken[1] / taken[0] == pytest.approx(1.5, rel=0.01)


def test_three_bundles_are_one_section_more_than_none() -> None:
    """Both married ends are thicker, the body is as it is."""
    made = prepare(changed(LAID, "bundles = 2", "bundles = 3"), 64.25 * INCH).model.line
    assert made.bundles == 3
    assert [s.strands for s in made.parts] == [1.5, 1.0, 1.5]


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("strands = 24", "strands = 22", "multiple of 4"),
        ('leg = "8 in"', 'leg = "40 in"', "shorter than the line"),
        ('leg = "8 in"', 'leg = "8 in", turns = 30.0', "2 turns per inch"),
        ('leg = "8 in"', 'leg = "8 in", turns = 3.0, twist = "1 per in"', "stand alone"),
        ('leg = "8 in"', 'leg = "9 in"', "stop where the legs part"),
        ('use = "throat"', 'use = "free"', "one with the use throat"),
        ("4-0", "8 1/2-0", "overlap|lie over|parts"),
    ],
)
def test_yokes_that_cannot_be_are_refused(old: str, new: str, says: str) -> None:
    """Each by name of the field, the value, the rule and what to do."""
    with pytest.raises(SpecError, match=says):
        plan_line(changed(YOKE, old, new))


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("bundles = 2", 'bundles = 2, married = "31 in"', "leave a body"),
        ("laid =", 'yoke = { leg = "5 in" }\nlaid =', "stand alone"),
        ('use = "centre"', 'use = "throat"', "parts in two legs"),
    ],
)
def test_laid_in_lines_that_cannot_be_are_refused(old: str, new: str, says: str) -> None:
    """Each by name of the field, the value, the rule and what to do."""
    with pytest.raises(SpecError, match=says):
        plan_line(changed(LAID, old, new))


def test_leg_turns_may_be_a_rate() -> None:
    """Turns per length of the leg come to half turns."""
    yoke = SplitYoke.model_validate({"leg": "8 in", "twist": "0.5 per in"})
    assert leg_turns(yoke) == 4.0


def test_hard_twisted_or_spread_legs_weaken_a_yoke() -> None:
    """Legs of few turns side by side leave it as its body; many turns or a wide span do not."""
    strong = YOKE.replace("strands = 24", "strands = 40")
    usual = plan_line(changed(strong, 'leg = "8 in"', 'leg = "8 in", turns = 3.0')).strength
    none = plan_line(changed(strong, 'leg = "8 in"', 'leg = "8 in", turns = 0.0')).strength
    assert usual.derated.value == pytest.approx(none.derated.value, rel=0.03)
    hard = plan_line(changed(strong, 'leg = "8 in"', 'leg = "8 in", turns = 15.0')).strength
    assert hard.derated.value < 0.85 * usual.derated.value
    wide = 'leg = "8 in", turns = 3.0, span = "11 in"'
    spread = plan_line(changed(strong, 'leg = "8 in"', wide)).strength
    assert spread.derated.value < 0.95 * usual.derated.value


@pytest.mark.parametrize(
    ("text", "old", "new", "says"),
    [
        (LAID, "bundles = 2", 'bundles = 2, step = "7 in"', "longer than the line itself"),
        (
            LAID,
            "bundles = 2",
            'bundles = 2, step = "14 in", board = "two nails"',
            "longer than the line itself",
        ),
        (YOKE, '{ name = "cam", ', '{ name = "cam", reinforced = 12, ', "of a skein's loop"),
    ],
)
def test_tails_and_pieces_that_cannot_be_are_refused(
    text: str, old: str, new: str, says: str
) -> None:
    """Strands of no length, and reinforcement where no plan reckons with it."""
    with pytest.raises(SpecError, match=says):
        _ = plan_line(changed(text, old, new)).winding


@pytest.mark.parametrize(
    ("laid", "field", "says"),
    [
        ('married = "0.01 in"', "line.laid.married", "must be 1 in .* nothing presses on a tail"),
        ('married = "0 in"', "line.laid.married", "marry 4 to 6 in"),
        ("angle = 2.0", "line.laid.angle", "must be 5 degrees or more: .* hold no tail"),
        ("angle = 0.0", "line.laid.angle", "must be more than 0; mend the number"),
    ],
)
def test_tails_that_no_lay_holds_are_refused_by_their_field(
    laid: str, field: str, says: str
) -> None:
    """Next to no married part, or bundles next to straight: field, rule, reason and remedy."""
    with pytest.raises(SpecError, match=says) as caught:
        plan_line(changed(LAID, "bundles = 2", f"bundles = 2, {laid}"))
    assert caught.value.field == field


def test_sections_that_do_not_fit_are_refused_by_the_field_that_makes_them() -> None:
    """The far leg of a yoke that ends inside its loop: the job's field, not the section's name."""
    made = prepare(changed(YOKE, 'leg = "8 in"', 'leg = "8 in"'), 36.875 * INCH).model.line
    for section, field in zip(made.parts, ("line.finished", "line.yoke.leg"), strict=True):
        assert section.field == field
    legs = replace(made.parts[1], start=made.length - 0.001)
    body = replace(made.parts[0], stop=made.length - 0.001)
    with pytest.raises(SpecError, match="must let the legs reach into the body") as caught:
        lay_out(replace(made, servings=(), sections=(body, legs)))
    assert caught.value.field == "line.yoke.leg"


def test_pieces_that_end_in_the_loop_are_refused() -> None:
    """All pieces run past the throat, or nothing holds them."""
    skein = changed(LAID, "laid = { bundles = 2 }\n", "")
    assert skein.line.laid is None
    for run, fits in (("1/4 in", False), ("6 in", True)):
        end = skein.line.far_end.model_validate(
            skein.line.far_end.model_dump() | {"reinforced": 14, "reinforced_length": run}
        )
        job = skein.model_copy(update={"line": skein.line.model_copy(update={"far_end": end})})
        if fits:
            assert plan_line(job).strength.places
        else:
            with pytest.raises(SpecError, match="past the loop's throat"):
                plan_line(job)
