"""Break places: where a line breaks first, its loops or its middle, and what moves the place."""

from __future__ import annotations

import math
from dataclasses import replace

from strandwright.planning.estimate import Estimate
from strandwright.planning.makings import loop_part
from strandwright.planning.reinforced import ENDS, is_crossbow_string, reinforced_in
from strandwright.planning.result import BreakPlace, Strength
from strandwright.reference import Datum, practice
from strandwright.workshop.job import Job


def at_weakest(job: Job, strength: Strength) -> Strength:
    """Reckon a line's strength with the place where it breaks first.

    Parameters
    ----------
    job : Job
        The job.
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
    reinforced = any(reinforced_in(job, which) for which in ENDS)
    if not (reinforced or is_crossbow_string(job)):
        return strength
    ends = strength.ends
    whole = strength.derated.value / ends.value
    relative = math.sqrt(
        max((strength.derated.u / strength.derated.value) ** 2 - (ends.u / ends.value) ** 2, 0.0)
    )
    found = [
        _place(f"loop {getattr(job.line, which).name}", loop_part(job, which).strands, ends,
               whole, relative)
        for which in ENDS
    ]  # fmt: skip
    found.append(_place("middle", 1.0, middle_keeps(job), whole, relative))
    places = tuple(sorted(found, key=lambda place: place.load.value))
    first = places[0]
    factor = Estimate(first.strands * first.keeps.value, first.strands * first.keeps.u, "1")
    return replace(strength, ends=factor, derated=first.load, places=places)


def middle_keeps(job: Job) -> Estimate:
    """Give the strength that the middle of a line keeps.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    Estimate
        Less than all of it where a latch bends it sharply [-]
    """
    if not is_crossbow_string(job):
        return Estimate(1.0, 0.0, "1")
    row = practice("crossbow.latch_efficiency")
    return Estimate(row.value, row.standard_uncertainty, "1")


def moving_strands(job: Job) -> tuple[int, int]:
    """Give how many strands laid in at the loops move the break to the middle.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    tuple of int
        As likely as not, and surely: at 95 % of what is known of both places [-]
    """
    ends, count = practice("safety.end_efficiency"), job.makeup.strands
    middle = middle_keeps(job)
    likely = _even(count * (middle.value / ends.value - 1.0))
    sure = next(
        (n for n in range(likely, count + 1, 2) if _surely(1.0 + n / count, ends, middle)),
        count - count % 2,
    )
    return likely, sure


def _surely(strands: float, ends: Datum, middle: Estimate) -> bool:
    ahead = strands * ends.value - middle.value
    return ahead >= 2.0 * math.hypot(strands * ends.standard_uncertainty, middle.u)


def _even(strands: float) -> int:
    return max(2 * math.ceil(0.5 * strands - 1e-9), 0)


def _place(name: str, strands: float, keeps: Estimate, whole: float, relative: float) -> BreakPlace:
    load = strands * keeps.value * whole
    u = load * math.hypot(relative, keeps.u / keeps.value)
    return BreakPlace(name, strands, keeps, Estimate(load, u, "N"))
