"""Heeding: every caution of a set's lines once, with the steps and the lines it belongs to."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from strandwright.planning.result import Plan
from strandwright.planning.sets.result import Heed


def heeds_of(
    plans: Sequence[Plan], done: Mapping[str, Collection[str]] | None = None
) -> tuple[Heed, ...]:
    """Collect the cautions that stand at the steps of the lines still to be built.

    Parameters
    ----------
    plans : sequence of Plan
        These lines.
    done : mapping or None
        Ids of the steps that are behind, by job.

    Returns
    -------
    tuple of Heed
        In the order in which they are first met.
    """
    found: dict[str, dict[str, list[str]]] = {}
    for plan in plans:
        behind = (done or {}).get(plan.job.id, ())
        for step in plan.steps:
            if step.caution and step.id not in behind:
                # What stands behind the colon tells steps of one line apart, not acts.
                act = step.title.partition(":")[0]
                jobs = found.setdefault(step.caution, {}).setdefault(act, [])
                if plan.job.id not in jobs:
                    jobs.append(plan.job.id)
    return tuple(
        Heed(caution, tuple((act, tuple(jobs)) for act, jobs in steps.items()))
        for caution, steps in found.items()
    )
