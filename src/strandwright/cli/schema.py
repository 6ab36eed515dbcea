"""The command ``schema``: the JSON Schema of the job file, for editors."""

from __future__ import annotations

import json
from pathlib import Path

import click


@click.command("schema", short_help="Write the JSON Schema of the job file.")
@click.option(
    "-o", "--output", type=click.Path(dir_okay=False, path_type=Path), help="File to write."
)
def command(output: Path | None) -> None:
    """Write the JSON Schema of the job file, to the terminal or into a file.

    An editor that knows it offers the keys of a job file and marks what is wrong while you type.
    """
    from strandwright.cli.files import write_whole
    from strandwright.cli.layout import say_json
    from strandwright.workshop.job import job_schema

    schema = job_schema()
    if output is None:
        say_json(schema)
        return
    write_whole(output, json.dumps(schema, indent=2) + "\n")
    click.echo(f"wrote {output}")
