"""The wish for a brace height: whether a job's string is to come from it, asked before any bow."""

from __future__ import annotations

from strandwright.reference import practice
from strandwright.workshop.job import Job


def is_bent(job: Job) -> bool:
    """Tell whether a job builds the string of a recurve or longbow.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    bool
        False for a cable, a crossbow and every bow with wheels.
    """
    return job.bow.kind in ("recurve", "longbow") and job.line.kind == "string"


def asks_for_brace(job: Job) -> bool:
    """Tell whether a job's length is to follow from a brace height that is wanted.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    bool
        True for the string of a recurve or longbow with one, and no length of its own.
    """
    wanted = job.bow.wanted.brace_height
    return is_bent(job) and job.line.finished is None and wanted is not None


def brace_within(job: Job) -> float:
    """Give how near to the brace height wanted is near enough.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    float
        Half-width: the job's own where it gives one, else what practice tunes a bow to [m]
    """
    wanted = job.bow.wanted.brace_height
    if wanted is not None and wanted.half_range is not None:
        return float(wanted.half_range)
    return practice("tuning.brace_height").value


def string_within(job: Job, per_brace: float) -> float | None:
    """Give how near to its length a string must be for the brace height the job asks for.

    Parameters
    ----------
    job : Job
        The job.
    per_brace : float
        Change of the string's length for a brace height higher by a little [m/m]

    Returns
    -------
    float or None
        Half-width; None where the job names a tolerance of the length and no nearness of the brace
        height, for then practice's is no wish of anybody [m]
    """
    wanted = job.bow.wanted.brace_height
    named = wanted is not None and wanted.half_range is not None
    if not named and job.line.tolerance is not None:
        return None
    return abs(brace_within(job) * per_brace)
