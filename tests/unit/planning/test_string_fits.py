"""Fits of a recurve's or longbow's string: its nock by strands and wraps, its upper loop."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandwright.errors import LimitError
from strandwright.line.serving_geometry import served_span
from strandwright.planning.examples import example
from strandwright.planning.fits.nock import strands_for, strands_text, trial_text
from strandwright.planning.fits.upper_loop import upper_loop_fits
from strandwright.planning.plan_line import plan_line
from strandwright.planning.result import Fit
from strandwright.workshop.job import Job, job_from_table

INCH = 0.0254
LIMB = {"name": "limb tip", "diameter": "7/16 in"}


def job(name: str = "MERE-1", **changes: Any) -> Job:
    """An example's job with other entries."""
    table = example(name).model_dump(mode="json", exclude_defaults=True)
    for path, value in changes.items():
        part, field = path.split("__")
        table[part][field] = value
    return job_from_table(table)


def nock(one: Job) -> Fit:
    """How its centre serving sits in the nock."""
    return next(fit for fit in plan_line(one).fits if fit.against == "nock seat")


@given(
    core=st.floats(1.5e-3, 3.5e-3),
    strands=st.integers(8, 40),
    wanted=st.floats(2.0e-3, 4.5e-3),
)
def test_strands_found_seat_and_are_the_fewest(core: float, strands: int, wanted: float) -> None:
    """The count found brings it within what was asked, and no smaller change does."""
    span, near = (0.48e-3, 0.7), 0.08e-3

    def over(more: int) -> float:
        own = core * math.sqrt((strands + more) / strands)
        return float(served_span(own, *span, 1.0).outside_diameter)

    found = strands_for(core, strands, span, (wanted, near))
    least = 6 if found is None else abs(found[0]) - 1
    for more in range(-min(least, strands - 2), least + 1):
        assert more == 0 or abs(over(more) - wanted) > near
    if found is not None:
        assert abs(over(found[0]) - wanted) <= near
        assert found[1] == pytest.approx(over(found[0]))


def test_words_of_strands() -> None:
    """One, several, more, fewer, none."""
    assert strands_text((1, 2.8e-3), "in").startswith("; or lay 1 strand of")
    assert "lay 2 strands" in strands_text((2, 2.8e-3), "mm")
    assert "with 3 strands fewer" in strands_text((-3, 2.8e-3), "in")
    assert strands_text(None, "in") == ""


def test_a_trial_wrap_is_counted() -> None:
    """Half an inch of a round thread of 0.019 in is some twenty-six wraps."""
    text = trial_text(2.4e-3, 0.019 * INCH, 1.0, "in")
    assert text == "a trial wrap of 1/2 in, 26 wraps,"
    assert trial_text(2.4e-3, 0.019 * INCH, 1.0, "mm").startswith("a trial wrap of 13 mm")


@pytest.mark.parametrize("name", ["MERE-1", "TARN-1"])
def test_recurve_and_longbow_are_told_to_try_first(name: str) -> None:
    """Where the +- does not let it be told, the trial comes with its wraps."""
    fit = nock(job(name))
    assert fit.verdict == "cannot tell"
    assert "a trial wrap of 1/2 in" in fit.sentence
    assert "wraps, and try the nock" in fit.sentence


def test_a_loose_trial_asks_for_a_strand_more() -> None:
    """Tried and loose: which thread, or how many strands to lay under it."""
    servings = job().model_dump(mode="json", exclude_defaults=True)["line"]["servings"]
    servings[1] |= {"trial_diameter": "0.106 in", "trial_in_nock": "loose"}
    fit = nock(job(line__servings=servings))
    assert fit.verdict == "loose"
    assert "lay 1 strand" in fit.sentence or "lay 2 strands" in fit.sentence


def test_far_too_thick_asks_for_fewer_strands() -> None:
    """Twenty-two strands do not go into a nock for sixteen."""
    fit = nock(job(makeup__strands=22, makeup__colours=[]))
    assert fit.verdict == "tight"
    assert "strands fewer" in fit.sentence


# ------------------------------------------------------------------------------ the upper loop


def test_an_upper_loop_that_clears_the_limb_fits() -> None:
    """Width and thickness once, for the loop is laid flat, and a sixteenth of room."""
    limb = LIMB | {"limb_width": "1 1/4 in", "limb_thickness": "3/8 in"}
    (fit,) = upper_loop_fits(job(bow__pegs=[limb]))
    assert fit.verdict == "fits"
    assert fit.allowed == pytest.approx((1.25 + 0.375 + 0.0625) * INCH)
    assert fit.against == "limb below limb tip"
    assert fit in plan_line(job(bow__pegs=[limb])).fits


def test_one_that_is_too_small_is_told_its_size() -> None:
    """A wide limb wants a larger loop."""
    limb = LIMB | {"limb_width": "2 1/2 in", "limb_thickness": "5/8 in"}
    (fit,) = upper_loop_fits(job(bow__pegs=[limb]))
    assert fit.verdict == "tight"
    assert "make the loop 3 3/16 in or more" in fit.sentence


def test_the_limb_is_held_to_the_end_that_is_up() -> None:
    """Turned end for end the far end's loop is the upper one."""
    one = job(bow__pegs=[LIMB | {"limb_width": "2 1/4 in", "limb_thickness": "1/2 in"}])
    line = one.line
    turned = line.model_copy(update={"zero_end": line.far_end, "far_end": line.zero_end})
    (fit,) = upper_loop_fits(one.model_copy(update={"line": turned}))
    assert fit.what == "upper limb loop"
    assert fit.verdict == "fits"


def test_loops_changed_about_are_told() -> None:
    """An upper loop smaller than the lower one is looked at."""
    one = job(line__zero_end={"name": "upper limb", "size": "2 1/4 in", "thread": "braid-018"})
    (fit,) = upper_loop_fits(one)
    assert fit.against == "lower loop"
    assert "changed about" in fit.sentence


def test_nothing_is_said_where_nothing_was_measured() -> None:
    """The examples' loops are as usual, their limbs not measured; a cam has no limb to slide on."""
    assert upper_loop_fits(job()) == ()
    assert upper_loop_fits(example("RIDGE-1")) == ()


def test_a_limb_that_cannot_be_is_refused() -> None:
    """A limb of a foot is a slip of the unit."""
    with pytest.raises(LimitError, match=r"bow\.pegs\[1\]\.limb_width"):
        plan_line(job(bow__pegs=[LIMB | {"limb_width": "12 in", "limb_thickness": "1/2 in"}]))


def test_the_beck_bow_is_planned_from_the_brace_height_wanted() -> None:
    """No length is asked for: a lower brace wants a longer string, its centre about the nock."""
    plan = plan_line(example("BECK-1"))
    original = plan.target.original
    assert original is not None
    assert 0.3 * INCH < plan.target.length.value - original.length.value < 0.55 * INCH
    start, stop = (place.value for place in (plan.servings[1].start, plan.servings[1].stop))
    nock = 0.5 * plan.target.length.value - 0.375 * INCH
    assert nock - start == pytest.approx(2.5 * INCH, abs=INCH / 8)
    assert stop - nock == pytest.approx(5.0 * INCH, abs=INCH / 8)
    assert {fit.against: fit.verdict for fit in plan.fits}["limb below limb tip"] == "fits"
