"""The command ``sheet``: the bench sheet of a job as a PDF to true scale."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from strandwright.cli.files import beside_job, load_job, output_file, write_whole

if TYPE_CHECKING:
    from strandwright.planning.result import Plan


@click.command("sheet", short_help="Print the bench sheet of a job as a PDF.")
@click.argument("job_file", metavar="JOB.toml")
@click.option(
    "-o",
    "--output",
    metavar="FILE",
    help="PDF to write; left out, it is named after the job file.",
)
@click.option(
    "--read",
    "readings",
    multiple=True,
    metavar="STAGE=LENGTH",
    help="A length read so far; see 'strandwright plan --help'.",
)
@click.option("--wound-at", metavar="LENGTH", help="Where the posts stood, if not as planned.")
@click.option(
    "--bow", "of_bow", is_flag=True, help="Print the bow's page for the tuning bench instead."
)
@click.option(
    "--json", "as_json", is_flag=True, help="Print the sheet's data as JSON; write no PDF."
)
def command(
    job_file: str,
    output: str | None,
    readings: tuple[str, ...],
    wound_at: str | None,
    of_bow: bool,
    as_json: bool,
) -> None:
    """Plan the line of a job file and print its bench sheet as a PDF.

    Print it at 100 %, not fitted to the page: its gauges are to true scale.

    With --bow it is one page about the bow: what a turn does, the way home, and columns for
    readings before and after; see 'strandwright bow --help'.
    """
    from strandwright.cli.layout import say, say_json
    from strandwright.cli.plan import plan_as_read
    from strandwright.sheets import render_sheet

    job = load_job(job_file)
    ending = "-bow.pdf" if of_bow else ".pdf"
    path = None if as_json else output_file(output, beside_job(job_file, ending, job), job_file)
    plan = plan_as_read(job, readings, wound_at)
    data = _of_bow(plan) if of_bow else _of_bench(plan)
    if path is None:
        say_json(data)
        return
    write_whole(path, render_sheet(data))
    say([f"wrote {path}"])
    if not of_bow:
        click.echo("Print it at 100 %, not fitted to the page, and check its ruler with the tape.")


def _of_bench(plan: Plan) -> dict[str, Any]:
    from strandwright.sheets import sheet_data

    return sheet_data(plan)


def _of_bow(plan: Plan) -> dict[str, Any]:
    from strandwright.planning.bow.answers import BowAnswers, answer_or_readings
    from strandwright.sheets.bow import bow_sheet_data
    from strandwright.sheets.bow_readings import readings_sheet_data

    answers = answer_or_readings(plan.job, plan)
    if isinstance(answers, BowAnswers):
        return bow_sheet_data(plan, answers)
    return readings_sheet_data(plan, answers)
