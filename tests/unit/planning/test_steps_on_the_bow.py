"""Steps on the bow: brace height, servings wound there, what is tied in, the first cocking."""

from __future__ import annotations

from sample_job import plan_of
from strandwright.planning import cautions
from strandwright.planning.examples import example
from strandwright.planning.plan_line import plan_line
from strandwright.workshop.job import Job


def on_the_bow() -> Job:
    """The mere string with its centre serving wound on the bow."""
    job = example("MERE-1")
    servings = tuple(
        s.model_copy(update={"made": "on the bow"}) if s.use == "centre" else s
        for s in job.line.servings
    )
    return job.model_copy(update={"line": job.line.model_copy(update={"servings": servings})})


def after_fitting(plan):
    """Give the steps that come after the tag."""
    keys = [s.key for s in plan.steps]
    return plan.steps[keys.index("tag") + 1 :]


def test_a_serving_made_on_the_bow_comes_after_the_fitting() -> None:
    """It follows the brace height it is laid off at, and the jig's marks leave it out."""
    plan = plan_line(on_the_bow())
    centre = next(s.name for s in plan.servings if s.use == "centre")
    late = after_fitting(plan)
    assert [s.key for s in late][:2] == ["brace", "serve"]
    assert any(line.startswith(f"{centre}: ") for line in late[1].lines)
    at_the_jig = next(s for s in plan.steps if s.id == "serve")
    assert not any(line.startswith(f"{centre}:") for line in at_the_jig.lines)
    assert late[1].caution == cautions.STRUNG


def test_without_one_nothing_is_served_after_the_tag() -> None:
    """Nothing is added to a line that is served at the jig."""
    assert all(step.key != "serve" for step in after_fitting(plan_line(example("MERE-1"))))


def test_brace_height_is_read_with_the_height_wanted() -> None:
    """The wish stands large; what a turn does is told in brace height where the bow was asked."""
    plan = plan_line(example("BECK-1"))
    brace = after_fitting(plan)[0]
    assert (brace.key, brace.headline) == ("brace", "8 1/2 in")
    assert "within 1/16 in it is right" in brace.lines
    told = next(line for line in brace.lines if line.startswith("too low: turns in"))
    per_brace = plan.target.per_brace
    assert per_brace is not None
    one = plan.twist.next_turn.value / per_brace / 0.0254
    assert f"{one:.3f} " in told
    assert cautions.UNSTRING in brace.caution


def test_the_proof_accepts_no_more_than_the_brace_wish_allows() -> None:
    """1/16 in of brace height wants the string nearer than the 1/8 in that the job names."""
    job = example("BECK-1")
    plan = plan_line(job)
    assert job.line.tolerance is not None
    assert plan.target.per_brace is not None
    wished = abs(plan.target.per_brace) * 0.0254 / 16.0
    assert plan.target.tolerance == wished < job.line.tolerance.si
    assert plan.landing.proof.acceptance_limit <= wished
    assert any("not within 1/8 in" in note for note in plan.target.notes)
    # The bows, not the old string, leave the length unsure: measuring it again would not help.
    assert any("brace height, read after fitting" in said for said in plan.warnings)
    assert not any("measure the original" in said for said in plan.warnings)


def test_a_narrower_tolerance_is_kept() -> None:
    """Who asks more of the length than the brace height needs gets that."""
    assert plan_of("beck-string", {"line.tolerance": "1/32 in"}).target.tolerance == 0.0254 / 32.0


def test_nock_and_peep_are_tied_in_on_the_bow() -> None:
    """A step each, with the caution of a strung bow."""
    late = after_fitting(plan_line(example("RIDGE-1")))
    assert [s.title for s in late] == ["Tie in: nock", "Tie in: peep"]
    assert all(cautions.STRUNG in s.caution for s in late)
    peep = late[1]
    assert "string slack" in peep.lines[0]
    assert cautions.PRESS in peep.caution


def test_a_crossbow_is_cocked_last() -> None:
    """Even by its rail marks, and uncocked as its maker says."""
    late = after_fitting(plan_line(example("FELL-1")))
    assert [s.key for s in late] == ["cock"]
    assert "rail marks" in late[0].headline
    assert any("discharge bolt" in line for line in late[0].lines)
    assert cautions.FIRST_COCKING in late[0].caution
