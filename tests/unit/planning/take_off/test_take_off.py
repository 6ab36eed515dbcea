"""Take-off: whatever is known of the original comes to one length, with an honest +-."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from sample_job import INCH, RIDGE, job_of
from strandwright.errors import GeometryError, SpecError
from strandwright.planning.plan_line import plan_line
from strandwright.planning.take_off.target import (
    default_tolerance,
    find_target,
    measuring_condition,
    original_length,
)


def with_readings(*readings, label=None, **more):
    """Give the job whose original was read so, and that names no length of its own."""
    original = {"turns": 27.0, "readings": list(readings), **more}
    if label is not None:
        original["label"] = label
    drawn = "57 1/4: 0-17, 20 1/2-22 1/4, 26 3/4-30 1/2, 17-0"
    return job_of(
        changes={"original": original, "line.finished": None, "line.shorthand": drawn}
    )


def reading(length, load="100 lbf +- 3", zero_post="1/4 in"):
    """Give one reading of the original."""
    return {"length": length, "load": load, "zero_post": zero_post}


def test_two_readings_are_better_than_either():
    """Two readings are surer than each, but not as sure as if they shared nothing."""
    one = {"length": "57 in +- 1/16", "zero_post": "1/2 in", "load": "70 lbf +- 6"}
    two = {"length": "57 1/16 in +- 1/16", "zero_post": "1/2 in", "load": "130 lbf +- 10"}
    each = [original_length(with_readings(r)).length for r in (one, two)]
    both = original_length(with_readings(one, two)).length
    assert both.u < min(e.u for e in each)
    alone = 1.0 / np.sqrt(sum(1.0 / e.u**2 for e in each))
    assert both.u >= 0.999 * alone
    assert min(e.value for e in each) <= both.value <= max(e.value for e in each)


def test_a_label_is_weighed_by_its_variance():
    """Label and reading owe each other nothing: their weights are the inverse variances."""
    one = reading("56 15/16 in +- 1/32", zero_post="1/2 in")
    label = {"says": "string length", "length": "57 1/4 in"}
    read = original_length(with_readings(one)).length
    both = original_length(with_readings(one, label=label)).length
    weights = np.array([1.0 / read.u**2, 1.0 / (INCH / 32.0) ** 2])
    values = np.array([read.value, 57.25 * INCH])
    assert both.value == pytest.approx(float(weights @ values / weights.sum()), abs=1e-9)
    assert both.u == pytest.approx(float(weights.sum() ** -0.5))


def label_only(**label):
    """Give the original's length from its label alone."""
    return original_length(with_readings(label=label)).length


def test_label_of_the_string_is_its_length():
    """A string's own label is its length, to the master's 1/16 in."""
    found = label_only(says="string length", length="63 in")
    assert found.value == pytest.approx(63.0 * INCH)
    assert 2.0 * found.u == pytest.approx(INCH / 16.0)


def test_bow_length_by_the_standard_is_three_inches_more():
    """A 66 in bow by the trade's standard has a 63 in string, to 1/16 in."""
    found = label_only(says="bow length", length="66 in", convention="trade standard")
    assert found.value == pytest.approx(63.0 * INCH)
    assert 2.0 * found.u == pytest.approx(INCH / 16.0)


def test_bow_length_of_no_stated_convention_is_far_less_sure():
    """Where nobody says how the bow was measured, 3 to 4 in may come off."""
    found = label_only(says="bow length", length="66 in")
    assert 62.0 * INCH < found.value < 63.0 * INCH
    assert found.value - found.u95 < 62.2 * INCH
    assert found.value + found.u95 > 62.8 * INCH
    assert found.u > 3.0 * label_only(
        says="bow length", length="66 in", convention="trade standard"
    ).u


def test_a_labels_own_range_is_used():
    """A +- on the label stands in place of the usual one."""
    found = label_only(says="string length", length="63 in +- 1/4")
    assert found.u == pytest.approx(INCH / 8.0)


