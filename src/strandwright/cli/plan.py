"""The command ``plan``: a job file in, every number needed to build the line out."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import click

from strandwright.cli.files import load_job
from strandwright.errors import SpecError

if TYPE_CHECKING:
    from strandwright.planning.result import Plan
    from strandwright.workshop.job import Job

_READING = re.compile(
    r"(?P<length>.+?)(?: at (?P<load>.+?))?(?: after (?P<turns>[0-9.]+(?: 1/2)?) turns?)?",
    re.IGNORECASE,
)
_EXAMPLE = 'bare="57 5/8 in" or half="57 7/16 in at 96 lbf after 14 turns"'


@click.command("plan", short_help="Plan the line of a job file.")
@click.argument("job_file", metavar="JOB.toml")
@click.option("--json", "as_json", is_flag=True, help="Print the plan as JSON.")
@click.option(
    "--read",
    "readings",
    multiple=True,
    metavar="STAGE=LENGTH",
    help='A length read so far, such as bare="57 5/8 in"; " at 96 lbf" and " after 14 turns" may '
    "follow it. May be given several times. Stages: bare, half, twisted, proof.",
)
@click.option(
    "--wound-at",
    metavar="LENGTH",
    help="Where the posts stood when the line was wound, if not where the plan put them.",
)
def command(
    job_file: str, as_json: bool, readings: tuple[str, ...], wound_at: str | None
) -> None:
    """Plan the line of a job file: posts, winding, servings, twist, and how surely it lands.

    With readings, what is left to do is planned again from them. Nothing is written; to keep
    readings, put them under [build] in the job file. A file named - is standard input.
    """
    from strandwright.cli.layout import say, say_json

    plan = plan_as_read(load_job(job_file), readings, wound_at)
    if as_json:
        from strandwright.planning.plan_data import plan_data

        say_json(plan_data(plan))
        return
    from strandwright.cli.plan_text import plan_lines

    say(plan_lines(plan))


def plan_as_read(job: Job, readings: tuple[str, ...], wound_at: str | None) -> Plan:
    """Plan a job with readings typed as options; a stage that is already there is replaced.

    A line that has been read has been wound. Where nobody says at which post setting, it is the
    one that the plan without readings gives. What is said to have been done goes before what the
    job's route had planned.
    """
    from strandwright.cli.told import named
    from strandwright.planning.plan_line import plan_line
    from strandwright.workshop.job import job_from_table

    new = [_reading(text) for text in readings]
    if not new and wound_at is None:
        return plan_line(job)
    table = job.model_dump(mode="json", exclude_defaults=True)
    build: dict[str, Any] = table.setdefault("build", {})
    stages = {reading["stage"] for reading in new}
    kept = [old for old in build.get("readings", []) if old["stage"] not in stages]
    build["readings"] = [*kept, *new]
    typed = {f"build.readings[{n}]": "--read" for n in range(len(kept) + 1, len(kept + new) + 1)}
    if wound_at is not None:
        build["wound_at"] = wound_at
        typed["build.wound_at"] = "--wound-at"
        table.get("route", {}).pop("wound_at", None)
    with named(typed):
        if wound_at is None and job.build.wound_at is None and job.route.wound_at is None:
            job_from_table(table)
            build["wound_at"] = _planned_posts(job)
        return plan_line(job_from_table(table))


def _planned_posts(job: Job) -> str:
    """Give the post setting of the plan without readings, as it is set on the tape."""
    from strandwright.planning.plan_line import plan_line
    from strandwright.planning.written import Written

    return Written.on(job.paper).estimate(plan_line(job).winding.posts_outside)


def _reading(text: str) -> dict[str, Any]:
    """Split ``STAGE=LENGTH [at LOAD] [after N turns]``."""
    stage, equals, rest = text.partition("=")
    match = _READING.fullmatch(rest.strip())
    if not equals or match is None:
        rule = "must be a stage, = and a length"
        raise SpecError("--read", text, rule, f"write it as {_EXAMPLE}")
    table: dict[str, Any] = {"stage": stage.strip(), "length": match["length"]}
    if match["load"]:
        table["load"] = match["load"]
    if match["turns"]:
        whole, _, half = match["turns"].partition(" ")
        table["turns"] = float(whole) + (0.5 if half else 0.0)
    return table
