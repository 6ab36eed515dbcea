"""The command ``picture``: the finished line over a tape, or a stretch of it close up."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from strandwright.cli.files import beside_job, load_job, output_file, write_whole

if TYPE_CHECKING:
    from strandwright.planning.result import Plan

_THEMES = ("light", "dark", "sun", "print")


@click.command("picture", short_help="Draw the finished line over a tape as an SVG.")
@click.argument("job_file", metavar="JOB.toml")
@click.option(
    "-o",
    "--output",
    metavar="FILE",
    help="SVG to write; left out, it is named after the job file.",
)
@click.option(
    "--closeup",
    nargs=2,
    metavar="FROM TO",
    help='Draw only this stretch, as thick as it is long, such as "26 in" "31 in".',
)
@click.option("--theme", type=click.Choice(_THEMES), default="light", show_default=True,
              help="Ground and ink; print lays no ground.")
@click.option("--width", type=click.IntRange(200, 10000), metavar="PIXELS",
              help="Width of the drawing.")
@click.option("--json", "as_json", is_flag=True, help="Say what was written as JSON.")
def command(
    job_file: str,
    output: str | None,
    closeup: tuple[str, str] | None,
    theme: str,
    width: int | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Plan the line of a job file and draw it over a tape, as an SVG that any browser opens.

    Lengths are to scale; the line's thickness is exaggerated, but not in a close-up.
    """
    from strandwright.cli.layout import say, say_json
    from strandwright.planning.plan_line import plan_line

    job = load_job(job_file)
    ending = "-closeup.svg" if closeup else ".svg"
    path = output_file(output, beside_job(job_file, ending, job), job_file)
    plan = plan_line(job)
    svg = _close(plan, closeup, theme, width) if closeup else _strip(plan, theme, width)
    write_whole(path, svg)
    if as_json:
        say_json({"job": job.id, "plan": plan.id, "written": str(path), "theme": theme})
        return
    say([f"wrote {path}"])


def _strip(plan: Plan, theme: str, width: int | None) -> str:
    from strandwright.drawing import strip_svg
    from strandwright.planning.picture import strip_picture

    return strip_svg(strip_picture(plan), width=float(width or 1600), theme=theme)


def _close(plan: Plan, stretch: tuple[str, str], theme: str, width: int | None) -> str:
    from strandwright.drawing import twisted_svg
    from strandwright.errors import SpecError
    from strandwright.planning.picture import strip_picture
    from strandwright.planning.written import Written
    from strandwright.units import Dimension, parse

    start, stop = (parse(Dimension.LENGTH, text, field="--closeup").si for text in stretch)
    picture = strip_picture(plan)
    if not 0.0 <= start < stop <= picture.length:
        long = Written.on(plan.job.paper).length(picture.length)
        raise SpecError(
            "--closeup",
            " to ".join(stretch),
            f"must run forward along the line, 0 to {long}",
            "give the smaller position first",
        )
    return twisted_svg(picture, start, stop, width=float(width or 900), theme=theme)
