"""The command ``schema``: the JSON Schema of the job file or the set file, for editors."""

from __future__ import annotations

import json
from pathlib import Path

import click

from strandwright.cli.files import output_file, write_whole


@click.command("schema", short_help="Write the JSON Schema of the job file.")
@click.option("--set", "of_set", is_flag=True, help="Write that of the set file instead.")
@click.option("-o", "--output", metavar="FILE", help="File to write.")
def command(of_set: bool, output: str | None) -> None:
    """Write the JSON Schema of the job file, to the terminal or into a file.

    An editor that knows it offers the keys of a job file and marks what is wrong while you type.
    """
    from strandwright.cli.layout import say, say_json
    from strandwright.workshop.job import job_schema
    from strandwright.workshop.line_set import set_schema

    schema = set_schema() if of_set else job_schema()
    if output is None:
        say_json(schema)
        return
    path = output_file(output, Path("set-schema.json" if of_set else "job-schema.json"))
    write_whole(path, json.dumps(schema, indent=2) + "\n")
    say([f"wrote {path}"])
