"""A job with its plan and the bows that agree with it."""

from __future__ import annotations

from dataclasses import dataclass

from sample_job import job_of
from strandwright.planning.bow.known import question
from strandwright.planning.bow.model import BowModel, model_bow
from strandwright.planning.plan_line import plan_line
from strandwright.planning.result import Plan
from strandwright.workshop.job import Job


@dataclass(frozen=True)
class Asked:
    """A job, its plan, and the bows that agree with it."""

    name: str
    job: Job
    plan: Plan
    model: BowModel


def asked(name: str) -> Asked:
    """Plan an example job and look for its bows."""
    job = job_of(name)
    plan = plan_line(job)
    return Asked(name, job, plan, model_bow(question(job, plan)))
