"""Steps of a sheet: the route as the technician does it, and how the line looks by then."""

from __future__ import annotations

from typing import Any

from strandwright.planning.cautions import DEFER, at_the_change
from strandwright.planning.four_posts.picture import arms_pictures
from strandwright.planning.result import Plan, Step
from strandwright.planning.yoke.picture import yoke_drawing
from strandwright.sheets.prose import prose, words
from strandwright.sheets.step_cautions import step_cautions

Section = dict[str, Any]

#: Steps on swinging arms that are drawn; the others show the same
DRAWN = ("mark-zero", "mark-far", "level", "lay-zero", "lay-far")
SEE_SERVINGS = "threads, and all places from the zero pin: see Servings and marks"


def step_rows(plan: Plan) -> list[Section]:
    """Give the steps of the route.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    list of dict
        Number, title, headline, lines, caution as a whole and told apart, and how the line lies
        by then.
    """
    done: set[str] = set()
    rows: list[Section] = []
    # Both arms square are drawn where their loops are served, the legs where they are level.
    pictures = arms_pictures(plan, "print", prefix="sheet").items()
    drawn = {step: svgs for step, svgs in pictures if step in DRAWN}
    yoke = yoke_drawing(plan, "print", prefix="sheet-yoke")
    if yoke is not None:
        drawn |= {"match-legs": (yoke,), "strap": (yoke,)}
    warned = [_warned(step, plan) for step in plan.steps]
    for step, told, apart in zip(plan.steps, warned, step_cautions(warned), strict=True):
        done.add(step.key)
        row = _row(step, _lies(done), plan, drawn.get(step.id, ()))
        rows.append(row | {"caution": prose(told, caution=True), "cautions": apart})
    return rows


def _warned(step: Step, plan: Plan) -> str:
    """Give all that a step cautions of, save what stands once, in the box below the route."""
    told = (line for line in step.lines if _is_caution(line, plan))
    return " ".join(filter(None, (step.caution.replace(DEFER, "").strip(), *told)))


def _is_caution(line: str, plan: Plan) -> bool:
    known = at_the_change(plan.job.bow.kind, plan.job.bow.crossbow)
    return any(told in line for told in known)


def _row(step: Step, lies: str, plan: Plan, pictures: tuple[str, ...]) -> Section:
    """Give one step without its cautions."""
    names = tuple(f"{serving.name}: " for serving in plan.servings)
    lines = [
        _where(line) if line.startswith(names) else line
        for line in step.lines
        # That stands in the box below the route.
        if not _is_caution(line, plan) and not line.startswith(DEFER)
    ]
    if step.key == "serve":
        lines.append(SEE_SERVINGS)
    return {
        "number": step.number,
        "done": step.done,
        "key": step.key,
        "title": prose(step.title),
        "headline": prose(step.headline),
        "lines": [prose(line) for line in lines],
        "lies": lies,
        "pictures": ["\n".join(words(line) for line in svg.splitlines()) for svg in pictures],
    }


def _where(line: str) -> str:
    """Say of a serving where it goes; its thread stands in the table of servings."""
    return line.split("; ")[0]


def _lies(done: set[str]) -> str:
    """Say how the line looks once these steps are done: ``posts``, ``laid``, ...

    The sheet draws the line running down beside its steps, so that a glance shows where in the
    route a step lies.
    """
    if "serve" in done:
        return "served"
    if "twist" in done:
        return "twisted"
    return "laid" if "wind" in done else "posts"
