"""Break places: where a line breaks first, its loops, legs or middle, and what moves the place."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from strandwright.planning.estimate import Estimate
from strandwright.planning.makings.reinforced import (
    ENDS,
    is_crossbow_string,
    is_reinforced,
    with_reinforced,
)
from strandwright.planning.makings.reinforced_hold import PieceHold, piece_hold
from strandwright.planning.makings.sections import loop_part
from strandwright.planning.prepare import Prepared
from strandwright.planning.result import BreakPlace, Strength
from strandwright.planning.strength.legs import loop_strands, yoke_strands
from strandwright.reference import practice
from strandwright.workshop.job import Job


def has_places(job: Job) -> bool:
    """Tell whether a line of a job may break elsewhere than at loops of all its strands.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    bool
        False for a plain line of another bow, whose loops break first.
    """
    odd = loop_strands(job).value < 1.0
    return is_reinforced(job) or is_crossbow_string(job) or job.line.yoke is not None or odd


def at_weakest(prepared: Prepared, strength: Strength) -> Strength:
    """Reckon a line's strength with the place where it breaks first.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    strength : Strength
        Its strength by its loops, each of the strands of the line.

    Returns
    -------
    Strength
        With its places; as it was for a plain line of another bow, whose loops break first.

    Notes
    -----
    What twist takes is taken everywhere alike, although a loop's legs have none: the loops are
    reckoned a little weaker than they are, as they were before.
    """
    job = prepared.job
    if not has_places(job):
        return strength
    ends = strength.ends
    whole = strength.derated.value / ends.value
    relative = math.sqrt(
        max((strength.derated.u / strength.derated.value) ** 2 - (ends.u / ends.value) ** 2, 0.0)
    )
    found = [
        _place(name, strands, keeps, whole, relative)
        for name, strands, keeps in _places(prepared, strength)
    ]
    if job.line.yoke is not None and all(place.name != "legs" for place in found):
        return strength
    places = tuple(sorted(found, key=lambda place: place.load.value))
    first = places[0]
    value = first.strands.value * first.keeps.value
    spread = math.hypot(first.strands.u * first.keeps.value, first.strands.value * first.keeps.u)
    return replace(
        strength, ends=Estimate(value, spread, "1"), derated=first.load, places=places
    )


def _places(
    prepared: Prepared, strength: Strength
) -> Iterator[tuple[str, Estimate, Estimate]]:
    """Give each place with the strands that bear there and what its bends leave."""
    job, ends = prepared.job, strength.ends
    legs = yoke_strands(prepared, strength.twist.value)
    for which in ENDS:
        if legs is not None and which == "far_end":
            continue
        hold = piece_hold(prepared, which, tension_in_loop(prepared, strength))
        yield f"loop {getattr(job.line, which).name}", _in_loop(job, which, hold), ends
    if legs is not None:
        # The loops of legs that keep as much as the body are the line's own far loop.
        if legs.value < 1.0:
            yield "legs", legs, ends
        return
    yield "middle", Estimate(1.0, 0.0, "1"), middle_keeps(job)


def tension_in_loop(prepared: Prepared, strength: Strength) -> float:
    """Give the tension of a strand of the line where its loops break.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    strength : Strength
        Its strength by its loops.

    Returns
    -------
    float
        Break load of a strand, times what twist, unequal strands and bends leave [N]
    """
    ends = practice("safety.end_efficiency").value
    kept = strength.twist.value * strength.bundle.value * ends
    return prepared.strand.stock.break_load * kept


def _in_loop(job: Job, which: str, hold: PieceHold | None) -> Estimate:
    """Give the strands that bear in a loop, over those of the line."""
    if hold is not None:
        own = loop_strands(job)
        return Estimate(own.value + hold.strands.value, math.hypot(own.u, hold.strands.u), "1")
    if job.line.laid is not None:
        return Estimate(loop_part(job, which).strands, 0.0, "1")
    return loop_strands(job)


def middle_keeps(job: Job) -> Estimate:
    """Give the strength that the middle of a line keeps.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    Estimate
        What the bend at latch, or at nock, track and serving's edge leaves [-]
    """
    name = "crossbow.latch_efficiency" if is_crossbow_string(job) else "middle.efficiency"
    row = practice(name)
    return Estimate(row.value, row.standard_uncertainty, "1")


def moving_strands(prepared: Prepared, strength: Strength) -> tuple[int, int]:
    """Give how many strands laid in at the loops move the break to the middle.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    strength : Strength
        Its strength.

    Returns
    -------
    tuple of int
        As likely as not, and surely: at 95 % of what is known of both places; where pieces run
        as the job has them, each as far as it bears [-]
    """
    job, row = prepared.job, practice("safety.end_efficiency")
    ends, middle = Estimate(row.value, row.standard_uncertainty, "1"), middle_keeps(job)
    at, most = tension_in_loop(prepared, strength), job.makeup.strands
    likely = most - most % 2
    for extra in range(0, most + 1, 2):
        more = with_reinforced(job, extra)
        lacks = [_lacks(replace(prepared, job=more), which, at, ends, middle) for which in ENDS]
        if max(value for value, _ in lacks) <= 0.0:
            likely = min(likely, extra)
        if all(value + 2.0 * u <= 0.0 for value, u in lacks):
            return likely, extra
    return likely, most - most % 2


def _lacks(
    prepared: Prepared, which: str, at: float, ends: Estimate, middle: Estimate
) -> tuple[float, float]:
    """By how much a loop keeps less than the middle, and how well that is known."""
    strands = _in_loop(prepared.job, which, piece_hold(prepared, which, at))
    u = math.hypot(strands.u * ends.value, strands.value * ends.u, middle.u)
    return middle.value - strands.value * ends.value, u


def _place(
    name: str, strands: Estimate, keeps: Estimate, whole: float, relative: float
) -> BreakPlace:
    load = strands.value * keeps.value * whole
    u = load * math.hypot(relative, keeps.u / keeps.value, strands.u / strands.value)
    return BreakPlace(name, strands, keeps, Estimate(load, u, "N"))
