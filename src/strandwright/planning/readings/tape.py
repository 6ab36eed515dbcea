"""The shop's tape: how finely it is read, and how true it is."""

from __future__ import annotations

import math

from strandwright.reference import practice
from strandwright.units import INCH, Entered
from strandwright.workshop.job import Job

_ROOT_12 = math.sqrt(12.0)


def tape_uncertainty() -> float:
    """Standard uncertainty of one careful look at a tape, before it is rounded.

    Returns
    -------
    float
        From the reference table, where it is the row's value [m]
    """
    return practice("tape.reading").value


def paper_step(job: Job) -> float:
    """Smallest step of the shop's tape: its fraction of an inch, or half a millimetre.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    float
        Step [m]
    """
    return INCH / job.paper.fraction if job.paper.units == "in" else 0.0005


def reading_uncertainty(job: Job, length: Entered | None = None) -> float:
    """Standard uncertainty of one tape reading with its rounding.

    Parameters
    ----------
    job : Job
        The job, whose bench may say how finely its tape is read.
    length : Entered or None
        A reading as it was typed; None for one still to be taken.

    Returns
    -------
    float
        Half of the +- that was typed with it, where there is one; else the look and the
        rounding [m]

    Notes
    -----
    Rounding to a step s is even over it: :math:`s/\\sqrt{12}` (JCGM 100:2008, F.2.2.1). The step
    is what the bench says; else half the shop's fraction, for a tape is read between its marks.
    A reading typed more finely was read more finely; one typed more coarsely (``57 1/2``) is a
    place on the shop's grid like any other.
    """
    if length is not None and length.standard_uncertainty is not None:
        return length.standard_uncertainty
    stated = job.bench.tape_reads
    step = 0.5 * paper_step(job) if stated is None else stated.si
    if length is not None:
        step = min(step, float(length.step))
    return math.hypot(tape_uncertainty(), step / _ROOT_12)


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
