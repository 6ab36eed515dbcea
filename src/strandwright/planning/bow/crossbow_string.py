"""A crossbow's string by its own draw: the rail's edges on it when cocked, and its loads."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.rail import half_on_rail
from strandwright.planning.bow.line_stiffness import line_stiffness_of
from strandwright.planning.bow.model import BowModel
from strandwright.planning.crossbow.middle import cocked_marks, middle_of
from strandwright.planning.details.peep import DrawLoads
from strandwright.planning.details.section import DetailSection, Row
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.planning.strength.loads import release_bound
from strandwright.planning.strength.margins import share_of
from strandwright.planning.strength.places import is_crossbow_string
from strandwright.planning.written import Written
from strandwright.reference import practice

Floats = NDArray[np.float64]
_DRY = (
    "the bound at release takes all energy that misses the bolt as stretching the string; with no "
    "bolt nothing takes any, and the whole draw goes into string and limbs: never dry fire"
)
_STATE = (
    "write them as bow.loads.resting, highest and release in the job to plan the string by this "
    "bow in place of practice"
)


def string_sections(
    plan: Plan, model: BowModel, loads: DrawLoads, to: Written
) -> Iterator[DetailSection]:
    """Give what a model of the crossbow tells of its string.

    Parameters
    ----------
    plan : Plan
        The line.
    model : BowModel
        Its bow.
    loads : DrawLoads
        Tension of the string at brace and at the latch.
    to : Written
        The job's units.

    Yields
    ------
    DetailSection
        Marks where the cocked string meets the rail, and its loads; none for another line.
    """
    if not is_crossbow_string(plan.job) or model.question.known.rail is None:
        return
    rows = tuple(_marks(plan, model, loads, to))
    if rows:
        note = (
            "lay them off from the middle while it is marked; cocked, both must lie alike at the "
            "rail's edges: one nearer tells that hook or hand pulled that side further"
        )
        yield DetailSection("cocked", "Rail marks, cocked", rows, (note,))
    rows = tuple(_loads(plan, model, to))
    yield DetailSection("loads", "Loads of the string by this bow", rows, (_DRY, _STATE))


def _marks(plan: Plan, model: BowModel, loads: DrawLoads, to: Written) -> Iterator[Row]:
    rail, cycle = model.question.known.rail, model.family.cycle
    middle = middle_of(plan, loads)
    assert rail is not None
    if middle is None:
        return
    # By the rail's mean width, for its doubt moves both marks alike and is told with it.
    half = half_on_rail(cycle, np.full(model.family.members, rail[0]))[:, -1]
    found = cocked_marks(plan, half, loads)
    if found is None:
        return
    wider = half.mean() * rail[1] / rail[0]
    at = Estimate(found.value, math.hypot(found.u, float(wider)), "m")
    braced = middle.half_rail
    yield (
        "braced",
        f"{to.small_estimate(braced)} from the middle",
        "the rail's edge at rest, where the string lies straight across",
    )
    yield (
        "cocked",
        f"{to.small_estimate(at)} from the middle",
        "the rail's edge with the string at the latch, by this bow's draw; on the finished line",
    )


def string_loads_of(plan: Plan, model: BowModel) -> dict[str, Estimate]:
    """Give the loads of a crossbow's string by the bows that agree with what is known.

    Parameters
    ----------
    plan : Plan
        The line.
    model : BowModel
        Its bow.

    Returns
    -------
    dict of str to Estimate
        Resting, highest of the slow draw, cocked, and the bound at release [N]
    """
    family = model.family
    index = model.lines.index("string")
    own: Floats = family.cycle.tension[:, :, family.strung.rig.of_line == index].max(axis=2)
    given = plan.job.bow.efficiency
    row = practice("bow.crossbow.efficiency")
    eta, u = (
        (row.value, row.standard_uncertainty)
        if given is None
        else (given.si, given.standard_uncertainty or 0.0)
    )
    stiffness = line_stiffness_of(plan)
    length, energy = plan.target.length.value, family.cycle.energy[:, -1]

    def bound(share: float) -> Floats:
        each = zip(own[:, 0], energy, strict=True)
        return np.array([release_bound(t, e, share, stiffness, length) for t, e in each])

    at = bound(eta)
    better = bound(min(eta + u, 0.99))
    doubt = math.hypot(float(at.std(ddof=1)), float((at - better).mean()))
    return {
        "resting": _estimate(own[:, 0]),
        "highest": _estimate(own.max(axis=1)),
        "cocked": _estimate(own[:, -1]),
        "release": Estimate(float(at.mean()), doubt, "N"),
    }


_TOLD = {
    "resting": "at brace",
    "highest": "highest, slow draw",
    "cocked": "cocked, at the latch",
    "release": "bound at release",
}


def _loads(plan: Plan, model: BowModel, to: Written) -> Iterator[Row]:
    derated = plan.strength.derated
    for key, load in string_loads_of(plan, model).items():
        share = to.share_estimate(share_of(load, derated))
        yield _TOLD[key], to.estimate(load), f"{share} of the derated break load"


def _estimate(values: Floats) -> Estimate:
    return Estimate(float(values.mean()), float(values.std(ddof=1)), "N")
