"""What a job says of its riser: cable guard, string stop and limb bolts, answered and refused."""

from __future__ import annotations

from typing import Any

import pytest
from asked_bow import Asked, asked

from sample_job import CABLE, INCH, LBF, MERE, RIDGE, job_of, plan_of
from strandwright.bow.contact import ROLLER
from strandwright.bow.on_riser import SLIDE, STRING_STOP
from strandwright.errors import SpecError
from strandwright.planning.bow.bolts import BoltTurn, bolt_turn
from strandwright.planning.bow.guarding import Guarding, bare_parts, guarding
from strandwright.planning.bow.known import question
from strandwright.planning.bow.model import BowModel, model_bow
from strandwright.planning.bow.riser_data import bolts_data, guard_data
from strandwright.planning.bow.touched import covers, touched_parts
from strandwright.planning.written import Written

GUARD = {"aside": "1 1/8 in", "height": "1 1/2 in"}
ROLLERS = GUARD | {"kind": "rollers", "behind": "4 1/2 in", "diameter": "3/4 in"}
#: What the cable's job leaves out of the figures of the same bow.
SAME_BOW = {"bow.draw_length": "29 in", "bow.let_off": "80 %"}


@pytest.fixture(scope="session")
def recurve() -> Asked:
    """The mere bow."""
    return asked(MERE)


def held(bow: Asked, **guard: Any) -> Guarding | None:
    """Ask a bow with another guard."""
    return guarding(job_of(bow.name, {"bow.guard": guard}), bow.model)


def bolted(bow: Asked, bolts: dict[str, Any] | None) -> BoltTurn | None:
    """Ask a bow with other bolts."""
    return bolt_turn(job_of(bow.name, {"bow.limb_bolts": bolts}), bow.model)


def refused(bow: Asked, **guard: Any) -> SpecError:
    """Give why a guard is refused."""
    with pytest.raises(SpecError) as caught:
        held(bow, **guard)
    return caught.value


def test_a_guard_bears_tens_of_pounds(two_cam: Asked) -> None:
    """Both cables together, more when drawn; the same to the other side with the sign turned."""
    right, left = held(two_cam, **GUARD), held(two_cam, **(GUARD | {"aside": "-1 1/8 in"}))
    assert right is not None
    assert left is not None
    brace, _, full = (value.value / LBF for value in right.force)
    assert 5.0 < brace < full < 80.0
    for one, other in zip(right.force + right.torque, left.force + left.torque, strict=True):
        assert one.value == pytest.approx(-other.value)
        assert one.u == pytest.approx(other.u)
    assert left.full_change.value == pytest.approx(right.full_change.value)
    # Behind the grip by what the cables are, the force turns the riser.
    assert 3.0 * INCH < right.torque[0].value / right.force[0].value < 6.0 * INCH
    assert [line.line for line in right.lines] == ["upper cable", "lower cable"]
    assert abs(right.full_change.value) < 1.5 * LBF


def test_nothing_aside_and_no_guard_are_one(two_cam: Asked) -> None:
    """Nothing is borne, and the cable touches what it touched."""
    assert held(two_cam, **(GUARD | {"aside": "0 in"})) is None
    assert guarding(two_cam.job, two_cam.model) is None
    job = job_of(RIDGE, {"bow.guard": GUARD | {"aside": "0 in"}})
    bare = touched_parts(two_cam.job, two_cam.plan, two_cam.model)
    assert touched_parts(job, two_cam.plan, two_cam.model) == bare


def test_a_plus_or_minus_of_the_offset_goes_into_the_force(two_cam: Asked) -> None:
    """Twenty per cent of the offset are that of the force."""
    sure, unsure = held(two_cam, **GUARD), held(two_cam, **(GUARD | {"aside": "1 1/8 in +- 1/2"}))
    assert sure is not None
    assert unsure is not None
    assert unsure.force[0].value == sure.force[0].value
    assert unsure.force[0].u > 1.2 * sure.force[0].u


