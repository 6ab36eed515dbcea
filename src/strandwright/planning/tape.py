"""The shop's tape: how finely it is read, and how true it is."""

from __future__ import annotations

from strandwright.reference import practice
from strandwright.workshop.job import Job


def tape_uncertainty() -> float:
    """Standard uncertainty of one careful tape reading.

    Returns
    -------
    float
        From the reference table, where it is the row's value [m]
    """
    return practice("tape.reading").value


def tape_scale(job: Job) -> float:
    """Relative standard uncertainty of the tape's scale, the same in all its readings.

    Parameters
    ----------
    job : Job
        The job, whose bench names the kind of tape.

    Returns
    -------
    float
        From the reference table [-]
    """
    rows = {"steel": "tape.scale_error", "glass fibre": "tape.glass_fibre.scale_error"}
    return practice(rows.get(job.bench.tape, "tape.cloth.scale_error")).standard_uncertainty
