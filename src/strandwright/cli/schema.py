"""The command ``schema``: the JSON Schema of the job file, for editors."""

from __future__ import annotations

import json
from pathlib import Path

import click

from strandwright.cli.files import output_file, write_whole


@click.command("schema", short_help="Write the JSON Schema of the job file.")
@click.option("-o", "--output", metavar="FILE", help="File to write.")
def command(output: str | None) -> None:
    """Write the JSON Schema of the job file, to the terminal or into a file.

    An editor that knows it offers the keys of a job file and marks what is wrong while you type.
    """
    from strandwright.cli.layout import say, say_json
    from strandwright.workshop.job import job_schema

    if output is None:
        say_json(job_schema())
        return
    path = output_file(output, Path("job-schema.json"))
    write_whole(path, json.dumps(job_schema(), indent=2) + "\n")
    say([f"wrote {path}"])
