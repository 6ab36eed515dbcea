"""Conversion: a reading is carried to another condition honestly, whatever is known of it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from sample_job import INCH, LBF, exact, job_of
from strandwright.errors import GeometryError, LimitError
from strandwright.planning.conversion import (
    ReadingCondition,
    convert_reading,
    convert_readings,
    load_parameter,
)
from strandwright.planning.readings.tape import tape_scale, tape_uncertainty
from strandwright.planning.take_off.target import measuring_condition
from strandwright.reference import practice, strand
from strandwright.units import Dimension, parse

TIGHT = parse(Dimension.LENGTH, "57 1/4 in +- 1/64", field="length")
BARE = {"original.readings": None}
#: What is noted of an original that was looked at well
LOOKED_AT = {
    "original.strands": [{"colour": "green", "strands": 24}],
    "original.zero_loop": "7/8 in",
    "original.far_loop": "7/8 in",
}


def force(text):
    """Read a load."""
    return parse(Dimension.FORCE, text, field="load")


def length(text):
    """Read a length."""
    return parse(Dimension.LENGTH, text, field="length")


def condition(load, pin=INCH / 4.0, **more):
    """Read at this load over equal pins."""
    return ReadingCondition(force(load) if load[0].isdigit() else load, pin, pin, **more)


@pytest.mark.parametrize("load", ["40 lbf +- 1", "100 lbf +- 3", "180 lbf +- 3"])
@pytest.mark.parametrize("pin", [INCH / 4.0, INCH / 2.0])
def test_there_and_back(load, pin):
    """A length carried to another condition and back is the length that was read."""
    job = job_of(changes=BARE)
    read, wanted = condition(load, pin), condition("100 lbf +- 3")
    there = convert_reading(job, TIGHT, read, wanted).length.value
    back = convert_reading(job, length(f"{exact(there)} +- 0.01 mm"), wanted, read).length.value
    # Both ways give means over what is unknown, and a mean of a bent curve is not the curve of
    # the mean: that is all that may be left.
    assert back == pytest.approx(TIGHT.si, abs=0.03e-3)


def test_same_condition_changes_nothing():
    """Carried to the condition it was read in, a length keeps its value and its tape's +-."""
    job = job_of(changes=BARE)
    read = condition("100 lbf +- 0.001")
    found = convert_reading(job, TIGHT, read, condition("100 lbf +- 0.001"))
    assert found.shift.value == pytest.approx(0.0, abs=1e-6)
    tape = np.hypot(TIGHT.standard_uncertainty or 0.0, TIGHT.si * tape_scale(job))
    assert found.length.u == pytest.approx(tape, rel=0.01)
    assert {row.parameter for row in found.budget[:2]} == {"tape_0", "tape_scale"}


def test_harder_pulls_and_thicker_pins():
    """Read at a higher load it is really shorter; read over thicker posts, really longer."""
    job, wanted = job_of(changes=BARE), condition("100 lbf")
    shifts = [
        convert_reading(job, TIGHT, condition(f"{load} lbf +- 1"), wanted).shift.value
        for load in (30, 60, 100, 150, 250)
    ]
    assert (np.diff(shifts) < 0.0).all()
    pins = [
        convert_reading(job, TIGHT, condition("100 lbf +- 1", pin), wanted).shift.value
        for pin in (INCH / 4.0, 3.0 * INCH / 8.0, INCH / 2.0)
    ]
    assert (np.diff(pins) > 0.0).all()


def test_the_less_is_known_of_the_load_the_wider():
    """A strap of unknown pull is worth less than a hand-tight reading, that less than a gauge."""
    job, wanted = job_of(changes=BARE), measuring_condition(job_of())
    u = [
        convert_reading(job, TIGHT, condition(load), wanted).length.u
        for load in ("100 lbf +- 3", "hand-tight", "unknown")
    ]
    assert u[0] < u[1] < u[2]


def test_an_unmeasured_load_leads_the_budget():
    """Where nobody knew the pull, the budget says that this is what makes the +-."""
    job = job_of(changes=BARE)
    found = convert_reading(job, TIGHT, condition("unknown"), measuring_condition(job))
    assert found.budget[0].parameter == "load_0"
    assert sum(c.share for c in found.budget) == pytest.approx(1.0)


def test_warm_reading_is_put_right_by_hand_arithmetic():
    """Fibre and steel tape part company with temperature: L (alpha_fibre - alpha_tape) dT."""
    job, wanted = job_of(changes=BARE), condition("100 lbf")
    cold = condition("100 lbf +- 1")
    warm = replace(cold, temperature=cold.temperature + 20.0)
    moved = (
        convert_reading(job, TIGHT, warm, wanted).length.value
        - convert_reading(job, TIGHT, cold, wanted).length.value
    )
    apart = strand("hmpe-lcp").expansion.value - practice("tape.expansion").value
    assert moved == pytest.approx(-apart * 20.0 * TIGHT.si, rel=0.05)
    assert moved > 0.0


@pytest.mark.parametrize(("text", "relative"), [("100 lbf +- 4", 0.02), ("100 lbf +- 10 %", 0.05)])
def test_a_load_is_as_sure_as_stated(text, relative):
    """A +- beside the load is its 95 % half-range; without one the bench's gauge speaks."""
    known = load_parameter("load", force(text))
    assert known.mean == pytest.approx(100 * LBF)
    assert known.standard_uncertainty == pytest.approx(relative)
    assert known.scale == "log"
    assert load_parameter("load", force("100 lbf")) is None