def test_the_jobs_own_length_comes_first():
    """A length asked for overrules the original; then comes the original, then the shorthand."""
    one = reading("56 15/16 in", "100 lbf", "1/2 in")
    asked = find_target(job_of(changes={"original.readings": [one]}))
    worked = find_target(with_readings(one))
    drawn = find_target(with_readings())
    assert asked.length.value == pytest.approx(57.25 * INCH)
    assert asked.length.u == 0.0
    assert worked.length == original_length(with_readings(one)).length
    assert drawn.length.value == pytest.approx(57.25 * INCH)
    assert len({asked.source, worked.source, drawn.source}) == 3


def test_no_length_at_all_is_refused():
    """A job that says nothing of a length says what it lacks."""
    bare = {"original": {}, "line.finished": None}
    servings = job_of().line.servings
    for i in range(len(servings)):
        bare |= {f"line.servings.{i}.start": f"{10 * i} in",
                 f"line.servings.{i}.stop": f"{10 * i + 5} in"}  # fmt: skip
    with pytest.raises(SpecError) as caught:
        find_target(job_of(changes=bare))
    assert caught.value.field == "line.finished"
    assert "a reading or label of the original" in caught.value.remedy


@pytest.mark.parametrize(
    ("read", "said"),
    [("56 15/16 in +- 1/32", "in keeping with"), ("56 1/2 in +- 1/32", "settle which is right")],
)
def test_original_is_held_against_what_is_asked(read, said):
    """An original that comes to another length than is asked for is spoken of."""
    notes = find_target(job_of(changes={"original.readings.0.length": read})).notes
    assert any(said in note for note in notes)


def test_tolerance_is_wider_for_long_lines_or_as_stated():
    """1/16 in, 1/8 in over 80 in, or what the job says."""
    assert default_tolerance(79.9 * INCH) == pytest.approx(INCH / 16.0)
    assert default_tolerance(80.1 * INCH) == pytest.approx(INCH / 8.0)
    stated = find_target(job_of(changes={"line.tolerance": "1/32 in"}))
    assert stated.tolerance == pytest.approx(INCH / 32.0)
    assert find_target(job_of("scree-string")).tolerance == pytest.approx(INCH / 8.0)


def test_measuring_condition_is_the_standards():
    """100 lbf over 1/4 in pins, 50 lbf for a bow under 40 lbf, or the job's own load."""
    usual = measuring_condition(job_of(RIDGE))
    light = measuring_condition(job_of(RIDGE, {"bow.draw_weight": "39 lbf"}))
    own = measuring_condition(job_of(RIDGE, {"route.measure": "80 lbf"}))
    loads = [c.load.si / 4.4482216152605 for c in (usual, light, own)]  # pyright: ignore[reportAttributeAccessIssue]
    assert loads == pytest.approx([100.0, 50.0, 80.0])
    assert usual.zero_pin == usual.far_pin == pytest.approx(INCH / 4.0)


def test_a_bare_shorthand_is_no_surer_than_a_label():
    """Its length has the master's 1/16 in, and a note says what load and pins were taken."""
    target = find_target(with_readings())
    assert target.length.u95 == pytest.approx(INCH / 16.0)
    assert any("100 lbf over 1/4 in pins" in note for note in target.notes)
    assert plan_line(with_readings()).target == target


def test_the_order_of_readings_is_nothing():
    """However the readings are listed, the length and its +- are the same."""
    three = (
        reading("57 1/4 in", "100 lbf"),
        reading("57 in +- 1/32", "hand-tight", "1/2 in"),
        reading("57 5/16 in +- 1/16", "150 lbf +- 10"),
    )
    found = [original_length(with_readings(*order)).length for order in permutations(three)]
    for other in found[1:]:
        assert other.value == pytest.approx(found[0].value, abs=1e-9)
        assert other.u == pytest.approx(found[0].u, rel=1e-6)


