"""Jobs for the tests of planning: the packaged examples, and copies with some entries changed."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import strandwright
from strandwright.line.build import Settings
from strandwright.line.model import LineModel
from strandwright.planning.makings.reinforced import reinforcements
from strandwright.planning.plan_line import plan_line
from strandwright.planning.prepare import Prepared, at_mean, prepare
from strandwright.planning.readings.part_way import with_part_way
from strandwright.planning.result import Plan
from strandwright.planning.settings import Chosen, choose_settings
from strandwright.planning.take_off.target import find_target
from strandwright.workshop.job import Job, job_from_table, read_job

EXAMPLES = sorted((Path(strandwright.__file__).parent / "examples").glob("*.toml"))
EXAMPLE_NAMES = [path.stem for path in EXAMPLES]
#: Lines that are wound on posts; the others are laid in by hand
WOUND_NAMES = [p.stem for p in EXAMPLES if read_job(p.read_text("utf-8")).line.laid is None]
RIDGE, CABLE, MERE, TARN = "ridge-string", "ridge-upper-cable", "mere-string", "tarn-string"
ORDERS = (
    "serve, then twist",
    "twist, stretch, then serve",
    "stretch, twist, stretch, then serve",
)
INCH, LBF, GRAIN = 0.0254, 4.4482216152605, 6.479891e-5


@cache
def _text(name: str) -> str:
    return next(p for p in EXAMPLES if p.stem == name).read_text("utf-8")


def table_of(name: str = RIDGE, changes: dict[str, Any] | None = None) -> dict[str, Any]:
    """Give an example's tables, entries replaced by their dotted places; None takes one out."""
    table = read_job(_text(name)).model_dump(mode="json", exclude_defaults=True)
    for place, value in (changes or {}).items():
        *folders, last = place.split(".")
        inside: Any = table
        for folder in folders:
            listed = isinstance(inside, list)
            inside = inside[int(folder)] if listed else inside.setdefault(folder, {})
        if value is None:
            inside.pop(last, None)
        else:
            inside[last] = value
    return table


def job_of(name: str = RIDGE, changes: dict[str, Any] | None = None) -> Job:
    """Give an example job, some entries changed."""
    return job_from_table(table_of(name, changes))


def plan_of(name: str = RIDGE, changes: dict[str, Any] | None = None) -> Plan:
    """Plan an example job, some entries changed."""
    return plan_line(job_of(name, changes))


@cache
def example_plan(name: str = RIDGE) -> Plan:
    """Give the plan of an example as it is packaged."""
    return plan_line(job_of(name))


def prepared_of(job: Job) -> Prepared:
    """Make a job ready at its target."""
    return prepare(job, find_target(job).length.value)


def model_of(plan: Plan) -> LineModel:
    """Give the model that a plan was predicted with."""
    return with_part_way(prepared_of(plan.job), plan.chosen).model


def chosen_of(job: Job) -> Chosen:
    """Choose a job's settings at the means of what is unknown."""
    prepared = prepared_of(job)
    return choose_settings(prepared, at_mean(prepared.parameters))


def settings_of(plan: Plan) -> Settings:
    """Give the settings that a plan without readings stands on."""
    return plan.chosen.settings


def exact(metres: float) -> str:
    """Write a length so finely that nothing is lost."""
    return f"{1e3 * metres:.9f} mm"


def laid_in(plan: Plan) -> float:
    """Strand cut for reinforced ends, beside what is wound [m]."""
    line = prepared_of(plan.job).model.line
    return sum(end.cut for end in reinforcements(plan.job, line.zero, line.far))