def test_the_slide_s_part_of_a_cable_is_held_against_its_serving(two_cam: Asked) -> None:
    """The cable's own serving for it is measured by where the slide runs, and a bare one told."""
    plan = plan_of(CABLE, SAME_BOW)
    for height, short in (("2 in", False), ("5 in", True), ("-3 in", None)):
        job = job_of(CABLE, SAME_BOW | {"bow.guard": GUARD | {"height": height}})
        parts = touched_parts(job, plan, two_cam.model)
        (slide,) = (part for part in parts if part.on == SLIDE)
        assert 1.0 * INCH < slide.stop.value - slide.start.value < 6.0 * INCH
        assert slide.start.u >= INCH / 8
        cover = next(c for c in covers(plan, parts) if c.name == "slide")
        bare = [part.on for part in bare_parts(plan, parts)]
        if short is None:
            assert (cover.wanted_start, bare) == (None, [SLIDE])
            continue
        assert cover.wanted_start is not None
        assert cover.wanted_start < slide.start.value - 0.5 * INCH
        assert (cover.short > 0.01, bare) == (short, [])


def test_a_guard_of_unknown_height_has_no_place(two_cam: Asked) -> None:
    """Its force is told, and that its height is not known; no serving is judged by a guess."""
    answer = held(two_cam, aside="1 in")
    assert answer is not None
    assert not answer.measured
    data = guard_data(answer, Written.on(two_cam.job.paper))
    assert data is not None
    assert any("height" in note for note in data["notes"])
    job = job_of(CABLE, SAME_BOW | {"bow.guard": {"aside": "1 in"}})
    parts = touched_parts(job, plan_of(CABLE, SAME_BOW), two_cam.model)
    assert SLIDE not in [part.on for part in parts]


def test_the_return_side_of_a_one_cam_string_runs_on_the_slide(one_cam: Asked) -> None:
    """Between its upper wheel and its cam."""
    job = job_of(one_cam.name, {"bow.guard": GUARD})
    parts = touched_parts(job, one_cam.plan, one_cam.model)
    assert [part.on for part in parts] == ["cam", "upper wheel", SLIDE, "cam"]
    answer = held(one_cam, **GUARD)
    assert answer is not None
    assert [line.line for line in answer.lines] == ["string", "cable"]


def test_the_string_stop_is_where_its_serving_is(two_cam: Asked) -> None:
    """The stop's serving of the ridge bow answers to a stop at its height, and to no other."""
    job = job_of(RIDGE, {"bow.string_stop": {"height": "-7 1/4 in"}})
    parts = touched_parts(job, two_cam.plan, two_cam.model)
    cover = next(c for c in covers(two_cam.plan, parts) if c.name == "stop")
    assert cover.wanted_start is not None
    assert bare_parts(two_cam.plan, parts) == ()
    high = job_of(RIDGE, {"bow.string_stop": {"height": "8 in", "face": "3/4 in"}})
    (bare,) = bare_parts(two_cam.plan, touched_parts(high, two_cam.plan, two_cam.model))
    assert bare.on == STRING_STOP
    assert bare.stop.value - bare.start.value == pytest.approx(0.75 * INCH, rel=0.01)


