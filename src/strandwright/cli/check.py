"""The command ``check``: whether a job file can be planned, and what it would come to."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from strandwright.cli.files import load_job

if TYPE_CHECKING:
    from strandwright.planning.result import Plan

#: Warnings that are shown; the plan shows all.
_SHOWN = 6


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
        say_json({"job": job.id, "can_be_planned": True, "warnings": warnings_in(plan)})
        return
    to = Written.on(job.paper)
    posts, within = to.estimate(plan.winding.posts_outside), plan.target.tolerance
    said = (
        f"{job.name} [{job.id}] can be planned: posts at {posts}, "
        f"{to.chance(plan.landing.chance)} to land within {to.length(within)}."
    )
    lines = paragraph(said, indent="")
    warnings = warnings_in(plan)
    if warnings:
        lines += _counted(len(warnings))
    for warning in warnings[:_SHOWN]:
        lines += paragraph(warning, mark="!")
    if len(warnings) > _SHOWN:
        lines += paragraph(f"The plan says the other {len(warnings) - _SHOWN} too.")
    say(lines)


def warnings_in(plan: Plan) -> list[str]:
    """Give what a plan warns of, each once: what to settle first, servings, fits."""
    found = list(plan.warnings)
    found += [f"{s.name}: {warning}" for s in plan.servings for warning in s.warnings]
    found += [
        f"{fit.what} against {fit.against}: {fit.verdict}"
        for fit in plan.fits
        if fit.verdict in ("tight", "loose")
    ]
    return list(dict.fromkeys(found))


def _counted(warnings: int) -> list[str]:
    from strandwright.cli.layout import paragraph

    things = "1 warning" if warnings == 1 else f"{warnings} warnings"
    return paragraph(f"It has {things}; look at the plan before you build:", indent="")
