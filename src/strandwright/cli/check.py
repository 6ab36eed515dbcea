"""The command ``check``: whether a job file can be planned, and what it would come to."""

from __future__ import annotations

import click

from strandwright.cli.files import load_job


@click.command("check", short_help="Check a job file without writing anything.")
@click.argument("job_file", metavar="JOB.toml")
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
def command(job_file: str, as_json: bool) -> None:
    """Check that a job file can be read and its line planned.

    Every field that cannot be used is named with its value, the rule and the remedy.
    """
    from strandwright.cli.layout import paragraph, say, say_json
    from strandwright.planning.plan_line import plan_line
    from strandwright.planning.written import Written

    job = load_job(job_file)
    plan = plan_line(job)
    if as_json:
        say_json({"job": job.id, "can_be_planned": True, "warnings": list(plan.warnings)})
        return
    to = Written.on(job.paper)
    posts, within = plan.winding.posts_outside.value, plan.target.tolerance
    said = (
        f"{job.name} [{job.id}] can be planned: posts at {to.length(posts)}, "
        f"{to.chance(plan.landing.chance)} to land within {to.length(within)}."
    )
    lines = paragraph(said, indent="")
    for warning in plan.warnings:
        lines += paragraph(warning, mark="!")
    say(lines)
