"""What a bow's own readings say, as plain data: the same tables as where bows are asked."""

from __future__ import annotations

from typing import Any

from strandwright.planning.bow.readings_only import FromReadings
from strandwright.planning.bow.speech import caution_of
from strandwright.planning.bow.turning_data import home_data, turns_data
from strandwright.planning.written import Written
from strandwright.workshop.job import Job

Fields = dict[str, Any]
#: What nothing but readings cannot say.
NOT_SAID = (
    "whether both wheels turn together: look at their marks after every turn",
    "what the bow touches of the line, and what the string costs in speed",
    "what many turns do: what one trial showed is taken to go on evenly",
)


def readings_data(job: Job, found: FromReadings) -> Fields:
    """Write what readings alone say as plain data.

    Parameters
    ----------
    job : Job
        The job, for its units.
    found : FromReadings
        What its readings say.

    Returns
    -------
    dict
        Numbers and texts under the names they have where bows are asked; ``trial_text`` says
        which trial to make next.
    """
    to = Written.on(job.paper)
    return {
        "bow": job.bow.name or job.bow.kind,
        "source_text": found.turning.passing.source,
        "not_modelled": [
            {
                "field": error.field,
                "given": str(error.given),
                "rule": error.rule,
                "remedy": error.remedy,
            }
            for error in found.refused
        ],
        "caution": caution_of(crossbow=job.bow.kind == "crossbow", wheels=found.wheels),
        "turns": turns_data(found.turning, to),
        "home": home_data(found.turning, to),
        "trial_text": found.trial,
        "neglects": list(NOT_SAID if _two_wheels(job, found) else NOT_SAID[1:]),
    }


def _two_wheels(job: Job, found: FromReadings) -> bool:
    """Whether there are two wheels that could stand apart."""
    return found.wheels and job.bow.kind != "one-cam"
