"""Rollers of a cable guard that push the cables in the bow's plane, as sizes of the bow."""

from __future__ import annotations

from strandwright.errors import SpecError
from strandwright.units import Entered
from strandwright.workshop.job import Job

#: Where cables run at brace before the string, and how far rollers are taken to push them [m].
_BEFORE_STRING, _DEEPEST = 2.0 * 0.0254, 2.0 * 0.0254


def roller_sizes(job: Job) -> dict[str, float]:
    """Give the sizes of a job's rollers, and refuse a guard that cannot be.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    dict of str to float
        Sizes of :class:`strandwright.bow.systems.Sizes`; empty where rollers only hold aside.

    Raises
    ------
    SpecError
        If the bow has no cables, keys do not go together, or rollers push too far.
    """
    guard = job.bow.guard
    if guard is None:
        return {}
    if not job.bow.kind.endswith("-cam"):
        rule = "has no cables beside an arrow that a guard would hold aside here"
        raise SpecError("bow.guard", job.bow.kind, rule, "leave the guard out")
    for name in ("behind", "diameter"):
        given: Entered | None = getattr(guard, name)
        if given is not None and guard.kind == "slide":
            rule = "belongs to rollers; a slide goes along with its cables"
            raise SpecError(f"bow.guard.{name}", given.text, rule, "say rollers, or leave it out")
    if guard.behind is None and guard.diameter is None:
        return {}
    for name in ("behind", "diameter", "height"):
        if getattr(guard, name) is None:
            rule = "is needed for rollers that push the cables, as well as their other sizes"
            remedy = "measure it, or leave out where they stand"
            raise SpecError(f"bow.guard.{name}", "left out", rule, remedy)
    return _placed(job)


def _placed(job: Job) -> dict[str, float]:
    guard, brace = job.bow.guard, job.bow.brace_height
    assert guard is not None
    assert guard.behind is not None
    assert guard.diameter is not None
    assert guard.height is not None
    radius = 0.5 * guard.diameter.si
    if not 0.0 < radius <= 0.0254:
        rule = "must be over 0 and 2 in at most"
        raise SpecError("bow.guard.diameter", guard.diameter.text, rule, "measure it in the groove")
    side = -1.0 if guard.passed == "before" else 1.0
    if brace is not None:
        line = brace.si - _BEFORE_STRING
        if side * (guard.behind.si + side * radius - line) > _DEEPEST:
            rule = (
                "must not push the cables over 2 in out of their own line, which is about "
                f"{line / 0.0254:.1f} in behind the pivot at brace"
            )
            remedy = "measure it from the pivot of the grip to the rollers' axle"
            raise SpecError("bow.guard.behind", guard.behind.text, rule, remedy)
    return {
        "roller_x": guard.behind.si,
        "roller_y": guard.height.si,
        "roller_radius": radius,
        "roller_side": side,
    }