@pytest.mark.parametrize(
    ("guard", "field", "words"),
    [
        ({"aside": "1 in", "height": "30 in"}, "bow.guard.height", "run free"),
        ({"aside": "1 in", "height": "-30 in"}, "bow.guard.height", "run free"),
        ({"aside": "6 in", "height": "1 in"}, "bow.guard.aside", "in at most"),
        (GUARD | {"behind": "4 in"}, "bow.guard.behind", "belongs to rollers"),
        (GUARD | {"diameter": "1 in"}, "bow.guard.diameter", "belongs to rollers"),
        (ROLLERS | {"diameter": None}, "bow.guard.diameter", "is needed"),
        (ROLLERS | {"behind": None}, "bow.guard.behind", "is needed"),
        (ROLLERS | {"height": None}, "bow.guard.height", "is needed"),
        (ROLLERS | {"diameter": "0 in"}, "bow.guard.diameter", "over 0"),
        (ROLLERS | {"diameter": "5 in"}, "bow.guard.diameter", "2 in at most"),
        (ROLLERS | {"behind": "1 in"}, "bow.guard.behind", "out of their own line"),
    ],
)
def test_guards_that_cannot_be(
    two_cam: Asked, guard: dict[str, Any], field: str, words: str
) -> None:
    """Each is refused at its own key."""
    error = refused(two_cam, **{k: v for k, v in guard.items() if v is not None})
    assert error.field == field
    assert words in error.rule


def test_a_negative_diameter_is_no_length() -> None:
    """It is refused where the job is read."""
    with pytest.raises(Exception, match="diameter"):
        job_of(RIDGE, {"bow.guard": ROLLERS | {"diameter": "-1 in"}})


def test_a_bow_without_cables_has_no_guard(recurve: Asked) -> None:
    """Nothing would be held aside."""
    error = refused(recurve, **GUARD)
    assert error.field == "bow.guard"
    with pytest.raises(SpecError, match="no cables"):
        touched_parts(job_of(MERE, {"bow.guard": GUARD}), recurve.plan, recurve.model)


@pytest.fixture(scope="session")
def pushed(two_cam: Asked) -> BowModel:
    """Bows that agree with the ridge bow's figures, rollers pushing their cables."""
    job = job_of(RIDGE, {"bow.guard": ROLLERS})
    return model_bow(question(job, two_cam.plan))


def test_rollers_in_the_plane_are_part_of_the_bows(two_cam: Asked, pushed: BowModel) -> None:
    """Bows with them agree with the figures as well, and the cables lie on them throughout."""
    assert pushed.family.members >= 30
    peak = float(pushed.family.figures.peak.mean())
    assert peak == pytest.approx(60.0 * LBF, rel=0.02)
    job = job_of(RIDGE, {"bow.guard": ROLLERS})
    answer = guarding(job, pushed)
    assert answer is not None
    assert (answer.on, answer.pushes) == (ROLLER, "always")
    cable = job_of(CABLE, SAME_BOW | {"bow.guard": ROLLERS})
    parts = touched_parts(cable, plan_of(CABLE, SAME_BOW), pushed)
    (roller,) = (part for part in parts if part.on == ROLLER)
    # It bends a cable by some degrees only, so little lies on it at a time and much runs over it.
    assert 0.02 * INCH < roller.at_brace.value < 0.2 * INCH
    assert roller.stop.value - roller.start.value > 0.5 * INCH
    # Nothing held aside, they push in the plane alone.
    flat = guarding(job_of(RIDGE, {"bow.guard": ROLLERS | {"aside": "0 in"}}), pushed)
    assert flat is not None
    assert [value.value for value in flat.force] == [0.0, 0.0, 0.0]
    data = guard_data(flat, Written.on(two_cam.job.paper))
    assert data is not None
    assert any("every figure" in note for note in data["notes"])


def test_one_turn_of_both_bolts(two_cam: Asked) -> None:
    """Some pounds less at the most, a little more brace height, and wheels together."""
    turn = bolted(two_cam, None)
    assert turn is not None
    found = dict(zip(turn.figures, turn.both, strict=True))
    assert -5.0 * LBF < found["draw_weight"].value < -0.3 * LBF
    assert 0.0 < found["brace_height"].value < 0.2 * INCH
    assert abs(found["timing"].value) < 1e-3
    alone = dict(zip(turn.figures, turn.upper, strict=True))
    other = dict(zip(turn.figures, turn.lower, strict=True))
    assert alone["timing"].value == pytest.approx(-other["timing"].value, rel=1e-3)
    for name in ("brace_height", "axle_to_axle", "draw_weight"):
        both = alone[name].value + other[name].value
        assert found[name].value == pytest.approx(both, rel=1e-6, abs=1e-9)


