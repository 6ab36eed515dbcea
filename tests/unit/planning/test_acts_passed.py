"""Acts that a log does not hold: what was recorded after them stands for them, or not."""

from __future__ import annotations

from bench_work import Work


def wound(job: str) -> Work:
    """Give a line just wound, nothing else recorded of it."""
    work = Work(job)
    to = work.advice.plan.winding.posts_outside.value
    work.did("posts-set", outside=f"{to * 1000:.3f} mm")
    for run, colour in enumerate(work.advice.plan.winding.runs):
        work.did("rounds-laid", run=run, halves=colour.strands)
    return work


def done(work: Work) -> dict[str, bool]:
    """Give which steps are done, by their identity."""
    return {step.id: step.done for step in work.advice.steps}


def test_a_plain_act_of_an_older_route_is_not_asked_again() -> None:
    """The skein was stretched and read: nobody is sent back to shift it."""
    work = wound("MERE-1")
    plain = {"even", "shift"}
    work.did("step-done", step="stretch-bare")
    work.read("bare")
    steps = done(work)
    assert all(steps[step] for step in plain)
    ids = [step.id for step in work.advice.steps]
    assert ids.index(work.advice.act.step.id) == ids.index("read-bare") + 1


def test_a_crossbow_whose_rail_was_never_marked_goes_on() -> None:
    """A log from before rail marks were a step of their own opens at its next act."""
    work = wound("FELL-1")
    for act in ("stretch-bare", "loops", "stretch-twisted", "serve"):
        work.did("step-done", step=act)
    assert not done(work)["rail-marks"]
    work.did("length-read", stage="proof", length="36 in")
    assert done(work)["rail-marks"]


def test_a_stretch_is_never_taken_as_done() -> None:
    """The numbers after it rest on it, so that it is asked for until somebody says so."""
    work = wound("MERE-1")
    work.read("bare")
    assert not done(work)["stretch-bare"]
    assert work.advice.act.step.id == "stretch-bare"


def test_what_was_taken_back_is_asked_again() -> None:
    """Shifted, stretched, and the shift taken back: it is the next act."""
    work = wound("MERE-1")
    work.did("step-done", step="stretch-bare")
    assert done(work)["shift"]
    shifted = work.did("step-done", step="shift")
    assert done(work)["shift"]
    work.did("withdrawn", event=shifted.id)
    assert not done(work)["shift"]
    assert work.advice.act.step.id == "shift"


def test_what_is_done_on_the_bow_is_over_with_the_record() -> None:
    """The bench's log ends when the line is locked; tying in comes later."""
    work = wound("RIDGE-1")
    assert not any(is_done for step, is_done in done(work).items() if step.startswith("tie-in"))
    work.did("locked", turns=28.0, hand="Z")
    assert all(is_done for step, is_done in done(work).items() if step.startswith("tie-in"))
