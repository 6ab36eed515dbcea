"""Refusals of details: a speckle and a separator that cannot be meant."""

from __future__ import annotations

from collections.abc import Iterator

from strandwright.errors import InputError, SpecError
from strandwright.reference import thread
from strandwright.workshop.job import Job


def odd_details(job: Job) -> Iterator[InputError]:
    """Find colours of a yarn and threads of a make-up that do not go together.

    Parameters
    ----------
    job : Job
        The job.

    Yields
    ------
    InputError
        For each: field, value, rule and remedy.
    """
    for number, run in enumerate(job.makeup.colours, start=1):
        place = f"makeup.colours[{number}]"
        if run.third is not None and run.second is None:
            rule, remedy = "must stand beside a second colour", "name the second colour too"
            yield SpecError(f"{place}.third", run.third, rule, remedy)
        own = [c.lower() for c in (run.colour, run.second, run.third) if c is not None]
        for key, colour in (("third", run.third), ("second", run.second)):
            if colour is not None and own.count(colour.lower()) > 1:
                rule = "must differ from the yarn's other colours"
                yield SpecError(f"{place}.{key}", colour, rule, "give another, or leave it out")
                break
    separator = job.makeup.separator
    if separator is None:
        return
    if separator.name.strip().casefold() in {c.name.strip().casefold() for c in job.makeup.colours}:
        rule = "must not be the name of a colour too"
        yield SpecError("makeup.separator.name", separator.name, rule, "give it a name of its own")
    if separator.thread is not None:
        try:
            thread(separator.thread)
        except SpecError as error:
            yield error.at("makeup.separator.thread")
