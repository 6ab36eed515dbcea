"""Braced places: where on the line things lie once it is on the bow, at the load of the brace.

A peep is tied in and a nocking point is set on the strung bow; the line is then longer or shorter
than at the measuring load, each served and bare stretch by its own share.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import build_finished, map_position
from strandwright.line.model import LineModel
from strandwright.line.states import ClosedCase, StageState
from strandwright.line.unknowns import Unknowns
from strandwright.planning.details.held import prepared_line
from strandwright.planning.details.peep import DrawLoads, plan_loads
from strandwright.planning.prepare import at_mean
from strandwright.planning.result import Plan


@dataclass(frozen=True)
class BracedPlaces:
    """Places on the braced line.

    Attributes
    ----------
    load : float
        Tension at brace [N]
    places : tuple of float
        From the outside of the zero end's peg [m]
    length : float
        Outside to outside of the pegs [m]
    """

    load: float
    places: tuple[float, ...]
    length: float


def braced_places(
    plan: Plan, places: Sequence[float], loads: DrawLoads | None = None
) -> BracedPlaces | None:
    """Map finished places of a line to where they lie at brace.

    Parameters
    ----------
    plan : Plan
        The plan.
    places : sequence of float
        On the finished line, at the measuring condition, from its zero end [m]
    loads : DrawLoads or None
        Tension at brace from a model of the bow; None takes what the job or practice says.

    Returns
    -------
    BracedPlaces or None
        None where no load at brace is known.

    Notes
    -----
    Over the bow's pegs where the job names them, else over the measuring pins; at the means of
    what is unknown. What the line still creeps on the bow is not in it.
    """
    found = plan_loads(plan) if loads is None else loads
    if found is None:
        return None
    model, q = prepared_line(plan).model, at_mean(plan.parameters)
    finished, _ = build_finished(model, q, plan.chosen.settings)
    braced = at_load(model, q, finished, found.braced.value, pegs_of(plan, model))
    mapped = map_position(np.asarray(places, dtype=float), model.layout.edges, braced.edges[0])
    return BracedPlaces(
        found.braced.value, tuple(float(v) for v in mapped), float(braced.length[0])
    )


def pegs_of(plan: Plan, model: LineModel) -> tuple[float, float]:
    """Give what the loops lie on: the bow's pegs where the job names them, else measuring pins.

    Parameters
    ----------
    plan : Plan
        The plan.
    model : LineModel
        Its line.

    Returns
    -------
    tuple of float
        Diameters at the zero and the far end [m]
    """
    pegs = {p.name: p.diameter.si for p in plan.job.bow.pegs}
    pin = model.line.pin_diameter
    line = plan.job.line
    return pegs.get(line.zero_end.peg or "", pin), pegs.get(line.far_end.peg or "", pin)


def at_load(
    model: LineModel,
    q: Unknowns,
    finished: StageState,
    load: float,
    pegs: tuple[float, float],
) -> StageState:
    """Give the finished line over other pins at another load, its strands as they are.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (B,).
    finished : StageState
        The finished line.
    load : float
        Load along it [N]
    pegs : tuple of float
        Diameters of what its loops lie on, zero and far end [m]

    Returns
    -------
    StageState
        There.
    """
    assert finished.spans is not None
    proof = model.route.stage("proof")
    stage = replace(proof, load=load, zero_pin=pegs[0], far_pin=pegs[1])
    naturals: FloatArray = np.diff(finished.edges, axis=1) / finished.spans.length[:, model.kinds]
    turns = (finished.turn_rates[:, model.kinds] * naturals).sum(axis=1)
    case = ClosedCase(stage, np.full(len(naturals), load), naturals, turns)
    return model.closed_states(q, [case])[0]
