"""Mass of a line: its strands with their wax, its servings, what is tied in."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from strandwright.line.model import LineModel
from strandwright.line.unknowns import Unknowns
from strandwright.planning.estimate import Estimate
from strandwright.planning.prepare import Prepared
from strandwright.planning.result import LoopPlan, ServingPlan
from strandwright.planning.strand_stock import WAX_SPREAD, KnownStrand

#: Spread of the thread on a loop, whose wraps lie round a bend and over a join; estimate [-]
LOOP_THREAD_SPREAD = 0.2


def bare_mass(model: LineModel, strand: KnownStrand, q: Unknowns) -> Estimate:
    """Mass of the strands of a line with their wax, nothing served or tied in.

    Parameters
    ----------
    model : LineModel
        The line.
    strand : KnownStrand
        Its strand with the sources.
    q : mapping
        Unknowns at their means, arrays of shape (1,).

    Returns
    -------
    Estimate
        Mass [kg]

    Notes
    -----
    Every strand runs from throat to throat, and half of them round each leg of a loop: the whole
    count over the body and half of both loops; a section or loop of more strands weighs more.
    """
    zero, far = model.loop_naturals(q)
    edges = model.layout.edges
    strands = [model.line.parts[i].strands for i in model.layout.section]
    body = float(np.diff(edges) @ np.array(strands))
    ends = model.line.zero.strands * float(zero[0]) + model.line.far.strands * float(far[0])
    run = body + 0.5 * ends
    fibre = model.line.strand_count * run * strand.stock.linear_density
    waxed = fibre * (1.0 + strand.stock.wax)
    relative = strand.datum("linear_density").relative_uncertainty
    return Estimate(waxed, math.hypot(waxed * relative, WAX_SPREAD * fibre), "kg")


def whole_mass(bare: Estimate, threads: Iterable[Estimate], tied: float) -> Estimate:
    """Add up strands, serving threads and what is tied in.

    Parameters
    ----------
    bare : Estimate
        Strands with their wax [kg]
    threads : iterable of Estimate
        Thread of each serving [kg]
    tied : float
        What is tied in at marks, as weighed [kg]

    Returns
    -------
    Estimate
        Mass [kg]

    Notes
    -----
    The servings share one bundle and one flattening, so that their +- add up whole; they are
    taken as independent of the strands' mass.
    """
    laid = tuple(threads)
    value = bare.value + sum(t.value for t in laid) + tied
    return Estimate(value, math.hypot(bare.u, sum(t.u for t in laid)), "kg")


def loop_thread(loop: LoopPlan) -> Estimate:
    """Mass of the thread on a loop.

    Parameters
    ----------
    loop : LoopPlan
        The loop.

    Returns
    -------
    Estimate
        Mass; zero for a bare loop [kg]
    """
    return Estimate(loop.mass, LOOP_THREAD_SPREAD * loop.mass, "kg")


def line_mass(
    prepared: Prepared,
    q: Unknowns,
    servings: tuple[ServingPlan, ...],
    loops: tuple[LoopPlan, ...] = (),
) -> Estimate:
    """Mass of the finished line: strands with their wax, servings, loops, what is tied in.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    q : mapping
        Unknowns at their means, arrays of shape (1,).
    servings : tuple of ServingPlan
        The servings of the body.
    loops : tuple of LoopPlan
        The loops, for the thread on them.

    Returns
    -------
    Estimate
        Mass [kg]
    """
    model = prepared.model
    threads = [*(s.mass for s in servings), *(loop_thread(loop) for loop in loops)]
    tied = sum(mark.mass for mark in model.line.marks)
    return whole_mass(bare_mass(model, prepared.strand, q), threads, tied)
