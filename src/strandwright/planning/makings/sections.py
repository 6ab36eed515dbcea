"""How the line of a job is made: its sections and loops, where it is split or laid in."""

from __future__ import annotations

import math
from dataclasses import dataclass

from strandwright.errors import SpecError
from strandwright.line.layout import throat_distance
from strandwright.line.parts import Loop
from strandwright.line.sections import Section
from strandwright.planning.laid.across import laid_across
from strandwright.planning.makings.reinforced import (
    check_reinforced,
    reinforced_in,
    reinforced_sections,
)
from strandwright.planning.makings.yoke import is_halved, yoke_sections
from strandwright.reference import practice
from strandwright.units import INCH
from strandwright.workshop.job import Job
from strandwright.workshop.makings import LaidIn

#: In a shorter married part the bundles cross about once, and nothing presses on a tail: 1 in [m]
_LEAST_MARRIED = INCH
#: Bundles laid flatter hardly lie about each other: 5 degrees
_LEAST_ANGLE = 5.0
#: A tail that ends strand by strand is on the average half there [-]
_FADED = 0.5


@dataclass(frozen=True)
class LoopPart:
    """What the two legs of a loop are of.

    Attributes
    ----------
    across : float
        Diameter of the bundle that ends in the loop over that of the body [-]
    leg : float
        Diameter of one leg over that of this bundle [-]
    strands : float
        Strands in both legs together over those of the body's load [-]
    """

    across: float
    leg: float
    strands: float


def loop_part(job: Job, which: str) -> LoopPart:
    """Give what a loop of a job is made of.

    Parameters
    ----------
    job : Job
        The job.
    which : str
        ``zero_end`` or ``far_end``.

    Returns
    -------
    LoopPart
        A skein's legs are half its strands; of a yoke each loop ends half a skein; where the
        bundles are laid in, all of them lead round the loop. What is laid in beside to reinforce
        it makes its legs thicker.
    """
    half = math.sqrt(0.5)
    if job.line.laid is not None:
        # Both legs are whole lines, as bundles laid about each other, not one round bundle.
        return LoopPart(math.sqrt(2.0), half * laid_across(job.line.laid), 2.0)
    if is_halved(job) and which == "far_end":
        return LoopPart(half, half, 1.0)
    more = 1.0 + reinforced_in(job, which) / job.makeup.strands
    return LoopPart(math.sqrt(more), half, more)


def halves_of(job: Job) -> int:
    """Give what the strand count of a job has to be a multiple of.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    int
        4 for a yoke of half skeins, whose legs' loops halve it twice; else 1 [-]
    """
    return 4 if is_halved(job) else 1


def sections_of(job: Job, length: float, zero: Loop, far: Loop) -> tuple[Section, ...]:
    """Give the sections of a job's line.

    Parameters
    ----------
    job : Job
        The job.
    length : float
        Finished length [m]
    zero, far : Loop
        Its loops.

    Returns
    -------
    tuple of Section
        In order; none for a straight line.

    Raises
    ------
    SpecError
        If it is split and laid in at once, cannot be halved, or the parts do not go into the
        length.
    """
    yoke, laid = job.line.yoke, job.line.laid
    check_reinforced(job)
    if yoke is not None and laid is not None:
        rule = "must stand alone, without line.laid"
        raise SpecError("line.yoke", "beside line.laid", rule, "give one of them")
    if yoke is not None:
        return yoke_sections(job, yoke, length, far)
    if laid is not None:
        return _married(job, laid, length, zero, far)
    return reinforced_sections(job, length, zero, far)


def married_length(laid: LaidIn) -> float:
    """Length over which each tail is laid in with the standing bundles.

    Parameters
    ----------
    laid : LaidIn
        How the line is laid in.

    Returns
    -------
    float
        As the job has it, or by practice [m]
    """
    return practice("laid.married").value if laid.married is None else laid.married.si


def _married(
    job: Job, laid: LaidIn, length: float, zero: Loop, far: Loop
) -> tuple[Section, ...]:
    """A body between two married ends, in which the tails fade out."""
    married, pin = married_length(laid), practice("measuring.pin_diameter").value
    _refuse_loose(laid, married)
    first = throat_distance(zero, pin) + married
    last = length - throat_distance(far, pin) - married
    if not last > first:
        given = "by practice" if laid.married is None else laid.married.text
        rule = "must leave a body between the two married ends"
        raise SpecError("line.laid.married", given, rule, "marry less, or check the length")
    if job.makeup.strands < laid.bundles:
        rule = f"must be at least one for each of the {laid.bundles} bundles"
        raise SpecError("makeup.strands", job.makeup.strands, rule, "count again")
    thicker = 1.0 + _FADED
    return (
        Section("zero married end", 0.0, first, strands=thicker, field="line.laid.married"),
        Section("body", first, last),
        Section("far married end", last, length, strands=thicker, field="line.laid.married"),
    )


def _refuse_loose(laid: LaidIn, married: float) -> None:
    """Refuse tails that no lay holds: too short, or laid next to straight."""
    if laid.married is not None and married < _LEAST_MARRIED:
        rule = (
            "must be 1 in (25 mm) or more: in less the bundles cross about once, and nothing "
            "presses on a tail to hold it"
        )
        remedy = "marry 4 to 6 in, as is common practice, or leave it out"
        raise SpecError("line.laid.married", laid.married.text, rule, remedy)
    if laid.angle is not None and laid.angle < _LEAST_ANGLE:
        rule = (
            "must be 5 degrees or more: flatter bundles hardly lie about each other, and hold no "
            "tail"
        )
        remedy = "lay them at 12 to 28 degrees, as is usual, or leave it out"
        raise SpecError("line.laid.angle", f"{laid.angle:g}", rule, remedy)