def test_measured_bolts_are_surer(two_cam: Asked) -> None:
    """Thread and arm set the turn's angle, and half the arm doubles what it does."""
    wide, near, far = (
        bolted(two_cam, bolts)
        for bolts in (
            None,
            {"thread": "20 per in", "arm": "2 in +- 1/64"},
            {"thread": "20 per in", "arm": "4 in +- 1/64"},
        )
    )
    assert wide is not None
    assert near is not None
    assert far is not None
    assert near.measured
    assert not wide.measured
    assert near.tilt.value == pytest.approx(0.05 / 2.0)
    assert near.tilt.u < 0.1 * wide.tilt.u
    for one, half in zip(near.both, far.both, strict=True):
        assert one.value == pytest.approx(2.0 * half.value)


def test_a_one_cam_bow_s_wheels_stand_not_apart(one_cam: Asked) -> None:
    """It has one that turns, so timing is no row of its."""
    turn = bolted(one_cam, None)
    assert turn is not None
    assert "timing" not in turn.figures
    assert "holding" in turn.figures


def test_a_recurve_with_bolts_is_answered_when_it_says_so(recurve: Asked) -> None:
    """Weight falls; without a word of them it has none."""
    assert bolted(recurve, None) is None
    turn = bolted(recurve, {"out": 3.0})
    assert turn is not None
    assert turn.figures == ("brace_height", "draw_weight")
    weight = turn.both[1]
    assert -4.0 * LBF < weight.value < -0.2 * LBF


@pytest.mark.parametrize(
    ("bolts", "field"),
    [
        ({"out": 6.0, "most": 5.0}, "bow.limb_bolts.out"),
        ({"upper": 2.0, "lower": 5.5, "most": 5.0}, "bow.limb_bolts.lower"),
        ({"out": 2.0, "upper": 2.0}, "bow.limb_bolts.upper"),
        ({"thread": "2 per in"}, "bow.limb_bolts.thread"),
        ({"arm": "1/8 in"}, "bow.limb_bolts.arm"),
    ],
)
def test_bolts_that_cannot_be(two_cam: Asked, bolts: dict[str, Any], field: str) -> None:
    """Each is refused at its own key."""
    with pytest.raises(SpecError) as caught:
        bolted(two_cam, bolts)
    assert caught.value.field == field


def test_a_longbow_has_no_bolts(recurve: Asked) -> None:
    """They are not made up for it."""
    job = job_of(MERE, {"bow.kind": "longbow", "bow.limb_bolts": {"out": 1.0}})
    with pytest.raises(SpecError, match="no limb bolts"):
        bolt_turn(job, recurve.model)


def test_bolts_set_unevenly_or_at_an_end_are_told(two_cam: Asked) -> None:
    """What to heed stands beside the numbers, the caution before them."""
    to = Written.on(two_cam.job.paper)
    uneven = bolts_data(bolted(two_cam, {"upper": 2.0, "lower": 2.5, "most": 5.0}), to)
    bottom = bolts_data(bolted(two_cam, {"out": 0.5}), to)
    plain = bolts_data(bolted(two_cam, {"out": 2.0}), to)
    assert uneven is not None
    assert bottom is not None
    assert plain is not None
    assert any("set them alike" in note for note in uneven["notes"])
    assert any("2.5 turns more" in note for note in uneven["notes"])
    assert any("at its bottom" in note for note in bottom["notes"])
    assert plain["notes"] == []
    for word in ("alike", "manual", "press", "never drawn", "draw board"):
        assert word in plain["caution"]
    timing = next(row for row in plain["rows"] if row["name"] == "timing")
    assert timing["text"][0] == "none"
