"""A recurve's and a longbow's answers: no wheels, so the string alone sets them."""

from __future__ import annotations

import pytest

from strandwright.errors import InputErrors, SpecError
from strandwright.planning.bow.answers import BowAnswers, answer_bow
from strandwright.planning.bow.data import bow_data
from strandwright.planning.bow.pictures import frames
from strandwright.planning.examples import example
from strandwright.planning.plan_line import plan_line
from strandwright.planning.written import Written
from strandwright.reference import practice
from strandwright.workshop.job import Job, job_from_table

INCH = 0.0254


def asked(name: str, **bow: object) -> Job:
    """An example's job with other entries of its bow."""
    table = example(name).model_dump(mode="json", exclude_defaults=True)
    table["bow"] |= {"draw_length": "28 in"} | bow
    return job_from_table(table)


@pytest.fixture(scope="module", params=["MERE-1", "TARN-1"])
def answered(request: pytest.FixtureRequest) -> tuple[Job, BowAnswers]:
    """A job whose bow stands too low, answered."""
    low = "8 in" if request.param == "MERE-1" else "6 1/4 in"
    job = asked(request.param, now={"brace_height": low})
    return job, answer_bow(job, plan_line(job))


def test_it_stands_and_draws_as_said(answered: tuple[Job, BowAnswers]) -> None:
    """Brace height and draw weight are the job's; nothing is let off."""
    job, answers = answered
    assert job.bow.brace_height is not None
    assert job.bow.draw_weight is not None
    brace, weight = answers.figures["brace_height"], answers.figures["peak"]
    assert brace.value == pytest.approx(job.bow.brace_height.si, abs=2e-4)
    assert abs(weight.value - job.bow.draw_weight.si) < 4 * weight.u
    assert "let_off" not in answers.figures


def test_turns_bring_the_brace_home(answered: tuple[Job, BowAnswers]) -> None:
    """A low brace asks for turns put in, and they are expected to bring it nearer."""
    job, answers = answered
    home = answers.turning.home
    assert home is not None
    assert job.bow.now.brace_height is not None
    assert job.bow.brace_height is not None
    assert home.turns[0] > 0
    wanted, before = job.bow.brace_height.si, job.bow.now.brace_height.si
    assert abs(home.expected[0] - wanted) < abs(before - wanted)


def test_words_and_pictures_fit_a_bow_without_wheels(answered: tuple[Job, BowAnswers]) -> None:
    """No wheel, no press and no wall in its words; limbs bend in its pictures."""
    job, answers = answered
    data = bow_data(job, answers)
    words = f"{data['neglects']} {data['caution']} {data['touches']}"
    assert not any(word in words for word in ("wheel", "press", "wall"))
    assert "dry fire" in data["caution"]
    first, *_, last = frames(answers.model.middle.cycle, Written.on(job.paper))
    assert first.axles == ()
    assert last.nock[0] > first.nock[0] + 15 * INCH
    left, bottom, right, top = first.frame
    for picture in (first, last):
        for x, y in (*picture.limbs[0], *picture.limbs[1], *picture.paths[0].points):
            assert left <= x <= right
            assert bottom <= y <= top


def test_a_recurves_touched_tips_lie_at_the_strings_ends() -> None:
    """The string touches both tips, from its loops on, and nothing between."""
    job = asked("MERE-1")
    parts = answer_bow(job, plan_line(job)).parts
    assert {part.on for part in parts} == {"lower tip", "upper tip"}
    assert all(part.to_end for part in parts)
    assert all(part.stop.value - part.start.value < 6 * INCH for part in parts)


def test_the_loops_of_a_recurve_are_held_against_its_tips() -> None:
    """Each needs its touched tip, a margin and the doubt of it; a plain nock asks for nothing."""
    job = asked("MERE-1")
    answers = answer_bow(job, plan_line(job))
    tips = {part.on: part for part in answers.parts}
    found = {cover.name: cover for cover in answers.covers}
    assert list(found) == ["upper loop", "lower loop"]
    upper = found["upper loop"]
    assert upper.wanted_start == 0.0
    assert upper.wanted_stop is not None
    margin = practice("wheels.serving_margin").value
    tip = tips["upper tip"]
    assert upper.wanted_stop == pytest.approx(tip.stop.value + margin + 2 * tip.stop.u)
    assert upper.stop - upper.start == pytest.approx(upper.wanted_stop + upper.beyond)
    job = asked("TARN-1")
    answers = answer_bow(job, plan_line(job))
    assert answers.covers == ()
    said = bow_data(job, answers)["untouched_text"]
    assert said == "No wheel, tip or stop ever lies on the string beside its ends"


def test_a_string_in_the_air_from_end_to_end_has_no_other_limit_of_twist() -> None:
    """What tracks would hold is not told where there are none."""
    job = asked("MERE-1")
    answers = answer_bow(job, plan_line(job))
    assert answers.turning.held
    assert bow_data(job, answers)["turns"]["held"] is None


def test_what_is_missing_is_named() -> None:
    """A longbow wants its length, not axles."""
    table = example("TARN-1").model_dump(mode="json", exclude_defaults=True)
    for name in ("bow_length", "draw_length"):
        table["bow"].pop(name, None)
    job = job_from_table(table)
    with pytest.raises(InputErrors) as told:
        answer_bow(job, plan_line(job))
    assert {e.field for e in told.value.errors} == {"bow.bow_length", "bow.draw_length"}


def test_a_crossbow_is_asked_for_its_kind() -> None:
    """Limbs alone and wheels are two bows; which it is must be said, and the remedy says how."""
    job = asked("RIDGE-1", kind="crossbow")
    with pytest.raises(SpecError) as told:
        answer_bow(job, plan_line(job))
    assert told.value.field == "bow.crossbow"
    assert "compound" in told.value.remedy
