"""What the upper wheel of a one-cam bow touches, by hand; common practice, no source.

Builders reckon it so: axles 34 in apart and 7 in of brace leave 17 in of string between nocking
point and wheel; drawn to 27 1/4 in from the pivot, that stretch is longer by
sqrt(20 1/4 ^2 + 17^2) - 17 = 9.4 in, all of it come over the wheel; half a turn of a wheel of
1.4 in radius is 4.4 in more; together about 14 in. It leaves the limbs' travel out. Nobody printed
it as a measurement.
"""

from __future__ import annotations

from importlib.resources import files

import numpy as np
import pytest
from numpy.typing import NDArray

from strandwright.planning.bow.known import question
from strandwright.planning.bow.model import BowModel, model_bow
from strandwright.planning.bow.touched import covers, touched_parts
from strandwright.planning.plan_line import plan_line
from strandwright.planning.result import Plan
from strandwright.workshop.job import Job, job_from_table, read_job

INCH = 0.0254
SOURCE = "Upper wheel of a one-cam bow: axles 34 in apart, brace 7 in, 27 1/4 in from the pivot"
Floats = NDArray[np.float64]


@pytest.fixture(scope="module")
def bow() -> tuple[Job, Plan, BowModel]:
    """The scree bow made to the hand sum's figures, its wheel served over a run of 37 in."""
    text = (files("strandwright") / "examples" / "scree-string.toml").read_text(encoding="utf-8")
    table = read_job(text).model_dump(mode="json", exclude_defaults=True)
    for name in ("draw_board", "now", "wanted", "trials", "arrow", "shot"):
        table["bow"].pop(name, None)
    table["bow"] |= {
        "axle_to_axle": "34 in",
        "brace_height": "7 in",
        "draw_length": "29 in",
        "upper_wheel": "2.8 in",
        "nock_height": "0 in",
    }
    table["line"]["shorthand"] = "98 5/8: 0-13 1/2, 26 1/4-30 3/4, 36-73, 17-0"
    job = job_from_table(table)
    plan = plan_line(job)
    return job, plan, model_bow(question(job, plan))


def _gained(model: BowModel, *, travels: bool) -> Floats:
    """Free string from nocking point to wheel, gained by the draw, as the hand sum has it.

    The wheel's side towards the archer, where the string leaves it at brace, stays where it is or
    goes with the axle.
    """
    cycle = model.family.cycle
    rig = cycle.rig
    tip, nock = rig.bow.tip(0), rig.bow.nock
    braced, drawn = (rig.poses(cycle.q[:, p]).at[:, :, :2] for p in (0, -1))
    leaves = braced[:, tip] + [1.4 * INCH, 0.0]
    then = leaves + (drawn[:, tip] - braced[:, tip] if travels else 0.0)
    return np.hypot(*(drawn[:, nock] - then).T) - np.hypot(*(braced[:, nock] - leaves).T)


def test_the_hand_sum_holds_with_the_axle_held_still(
    record, bow: tuple[Job, Plan, BowModel]
) -> None:
    """The model's bows at brace and drawn, their axles held where they are at brace."""
    gained = float(_gained(bow[2], travels=False).mean()) / INCH
    wrapped = np.pi * 1.4
    record(SOURCE, "string gained, axle held", "9.4", gained, 0.2,
           "the model's string leaves the wheel half its thickness further out, and its draw is "
           "known to 1/8 in", "in")  # fmt: skip
    record(SOURCE, "half a turn of the wheel", "4.4", wrapped, 0.05,
           "printed to a tenth", "in")  # fmt: skip
    record(SOURCE, "together", "14", gained + wrapped, 1.0, "told as about", "in")


def test_the_contact_is_the_hand_sum_with_the_axle_where_it_goes(
    bow: tuple[Job, Plan, BowModel],
) -> None:
    """The limbs bend, the axle comes in and towards the archer, and less string is gained.

    The hand sum wraps half a turn at full draw too, and the model does not; within 1 in.
    """
    job, plan, model = bow
    wheel = next(p for p in touched_parts(job, plan, model) if p.on == "upper wheel")
    touched = (wheel.stop.value - wheel.start.value) / INCH
    hand = float(_gained(model, travels=True).mean()) / INCH + np.pi * 1.4
    assert touched == pytest.approx(hand, abs=1.0)
    assert touched < 14.0, "the limbs' travel takes from the sum that leaves it out"


def test_a_run_of_37_in_is_served_two_and_a_half_times_over(
    record, bow: tuple[Job, Plan, BowModel]
) -> None:
    """Such strings are met with served over 37 in at the wheel."""
    job, plan, model = bow
    cover = next(c for c in covers(plan, touched_parts(job, plan, model)) if c.name == "wheel")
    assert cover.times_needed is not None
    assert cover.wanted_start is not None
    assert cover.wanted_stop is not None
    record(SOURCE, "served run of 37 in over what is touched", "2.5", cover.times_needed, 0.6,
           "told as about; 37 over the hand sum's 14 is 2.6")  # fmt: skip
    with_margin = 37.0 * INCH / (cover.wanted_stop - cover.wanted_start)
    record(SOURCE, "the same over what is touched and its margin", "2.5", with_margin, 0.4,
           "a margin of 1/2 in and the doubt either way")  # fmt: skip
