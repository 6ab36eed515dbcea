"""Details that a model of the bow tells better: the peep by its own draw, patches, usual masses."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from strandwright.planning.bow.cost_text import lost_text
from strandwright.planning.bow.crossbow_string import string_sections
from strandwright.planning.bow.model import BowModel
from strandwright.planning.bow.speed import usual_costs
from strandwright.planning.bow.touched import TouchedPart
from strandwright.planning.details.patches import Patch, patches
from strandwright.planning.details.peep import DrawLoads, peep_answers
from strandwright.planning.details.peep_words import peep_rows
from strandwright.planning.details.section import DetailSection, Row
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.planning.written import Written
from strandwright.workshop.job import Job

#: Less than this bare is within what a hand serves to [m]
_HARDLY = 0.003


def string_loads(model: BowModel) -> DrawLoads:
    """Give the string's tension at brace and at full draw over the bows that agree.

    Parameters
    ----------
    model : BowModel
        The bow.

    Returns
    -------
    DrawLoads
        The two, their +- twice the spread over the bows.
    """
    index = model.lines.index("string")
    own = model.family.cycle.tension[:, :, model.family.strung.rig.of_line == index].mean(axis=2)
    source = "the bow's own draw, over the bows that agree with it"
    return DrawLoads(_estimate(own[:, 0]), _estimate(own[:, -1]), source)


def _estimate(values: NDArray[np.float64]) -> Estimate:
    return Estimate(float(values.mean()), float(values.std(ddof=1)), "N")


def bow_details(
    job: Job, plan: Plan, model: BowModel, parts: Sequence[TouchedPart]
) -> tuple[DetailSection, ...]:
    """Give the details of a line that its bow tells.

    Parameters
    ----------
    job : Job
        The job.
    plan : Plan
        Its line.
    model : BowModel
        Its bow.
    parts : sequence of TouchedPart
        What the bow touches of the line.

    Returns
    -------
    tuple of DetailSection
        Patches, the peep by this bow's draw, rail marks and loads of a crossbow's string, marks
        of usual mass.
    """
    to = Written.on(job.paper)
    patched, peeps = _patches(plan, parts, to), _peeps(job, plan, model, to)
    strung = string_sections(plan, model, string_loads(model), to) if model.crossbow else ()
    return (*patched, *peeps, *strung, *_usual(job, plan, model, to))


def _patches(plan: Plan, parts: Sequence[TouchedPart], to: Written) -> Iterator[DetailSection]:
    found = patches(plan, parts)
    if found:
        rows = tuple(_patch_row(patch, to) for patch in found)
        note = "margin and doubt of the places are in them; wax no serving that runs on rubber"
        yield DetailSection("patches", "Patches for stop, slide and rollers", rows, (note,))


def _patch_row(patch: Patch, to: Written) -> Row:
    text = f"serve {to.length(patch.start)} to {to.length(patch.stop)}"
    if not patch.served_by:
        said = f'no serving lies there: serve it there, with use = "{patch.use}"'
    elif patch.short > _HARDLY:
        said = f"'{patch.served_by}' leaves {to.length(patch.short)} of it bare"
    else:
        said = f"'{patch.served_by}' covers it"
    return f"on the {patch.on}", text, said


def _peeps(job: Job, plan: Plan, model: BowModel, to: Written) -> Iterator[DetailSection]:
    if job.line.kind != "string" or model.crossbow:
        return
    for answer in peep_answers(plan, string_loads(model)):
        rows, notes = peep_rows(answer, plan, to)
        yield DetailSection("peep", f"How '{answer.name}' turns on this bow", rows[1:], notes)


def _usual(job: Job, plan: Plan, model: BowModel, to: Written) -> Iterator[DetailSection]:
    costs = usual_costs(job, plan, model)
    if costs:
        rows = tuple((c.item.name, lost_text(c, to), to.mass(c.item.mass)) for c in costs)
        note = "the job gives no mass for these, and the speed above does not count them"
        yield DetailSection("usual", "Marks without a mass", rows, (note,))
