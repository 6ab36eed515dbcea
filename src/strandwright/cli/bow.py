"""The command ``bow``: what the bow touches, what turns do to it, and what its string costs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from strandwright.cli.files import load_job, output_file, write_whole
from strandwright.errors import InputErrors

if TYPE_CHECKING:
    from strandwright.planning.bow.answers import BowAnswers
    from strandwright.planning.bow.readings_only import FromReadings
    from strandwright.planning.result import Plan
    from strandwright.workshop.job import Job


@click.command("bow", short_help="Work out the bow of a job: what touches, what turns do, speed.")
@click.argument("job_file", metavar="JOB.toml")
@click.option("--json", "as_json", is_flag=True, help="Print the answers as JSON.")
@click.option(
    "--picture",
    metavar="FILE",
    help="Draw the bow at brace and at full draw, and force over draw, as an SVG.",
)
def command(job_file: str, as_json: bool, picture: str | None) -> None:
    """Work out the bow of a job file, from its figures under [bow].

    Says what the bow touches of the line and what the servings cover of that, what one turn in
    each line does, which turns bring the bow home, and what the string costs in arrow speed. It
    looks for bows that agree with the figures, which takes some seconds. Where none can be asked,
    turns are answered for from the bow's own readings, before and after.

    For the tuning bench on one page see 'strandwright sheet --bow'.
    """
    from strandwright.cli.layout import say, say_json
    from strandwright.planning.bow.answers import BowAnswers, answer_or_readings
    from strandwright.planning.plan_line import plan_line

    job = load_job(job_file)
    path = None if picture is None else output_file(picture, Path("bow.svg"), job_file)
    plan = plan_line(job)
    answers = answer_or_readings(job, plan)
    if not isinstance(answers, BowAnswers):
        _say_readings(job, plan, answers, picture=path is not None, as_json=as_json)
        return
    if path is not None:
        write_whole(path, _drawn(job, answers))
    if as_json:
        from strandwright.planning.bow.data import bow_data

        say_json({"job": job.id, "plan": plan.id, **bow_data(job, answers)})
        return
    from strandwright.cli.bow_text import bow_lines

    say(bow_lines(job, answers))
    if path is not None:
        say(["", f"wrote {path}"])


def _say_readings(
    job: Job, plan: Plan, found: FromReadings, *, picture: bool, as_json: bool
) -> None:
    """Say what readings alone say; there is then no bow to draw."""
    from strandwright.cli.layout import say, say_json
    from strandwright.planning.bow.readings_data import readings_data

    if picture:
        raise found.refused[0] if len(found.refused) == 1 else InputErrors(found.refused)
    if as_json:
        say_json({"job": job.id, "plan": plan.id, **readings_data(job, found)})
        return
    from strandwright.cli.bow_readings_text import readings_lines

    say(readings_lines(job, found))


def _drawn(job: Job, answers: BowAnswers) -> str:
    from strandwright.drawing.bow_page import bow_page_svg
    from strandwright.planning.bow.pictures import force_draw, frames
    from strandwright.planning.written import Written

    model = answers.model
    shown = frames(model.middle.cycle, Written.on(job.paper), model.question.known.rail)
    return bow_page_svg(shown[0], shown[-1], force_draw(job, answers.model))