def test_two_that_contradict_are_named_and_widen():
    """Half an inch apart at one condition: both are named, and the +- covers the quarrel."""
    one, two = reading("57 in +- 1/64"), reading("57 1/2 in +- 1/64")
    found = original_length(with_readings(one, two))
    assert "reading 1 and reading 2 of the original contradict" in found.notes[0]
    assert found.notes[0] in find_target(with_readings(one, two)).notes
    assert 57.0 * INCH < found.length.value < 57.5 * INCH
    assert found.length.u95 > INCH / 4.0
    agreed = original_length(with_readings(one, one))
    assert not agreed.notes
    assert agreed.length.u95 < INCH / 16.0


def test_the_odd_one_of_three_is_named():
    """Where two agree, the third is the one to read again; so is a label that stands alone."""
    good, bad = reading("57 1/4 in +- 1/64"), reading("57 3/4 in +- 1/64")
    notes = original_length(with_readings(good, bad, good)).notes
    assert notes[0].startswith("reading 2 of the original does not go with the others")
    label = {"says": "string length", "length": "58 in"}
    notes = original_length(with_readings(good, good, label=label)).notes
    assert notes[0].startswith("the label of the original does not go")


def test_equal_readings_never_leave_their_range():
    """Readings that share most of what is unknown are not carried outside what was read."""
    loose, firm = reading("57 in +- 1/64", "hand-tight"), reading("57 1/8 in +- 1/64", "40 lbf")
    each = [original_length(with_readings(r)).length.value for r in (loose, firm)]
    both = original_length(with_readings(loose, firm)).length
    assert min(each) - 1e-6 <= both.value <= max(each) + 1e-6


def test_a_post_the_loop_does_not_pass_is_refused_only_if_needed():
    """A length that must come from the reading needs its pin; a length asked for does not."""
    wrong = {"original.readings.0.zero_post": "3/4 in"}
    with pytest.raises(GeometryError) as caught:
        find_target(job_of(changes=wrong | {"line.finished": None}))
    assert caught.value.field == "original.readings[1].zero_post"
    target = find_target(job_of(changes=wrong))
    assert target.length.value == pytest.approx(57.25 * INCH)
    assert any("original.readings[1].zero_post" in note for note in target.notes)
    assert plan_line(job_of(changes=wrong)).target == target


def test_a_vague_length_is_said_to_be_vague():
    """A target less sure than its tolerance says so and tells what would help."""
    said = "measure the original at a known load over known pins"
    vague = find_target(with_readings(reading("57 in", "hand-tight")))
    close = find_target(with_readings(reading("57 1/4 in +- 1/64", "100 lbf +- 2")))
    assert said in vague.notes[0]
    assert not any(said in note for note in close.notes)


def test_what_differs_from_the_original_is_noted():
    """Strands, hand and loops of another make than the new line's are spoken of."""
    notes = " ".join(find_target(job_of(changes={
        "original.strands": [{"colour": "green", "strands": 20}],
        "original.hand": "S", "original.zero_loop": "1 1/4 in", "original.far_loop": "7/8 in",
    })).notes)  # fmt: skip
    assert "20 strands, the new line 24" in notes
    assert "twisted S, the new line Z" in notes
    assert "loop at the zero end is 1 1/4 in" in notes
    assert "far end" not in notes


def test_notes_are_in_the_papers_units():
    """On metric paper no note speaks of inches."""
    job = job_of(changes={"paper": {"units": "mm"}, "line.finished": None,
                          "original.readings.0.load": "hand-tight"})  # fmt: skip
    notes = " ".join(find_target(job).notes)
    assert "mm" in notes
    assert " in " not in notes.replace("stand in", "").replace("as in", "")
    assert "lbf" not in notes


def test_a_diameter_that_cannot_be_is_noted():
    """A bundle twice too thick for its strands means that one of the two was misread."""
    odd, sound = (
        find_target(job_of(changes={"original.bare_diameter": d})).notes
        for d in ("0.24 in", "0.105 in")
    )
    assert any("count and measure again" in note for note in odd)
    assert not any("count and measure again" in note for note in sound)
