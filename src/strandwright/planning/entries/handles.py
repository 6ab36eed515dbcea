"""Handles: the places of a line that can be taken hold of on its strip."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.planning.line_of_job import serving_edges
from strandwright.planning.result import Plan


@dataclass(frozen=True)
class Handle:
    """A place that can be moved along the line.

    Attributes
    ----------
    kind : str
        ``edge`` of a serving, ``mark``, or far ``end`` of the line.
    field : str
        Its field in the job file, places in lists from 1.
    name : str
        What to call it.
    at : float
        Finished place from the zero end [m]
    low, high : float
        How far it may go: its neighbours, the ends [m]
    """

    kind: str
    field: str
    name: str
    at: float
    low: float
    high: float


def handles_of(plan: Plan) -> tuple[Handle, ...]:
    """Give the handles of a plan's line.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    tuple of Handle
        From the zero end on.
    """
    job, length = plan.job, plan.target.length.value
    edges = serving_edges(job, length)
    found: list[Handle] = []
    for i, (serving, (start, stop)) in enumerate(zip(job.line.servings, edges, strict=True)):
        before = max((b for a, b in edges if a < start), default=0.0)
        after = min((a for a, b in edges if b > stop), default=length)
        field = f"line.servings[{i + 1}]"
        found.append(
            Handle("edge", f"{field}.start", f"{serving.name}, start", start, before, stop)
        )
        found.append(Handle("edge", f"{field}.stop", f"{serving.name}, stop", stop, start, after))
    for i, mark in enumerate(job.line.marks):
        at = length - mark.at.si if mark.from_far_end else mark.at.si
        found.append(Handle("mark", f"line.marks[{i + 1}].at", mark.name, at, 0.0, length))
    end = f"{job.line.far_end.name} end"
    found.append(Handle("end", "line.finished", end, length, 0.5 * length, 1.5 * length))
    return tuple(sorted(found, key=lambda handle: handle.at))
