"""Servings made on the bow: a step of their own after the fitting, not at the jig's marks."""

from __future__ import annotations

from strandwright.planning.acts import AFTER_FITTING
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


def test_a_serving_made_on_the_bow_comes_after_the_fitting() -> None:
    """It is the last step, and the jig's marks leave it out."""
    plan = plan_line(on_the_bow())
    centre = next(s.name for s in plan.servings if s.use == "centre")
    assert [s.key for s in plan.steps[-2:]] == ["tag", "serve"]
    last = plan.steps[-1]
    assert last.id == AFTER_FITTING
    assert any(centre in line for line in last.lines)
    at_the_jig = next(s for s in plan.steps if s.id == "serve")
    assert not any(line.startswith(f"{centre}:") for line in at_the_jig.lines)
    assert last.caution


def test_without_one_the_tag_is_the_last_step() -> None:
    """Nothing is added to a line that is served at the jig."""
    assert plan_line(example("MERE-1")).steps[-1].key == "tag"
