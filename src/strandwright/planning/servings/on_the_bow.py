"""Served on the bow: where a serving that is wound at the brace goes, once the line is fitted.

A serving made on the jig is marked in a state of the jig. One made on the bow is marked on the
strung bow: at the load of the brace, over the limb nocks in place of pins, with all turns in.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from strandwright.errors import InputError, SpecError
from strandwright.planning.estimate import Estimate
from strandwright.planning.line_on_bow import strung_scale
from strandwright.planning.result import Plan
from strandwright.planning.servings.centre import nocking_point, upper_end
from strandwright.planning.strength.loads import bow_loads
from strandwright.planning.written import Written
from strandwright.units import INCH
from strandwright.workshop.job import Job

#: Servings that must be there before the line goes on a bow.
_BEFORE = ("end", "loop", "track")
#: A place on the strung string is laid off and marked to this: 1/32 in [m]
_MARKED = INCH / 32.0


@dataclass(frozen=True)
class ServedOnBow:
    """One serving that is wound on the strung bow.

    Attributes
    ----------
    name, thread, hand : str
        The serving, what with and which hand.
    start, stop : Estimate
        Edges on the strung line, from the outside of the nock its zero end lies on [m]
    over, under : float or None
        How far it reaches over and under the nocking point, there; None where no nocking point or
        no upper end is known [m]
    thread_length : Estimate
        Thread used [m]
    load : Estimate
        Pull of the string at brace [N]
    """

    name: str
    thread: str
    hand: str
    start: Estimate
    stop: Estimate
    over: float | None
    under: float | None
    thread_length: Estimate
    load: Estimate


def made_too_late(job: Job) -> Iterator[InputError]:
    """Find servings that are to be made on the bow and must be there before.

    Parameters
    ----------
    job : Job
        The job.

    Yields
    ------
    InputError
        For each, at its field.
    """
    for number, serving in enumerate(job.line.servings, start=1):
        field = f"line.servings[{number}].made"
        if serving.made == "on the bow" and serving.use in _BEFORE:
            rule = f"must be on the jig for a serving of use {serving.use}, which the bow bears on"
            yield SpecError(field, serving.made, rule, "take made out, or mend the use")


def made_on_bow(job: Job) -> frozenset[str]:
    """Name the servings that are wound on the bow, which the jig's steps leave out.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    frozenset of str
        Their names.
    """
    return frozenset(s.name for s in job.line.servings if s.made == "on the bow")


def served_on_bow(plan: Plan) -> tuple[ServedOnBow, ...]:
    """Give the servings of a plan that are wound on the bow, on the strung line's scale.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    tuple of ServedOnBow
        In order along the line; empty where all are made on the jig.
    """
    late = made_on_bow(plan.job)
    rows = [serving for serving in plan.servings if serving.name in late]
    if not rows:
        return ()
    load = brace_load(plan)
    scale = strung_scale(plan, load.value)
    nock, up = nocking_point(plan.job, plan.target.length.value), upper_end(plan.job)
    found: list[ServedOnBow] = []
    for serving in rows:
        start, stop = (
            Estimate(scale.at(place.value), math.hypot(place.u, _MARKED / 2.0), "m")
            for place in (serving.start, serving.stop)
        )
        over = under = None
        if nock is not None and up is not None:
            before, after = scale.at(nock) - start.value, stop.value - scale.at(nock)
            over, under = (before, after) if up == "zero" else (after, before)
        found.append(
            ServedOnBow(
                serving.name, serving.thread, serving.hand, start, stop, over, under,
                serving.thread_length, load,
            )
        )  # fmt: skip
    return tuple(found)


def brace_load(plan: Plan) -> Estimate:
    """Give the pull of a plan's line at rest on its bow.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    Estimate
        By the job or practice; the measuring load where neither tells it [N]
    """
    stiffness = plan.parameters.value("stiffness") * plan.job.makeup.strands
    loads = bow_loads(plan.job, stiffness, plan.target.length.value)
    if loads is None:
        measured = plan.target.measuring_load
        return Estimate(measured, 0.2 * measured, "N")
    return loads.resting


def on_bow_lines(plan: Plan) -> tuple[str, ...]:
    """Say how the servings that are wound on the bow are laid off, for the step after fitting.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    tuple of str
        One line for each serving after what they have in common; empty where there are none.
    """
    rows = served_on_bow(plan)
    if not rows:
        return ()
    to = Written.on(plan.job.paper)
    zero = plan.job.line.zero_end.name
    first = (
        "all turns in, the bow at its brace height",
        f"lay off from the outside of the nock at the {zero}, along the string",
    )
    return (*first, *(_line(row, to) for row in rows))


def _line(row: ServedOnBow, to: Written) -> str:
    places = f"{to.length(row.start.value)} to {to.length(row.stop.value)}"
    if row.over is not None and row.under is not None:
        places = (
            f"{_side(row.over, 'over', to)} and {_side(row.under, 'under', to)} the nocking point "
            f"({places})"
        )
    return (
        f"{row.name}: {places}; {row.thread}, hand {row.hand}, "
        f"{to.long(Estimate(row.thread_length.value, 0.0, 'm'))} of thread"
    )


def _side(reach: float, side: str, to: Written) -> str:
    # One that ends before it gets there lies wholly on the other side.
    return f"{to.length(reach)} {side}" if reach >= 0.0 else f"from {to.length(-reach)} off {side}"
