"""Places: whether two jobs are of one line, and differ only in where things lie along it."""

from __future__ import annotations

from strandwright.workshop.fields import Noun
from strandwright.workshop.job import Job

#: Parts of a job that say nothing of places.
_PARTS = ("bow", "original", "makeup", "bench", "route", "build", "paper")


def only_places_differ(job: Job, other: Job) -> bool:
    """Whether two jobs are alike but for edges, marks and length of the line, and names.

    Parameters
    ----------
    job, other : Job
        The jobs.

    Returns
    -------
    bool
        True where bow, original, make-up, bench, route and build are the same, and the line has
        the same ends, servings and marks, at whatever places.
    """
    line, before = job.line, other.line
    return (
        all(getattr(job, part) == getattr(other, part) for part in _PARTS)
        and line.kind == before.kind
        and (line.finished is None) == (before.finished is None)
        and (line.zero_end, line.far_end) == (before.zero_end, before.far_end)
        and _alike(line.servings, before.servings, {"start", "stop", "from_far_end"})
        and _alike(line.marks, before.marks, {"at", "from_far_end"})
    )


def _alike(nouns: tuple[Noun, ...], others: tuple[Noun, ...], places: set[str]) -> bool:
    return len(nouns) == len(others) and all(
        one == two or all(value == getattr(two, name) for name, value in one if name not in places)
        for one, two in zip(nouns, others, strict=True)
    )
