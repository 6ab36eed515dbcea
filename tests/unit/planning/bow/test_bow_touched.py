"""What the bow touches of a line, and what the servings cover of that."""

from __future__ import annotations

import pytest
from asked_bow import Asked

from sample_job import CABLE, INCH, RIDGE, job_of, plan_of
from strandwright.errors import SpecError
from strandwright.planning.bow.touched import covers, lane_of, touched_parts


def test_a_string_on_two_like_wheels_is_touched_alike_at_both_ends(two_cam: Asked) -> None:
    """It begins and ends on a wheel, and mirrored cams lay up the same length at brace."""
    lower, upper = touched_parts(two_cam.job, two_cam.plan, two_cam.model)
    length = two_cam.plan.target.length.value
    assert (lower.on, upper.on) == ("lower wheel", "upper wheel")
    assert (lower.start.value, upper.stop.value) == (0.0, length)
    assert lower.at_brace.value == pytest.approx(upper.at_brace.value, rel=1e-3)
    assert lower.stop.value == pytest.approx(length - upper.start.value, abs=0.75 * INCH)


def test_touched_is_never_less_than_at_brace(one_cam: Asked, two_cam: Asked) -> None:
    """What lies on a track at brace is part of what is touched; parts go from the zero end on."""
    for bow in (one_cam, two_cam):
        parts = touched_parts(bow.job, bow.plan, bow.model)
        assert [p.start.value for p in parts] == sorted(p.start.value for p in parts)
        assert all(p.at_brace.value <= p.stop.value - p.start.value + 0.5 * INCH for p in parts)
        assert all(p.start.value < p.stop.value for p in parts)


def test_a_line_laid_the_other_way_is_touched_in_mirror_image(two_cam: Asked) -> None:
    """Ends that change names mirror every place."""
    job = two_cam.job
    ends = {
        "line.zero_end": job.line.far_end.model_dump(mode="json", exclude_none=True),
        "line.far_end": job.line.zero_end.model_dump(mode="json", exclude_none=True),
    }
    there = touched_parts(job, two_cam.plan, two_cam.model)
    back = touched_parts(job_of(RIDGE, ends), two_cam.plan, two_cam.model)
    length = two_cam.plan.target.length.value
    for part, other in zip(there, reversed(back), strict=True):
        assert part.on == other.on
        assert part.start.value == pytest.approx(length - other.stop.value, abs=1e-9)


def test_the_wheel_serving_covers_what_is_touched_with_its_margin(one_cam: Asked) -> None:
    """What is wanted holds the touched part and 1/2 in either way; the rest is beyond."""
    parts = touched_parts(one_cam.job, one_cam.plan, one_cam.model)
    wheel = next(part for part in parts if part.on == "upper wheel")
    cover = next(c for c in covers(one_cam.plan, parts) if c.name == "wheel")
    serving = next(s for s in one_cam.plan.servings if s.name == "wheel")
    assert cover.wanted_start is not None
    assert cover.wanted_stop is not None
    assert cover.wanted_start <= wheel.start.value - 0.5 * INCH
    assert cover.wanted_stop >= wheel.stop.value + 0.5 * INCH
    served = serving.stop.value - serving.start.value
    assert cover.times_needed == pytest.approx(served / (wheel.stop.value - wheel.start.value))
    wanted = cover.wanted_stop - cover.wanted_start
    assert served == pytest.approx(wanted + cover.beyond - cover.short)
    assert cover.beyond_mass == pytest.approx(cover.beyond * serving.mass.value / served)


def test_a_serving_that_falls_short_is_told(one_cam: Asked) -> None:
    """The same bow, its wheel serving begun 3 in later: those inches are missing."""
    parts = touched_parts(one_cam.job, one_cam.plan, one_cam.model)
    shorthand = "98 5/8: 0-13 1/2, 26 1/4-30 3/4, 46-58 1/2, 17-0"
    plan = plan_of("scree-string", {"line.shorthand": shorthand})
    before, after = (
        next(c for c in covers(p, parts) if c.name == "wheel") for p in (one_cam.plan, plan)
    )
    assert before.short == 0.0
    assert after.short == pytest.approx(3.0 * INCH - before.beyond, abs=0.5 * INCH)
    assert after.short > 1.5 * INCH


def test_a_serving_where_nothing_is_touched_is_left_alone(two_cam: Asked) -> None:
    """A string stop touches nothing the tracks know of; the centre is there for the nock."""
    parts = touched_parts(two_cam.job, two_cam.plan, two_cam.model)
    found = {cover.name: cover for cover in covers(two_cam.plan, parts)}
    assert set(found) == {"lower end", "stop", "upper end"}
    assert found["stop"].wanted_start is None
    assert (found["stop"].beyond, found["stop"].short) == (0.0, 0.0)


def test_a_cable_is_told_by_its_name(two_cam: Asked) -> None:
    """Which of two cables it is stands in its name, or is asked for."""
    assert lane_of(job_of(CABLE), two_cam.model).line == "upper cable"
    lower = job_of(CABLE, {"line.name": "the lower one"})
    assert lane_of(lower, two_cam.model).line == "lower cable"
    with pytest.raises(SpecError) as caught:
        lane_of(job_of(CABLE, {"line.name": "cable"}), two_cam.model)
    assert caught.value.field == "line.name"
    assert "upper cable, lower cable" in caught.value.rule


def test_the_only_cable_of_a_one_cam_bow_needs_no_name(one_cam: Asked) -> None:
    """There is but one."""
    job = job_of(CABLE, {"bow.kind": "one-cam", "line.name": "cable"})
    assert lane_of(job, one_cam.model).line == "cable"
