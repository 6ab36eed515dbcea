"""The command ``shorthand``: reads start-stop shorthand and lays it out from the zero end."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from fractions import Fraction

    from strandwright.units import System
    from strandwright.workshop.shorthand import Shorthand


@click.command("shorthand", short_help="Read a line of start-stop shorthand.")
@click.argument("text", metavar="TEXT")
@click.option("--mirror", is_flag=True, help="Turn the line end for end.")
@click.option("--mm", "in_mm", is_flag=True, help="Write it in millimetres.")
@click.option(
    "--fraction",
    type=click.Choice(["8", "16", "32", "64"]),
    default="16",
    show_default=True,
    help="Finest fraction of an inch to write.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the servings as JSON.")
def command(text: str, mirror: bool, in_mm: bool, fraction: str, as_json: bool) -> None:
    """Read start-stop shorthand and lay its servings out from the zero end.

    TEXT is the overall length, a colon, then start-stop pairs:
    "55 7/16: 0-18, 21-22 5/8, 26 3/4-29 1/2, 18-0". A start that is larger than its stop is
    measured from the far end.
    """
    from dataclasses import replace

    from strandwright.cli.layout import columns, say, say_json
    from strandwright.units import format_length
    from strandwright.workshop.shorthand import format_shorthand, mirrored, parse_shorthand

    read = parse_shorthand(text, field="shorthand")
    read = mirrored(read) if mirror else read
    read = replace(read, unit="mm") if in_mm else read
    written = format_shorthand(read, int(fraction))
    if as_json:
        say_json(_data(read, written))
        return

    def length(metres: Fraction) -> str:
        return format_length(metres, system=read.unit, fraction=int(fraction))

    rows = [
        (f"{k}", length(run.start), length(run.stop), length(run.stop - run.start))
        for k, run in enumerate(read.runs, start=1)
    ]
    table = columns(("serving", "start", "stop", "long"), rows)
    say([written, *(["", *table] if table else [])])


def _data(read: Shorthand, written: str) -> dict[str, Any]:
    unit: System = read.unit
    return {
        "shorthand_text": written,
        "units": unit,
        "length_m": float(read.length),
        "servings": [
            {
                "start_m": float(run.start),
                "stop_m": float(run.stop),
                "from_far_end": run.from_far,
            }
            for run in read.runs
        ],
    }
