"""What a bow's own readings say, as plain text, and why no bows were asked."""

from __future__ import annotations

from collections.abc import Iterator

from strandwright.cli.bow_text import NOW, NOW_BENT, home_lines, left_out_lines, turns_lines
from strandwright.cli.layout import heading, paragraph, rows
from strandwright.cli.told import told
from strandwright.planning.bow.readings_data import readings_data
from strandwright.planning.bow.readings_only import FromReadings
from strandwright.workshop.job import Job


def readings_lines(job: Job, found: FromReadings) -> list[str]:
    """Write what readings alone say of a job's bow."""
    data = readings_data(job, found)
    now = NOW if found.wheels else NOW_BENT
    tried = bool(data["home"]) or not found.trial
    return [
        *_top(job, found, data["source_text"]),
        *turns_lines(data["turns"]),
        *(
            home_lines(data, now)
            if tried or job.bow.trials
            else heading("Which turns bring it home")
        ),
        *_trial(data["trial_text"], data["caution"], cautioned=data["home"] is not None),
        *left_out_lines(data),
    ]


def _top(job: Job, found: FromReadings, source: str) -> Iterator[str]:
    bow = f"{job.bow.name}, {job.bow.kind}" if job.bow.name else job.bow.kind
    yield f"{job.name}   [{job.id}]"
    yield from rows([("bow", bow), ("line", job.line.name), ("known from", source)])
    if found.refused:
        yield from heading("Why no bows were asked")
        for error in found.refused:
            yield from paragraph(told(error), mark="-")


def _trial(text: str, caution: str, *, cautioned: bool) -> Iterator[str]:
    """Write the trial to make, after what may hurt in making it."""
    if not text:
        return
    if not cautioned:
        yield from paragraph(caution, mark="!")
    yield from paragraph(text, mark="-")
