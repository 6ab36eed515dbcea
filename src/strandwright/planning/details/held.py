"""Held stretch of a plan's line: the places that keep it from turning, the pieces between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.model import LineModel
from strandwright.line.peep_turn import HeldPieces, piece_shares
from strandwright.line.serving_geometry import torsion_stiffness
from strandwright.line.states import StageState
from strandwright.line.unknowns import Unknowns
from strandwright.planning.details.marks import nock_of
from strandwright.planning.prepare import Prepared, prepare
from strandwright.planning.readings.part_way import with_part_way
from strandwright.planning.result import Plan
from strandwright.reference import practice

#: A hold nearer to the peep than this leaves nothing that could turn [m]
_LEAST = 1e-3


@dataclass(frozen=True)
class Hold:
    """Two places that keep the line between them from turning.

    Attributes
    ----------
    name : str
        What holds, in words.
    start, stop : float
        Where, on the finished line [m]
    """

    name: str
    start: float
    stop: float


def prepared_line(plan: Plan) -> Prepared:
    """Make a plan's line ready again, with what is known of it now.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    Prepared
        Its line and what is known of its unknowns.
    """
    ready = prepare(plan.job, plan.target.length.value, plan.parameters)
    return with_part_way(ready, plan.chosen)


def holds_of(plan: Plan, model: LineModel, peep: float) -> tuple[Hold, ...]:
    """Find what may hold the line on both sides of a peep, the least first.

    Parameters
    ----------
    plan : Plan
        The plan.
    model : LineModel
        Its line.
    peep : float
        Where the peep sits on the finished line [m]

    Returns
    -------
    tuple of Hold
        The loops alone; the tracks that end servings lie in, where the job names any; and with
        them the nocking point, which the nock and whoever draws keep from turning.

    Notes
    -----
    A track is taken to let go of the string where its serving stops, less what is served past
    what is touched. Further in as the bow is drawn it lets go of more, so that the stretch that
    turns is then a little longer.
    """
    first, last = (float(model.layout.edges[i]) for i in (0, -1))
    found = [Hold("the loops hold", first, last)]
    low, high = _tracks(plan, first, last, peep)
    if (low, high) != (first, last):
        found.append(Hold("tracks hold too", low, high))
    nock = nock_of(plan)
    if nock is not None and abs(nock.position.value - peep) > _LEAST:
        at = nock.position.value
        low, high = (at, high) if at < peep else (low, at)
        found.append(Hold("the nocking point holds too", low, high))
    return tuple(h for h in found if h.start < peep - _LEAST and h.stop > peep + _LEAST)


def _tracks(plan: Plan, first: float, last: float, peep: float) -> tuple[float, float]:
    margin = practice("wheels.serving_margin").value
    named = {s.name for s in plan.job.line.servings if s.track is not None or s.use == "track"}
    low, high = first, last
    for serving in plan.servings:
        if serving.name not in named:
            continue
        start, stop = serving.start.value, serving.stop.value
        # A patch for a roller lies amid the line; only what reaches its end lies on a wheel.
        if start <= first and stop - margin < peep:
            low = max(low, stop - margin)
        if stop >= last and start + margin > peep:
            high = min(high, start + margin)
    return low, high


def held_pieces(
    model: LineModel,
    q: Unknowns,
    state: StageState,
    hold: Hold,
    peep: float,
    uneven: Sequence[FloatArray],
) -> tuple[HeldPieces, NDArray[np.bool_]]:
    """Cut a finished line into the pieces between two holds, parted at a peep.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (B,).
    state : StageState
        The finished line, for every case.
    hold : Hold
        The two holds.
    peep : float
        Where the peep sits on the finished line [m]
    uneven : sequence of ndarray
        Load by which the torque of unequal strands is off before and after the peep, each of
        shape (B,) [N]

    Returns
    -------
    tuple of HeldPieces and ndarray
        The pieces, and which of them lie before the peep.
    """
    assert state.spans is not None
    edges = model.layout.edges[None, :]
    shares = [piece_shares(edges, *ends)[0] for ends in ((hold.start, peep), (peep, hold.stop))]
    segments = [np.flatnonzero(share > 0.0) for share in shares]
    chosen = np.concatenate(segments)
    share = np.concatenate([s[i] for s, i in zip(shares, segments, strict=True)])
    before = np.arange(len(chosen)) < len(segments[0])
    columns = model.kinds[chosen]
    whole = np.diff(state.edges, axis=1)[:, chosen] / state.spans.length[:, columns]
    naturals = share * whole
    turns = state.turn_rates[:, columns] * naturals
    threads = _threads(model, q)[:, chosen]
    relaxed = np.zeros_like(turns) if model.route.served_before_twist else turns
    radius = np.stack([model.twist_radius(q, served=s >= 0) for s in _servings(model, chosen)], 1)
    off = np.where(before, uneven[0][:, None], uneven[1][:, None])
    pieces = HeldPieces(naturals, turns, radius, threads, relaxed, off, model.strand_set(q))
    return pieces, before


def _servings(model: LineModel, chosen: NDArray[np.intp]) -> list[int]:
    return [model.layout.serving[int(i)] for i in chosen]


def _threads(model: LineModel, q: Unknowns) -> FloatArray:
    """Torsional stiffness of the thread on every segment, shape (B, K) [N m^2]."""
    spans = model.servings(q)
    none = np.zeros_like(q["stiffness"])
    columns = [
        none
        if serving < 0
        else q["grip"]
        * torsion_stiffness(
            spans[serving],
            q["thread_stiffness"] * model.line.servings[serving].thread.stiffness,
        )
        for serving in model.layout.serving
    ]
    return np.stack(columns, axis=1)
