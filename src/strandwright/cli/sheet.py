"""The command ``sheet``: the bench sheet of a job as a PDF to true scale."""

from __future__ import annotations

import click

from strandwright.cli.files import beside_job, load_job, output_file, write_whole


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
    "--json", "as_json", is_flag=True, help="Print the sheet's data as JSON; write no PDF."
)
def command(
    job_file: str,
    output: str | None,
    readings: tuple[str, ...],
    wound_at: str | None,
    as_json: bool,
) -> None:
    """Plan the line of a job file and print its bench sheet as a PDF.

    Print it at 100 %, not fitted to the page: its gauges are to true scale.
    """
    from strandwright.cli.layout import say, say_json
    from strandwright.cli.plan import plan_as_read
    from strandwright.sheets import render_sheet, sheet_data

    job = load_job(job_file)
    path = None if as_json else output_file(output, beside_job(job_file, ".pdf", job), job_file)
    data = sheet_data(plan_as_read(job, readings, wound_at))
    if path is None:
        say_json(data)
        return
    write_whole(path, render_sheet(data))
    say([f"wrote {path}"])
    click.echo("Print it at 100 %, not fitted to the page, and check its ruler with the tape.")