def test_a_plain_reading_has_the_tapes_own_doubt():
    """A length without +- has the look's 0.007 in and its rounding, here to 1/32 in."""
    job = job_of(changes=BARE)
    assert tape_uncertainty() == pytest.approx(0.007 * INCH)
    found = convert_reading(
        job, length("57 1/4 in"), condition("100 lbf +- 0.001"), condition("100 lbf +- 0.001")
    )
    rows = {c.parameter: c.standard_uncertainty for c in found.budget}
    rounding = INCH / 32.0 / math.sqrt(12.0)
    assert rows["tape_0"] == pytest.approx(math.hypot(0.007 * INCH, rounding), rel=1e-3)
    assert rows["tape_scale"] == pytest.approx(TIGHT.si * tape_scale(job), rel=1e-3)


def test_a_cloth_tape_is_trusted_less():
    """The scale of the tape is part of what was read by it."""
    read, wanted = condition("100 lbf +- 1"), condition("100 lbf")
    u = [
        convert_reading(job_of(changes=BARE | {"bench.tape": t}), TIGHT, read, wanted).length.u
        for t in ("steel", "glass fibre", "cloth")
    ]
    assert u[0] < u[1] < u[2]


def test_one_gauge_read_both():
    """Loads without +- err together, by the gauge; loads with their own err apart."""
    job = job_of(changes=BARE | LOOKED_AT | {"bench.gauge_uncertainty": "20 %"})
    wanted = measuring_condition(job)

    def correlation(*loads):
        pairs = [(length("57 1/4 in +- 0.001"), condition(load)) for load in loads]
        c = convert_readings(job, pairs, wanted).covariance
        return c[0, 1] / np.sqrt(c[0, 0] * c[1, 1])

    together = correlation("100 lbf", "100 lbf")
    apart = correlation("100 lbf +- 40", "100 lbf +- 40")
    assert together > 0.99
    assert apart < 0.7


def test_the_order_of_readings_does_not_matter():
    """Readings put in another order come to the same, each with its own."""
    job = job_of(changes=BARE)
    pairs = [
        (length("57 in +- 1/32"), condition("hand-tight", INCH / 2.0)),
        (length("57 3/16 in"), condition("100 lbf")),
        (length("57 1/4 in +- 1/16"), condition("150 lbf +- 10")),
    ]
    order = [2, 0, 1]
    one = convert_readings(job, pairs, measuring_condition(job))
    two = convert_readings(job, [pairs[i] for i in order], measuring_condition(job))
    assert two.lengths == pytest.approx(one.lengths[order], abs=1e-9)
    assert two.covariance == pytest.approx(one.covariance[np.ix_(order, order)], rel=1e-6)


def test_the_originals_own_loops_carry_the_pins():
    """Small eyes lose more over thick posts than large ones; unmeasured ones leave more doubt."""
    read, wanted = condition("100 lbf +- 1", INCH / 2.0), condition("100 lbf")

    def carried(**loops):
        changes = {f"original.{name}": size for name, size in loops.items()}
        return convert_reading(job_of(changes=BARE | changes), TIGHT, read, wanted)

    small = carried(zero_loop="7/8 in", far_loop="7/8 in")
    large = carried(zero_loop="3 in", far_loop="3 in")
    # Over 1/4 -> 1/2 in pins two bare rings would lose 0.143 in; closed eyes lose more.
    assert 0.143 * INCH < large.shift.value < small.shift.value - 0.05 * INCH
    assert small.length.u < carried().length.u


def test_the_originals_own_strands_carry_the_load():
    """Fewer strands stretch more between hand-tight and the measuring load."""
    read, wanted = condition("20 lbf +- 1"), condition("100 lbf")
    shifts = [
        convert_reading(
            job_of(changes=BARE | {"original.strands": [{"colour": "green", "strands": n}]}),
            TIGHT, read, wanted,
        ).shift.value
        for n in (16, 24, 32)
    ]  # fmt: skip
    assert (np.diff(shifts) < 0.0).all()


def test_a_thick_bundle_twists_shorter():
    """The original's diameter says how it packs, and so what its turns take up with load."""
    read, wanted = condition("20 lbf +- 1"), condition("100 lbf")
    shifts = [
        convert_reading(
            job_of(changes=BARE | {"original.bare_diameter": d}), TIGHT, read, wanted
        ).shift.value
        for d in ("0.095 in", "0.115 in")
    ]
    assert shifts[0] != pytest.approx(shifts[1], abs=1e-5)


def test_a_loop_that_was_on_its_post_closes_round_it():
    """A loop that just fits a post gives an answer, though its size is not known that well."""
    job = job_of(changes=BARE | {"line.zero_end.size": "0.87 in", "line.far_end.size": "0.87 in"})
    found = convert_reading(job, TIGHT, condition("20 lbf", INCH / 2.0), condition("100 lbf"))
    assert np.isfinite(found.length.value)
    assert found.length.u < INCH / 4.0


def test_a_post_too_thick_for_the_loop_is_refused():
    """The pin is named as it was entered, with the loop and what to look at."""
    thick = replace(condition("100 lbf", 0.75 * INCH), fields=("load", "here", "there"))
    with pytest.raises(GeometryError) as caught:
        convert_reading(job_of(changes=BARE), TIGHT, thick, condition("100 lbf"))
    assert caught.value.field == "here"
    assert "line.zero_end" in caught.value.rule
    with pytest.raises(GeometryError):
        convert_reading(job_of(changes=BARE), TIGHT, condition("100 lbf"), thick)


def test_a_load_no_line_holds_is_refused():
    """What would break the line cannot have been read."""
    with pytest.raises(LimitError) as caught:
        convert_reading(job_of(changes=BARE), TIGHT, condition("9000 lbf"), condition("100 lbf"))
    assert caught.value.field == "load"
