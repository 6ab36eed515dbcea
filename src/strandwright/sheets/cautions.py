"""Cautions of a sheet: what holds for the whole job, besides what stands at each step."""

from __future__ import annotations

from strandwright.planning.cautions import DEFER, UNKNOWN_RATING
from strandwright.planning.fits.low_stretch import why_polyester
from strandwright.planning.result import LoadCheck, Plan
from strandwright.sheets.prose import Prose, prose
from strandwright.sheets.records import Pen

#: What stands above this sheet, in the plan's own words.
DEFERRAL = DEFER


def caution_lines(plan: Plan, pen: Pen) -> list[Prose]:
    """Give the cautions that hold from the first load to the first draw.

    Parameters
    ----------
    plan : Plan
        The plan.
    pen : Pen
        Writes the quantities.

    Returns
    -------
    list of list
        One prose a caution.
    """
    highest = max(
        [stage.load for stage in plan.stages] + [c.load.value for c in _bench_checks(plan)]
    )
    lines = [
        f"This job pulls on the jig with up to {pen.written.force(highest)}. Stand off the line's"
        " axis, cover the line, and never lean over it."
    ]
    rating = _rating(plan, pen)
    # Where the plan asks for it to be settled first, it stands on the first page already.
    if rating not in plan.warnings:
        lines.append(rating)
    if why_polyester(plan.job.bow):
        lines.append("An old or wooden bow may not bear a line that stretches little: ask first.")
    return [prose(line, caution=True) for line in lines]


def _bench_checks(plan: Plan) -> list[LoadCheck]:
    """Give the loads that are pulled on the jig."""
    return [check for check in plan.strength.checks if "jig" in check.name]


def _rating(plan: Plan, pen: Pen) -> str:
    """Say what strap, posts and beam are good for."""
    rating = plan.job.bench.rating
    if isinstance(rating, str):
        return UNKNOWN_RATING
    return (
        f"Strap, posts and beam are rated for {pen.written.force(rating.si)}."
        " Look over strap, hooks and posts before every pull."
    )
