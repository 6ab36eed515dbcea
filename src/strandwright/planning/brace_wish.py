"""The wish for a brace height: whether a job's string is to come from it, asked before any bow."""

from __future__ import annotations

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
