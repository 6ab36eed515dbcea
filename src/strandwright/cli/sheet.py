"""The command ``sheet``: the bench sheet of a job as a PDF to true scale."""

from __future__ import annotations

from pathlib import Path

import click

from strandwright.cli.files import beside_job, load_job


@click.command("sheet", short_help="Print the bench sheet of a job as a PDF.")
@click.argument("job_file", metavar="JOB.toml")
@click.option(
    "-o",
    "--output",
    type=click.Path(dir_okay=False, path_type=Path),
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
    "--json", "as_json", is_flag=True, help="Print the sheet's data as JSON; write no PDF."
)
def command(
    job_file: str,
    output: Path | None,
    readings: tuple[str, ...],
    wound_at: str | None,
    as_json: bool,
) -> None:
    """Plan the line of a job file and print its bench sheet as a PDF.

    Print it at 100 %, not fitted to the page: its gauges are to true scale.
    """
    from strandwright.cli.files import write_whole
    from strandwright.cli.layout import say_json
    from strandwright.cli.plan import with_readings
    from strandwright.planning.plan_line import plan_line
    from strandwright.sheets import render_sheet, sheet_data

    job = with_readings(load_job(job_file), readings, wound_at)
    data = sheet_data(plan_line(job))
    if as_json:
        say_json(data)
        return
    path = output or beside_job(job_file, ".pdf", job)
    write_whole(path, render_sheet(data))
    click.echo(f"wrote {path}")
    click.echo("Print it at 100 %, not fitted to the page, and check its ruler with the tape.")
