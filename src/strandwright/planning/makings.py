"""How the line of a job is made: its sections and loops, where it is split or laid in."""

from __future__ import annotations

import math
from dataclasses import dataclass

from strandwright.errors import SpecError
from strandwright.line.layout import throat_distance
from strandwright.line.parts import Loop
from strandwright.line.sections import Section
from strandwright.reference import practice
from strandwright.units import INCH
from strandwright.workshop.job import Job
from strandwright.workshop.makings import LaidIn, SplitYoke

#: Throat serving and legs may be written so far apart before they contradict each other [m]
_SAME_PLACE = INCH / 8.0
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
        bundles are laid in, all of them lead round the loop.
    """
    half = math.sqrt(0.5)
    if job.line.laid is not None:
        return LoopPart(1.0, 1.0, 2.0)
    if job.line.yoke is not None and which == "far_end":
        return LoopPart(half, half, 1.0)
    return LoopPart(1.0, half, 1.0)


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
    if yoke is not None and laid is not None:
        rule = "must stand alone, without line.laid"
        raise SpecError("line.yoke", "beside line.laid", rule, "give one of them")
    if yoke is not None:
        return _split(job, yoke, length)
    if laid is not None:
        return _married(job, laid, length, zero, far)
    return ()


def _split(job: Job, yoke: SplitYoke, length: float) -> tuple[Section, ...]:
    """A body, and two legs that keep the turns they were made with."""
    if job.makeup.strands % 4:
        raise SpecError(
            "makeup.strands",
            job.makeup.strands,
            "must be a multiple of 4 for a split yoke: each leg is half of them, and each side of "
            "a leg's loop half of that",
            f"take {job.makeup.strands // 4 * 4} or {job.makeup.strands // 4 * 4 + 4}",
        )
    leg = yoke.leg.si
    if not 0.0 < leg < length:
        rule = "must be shorter than the line"
        raise SpecError("line.yoke.leg", yoke.leg.text, rule, "measure from where the legs part")
    parting = length - leg
    return (
        Section("body", 0.0, parting),
        Section(
            "legs", parting, length, members=2, turns=leg_turns(yoke), takes_turns=False
        ),
    )


def leg_turns(yoke: SplitYoke) -> float:
    """Turns put into each leg when it is made.

    Parameters
    ----------
    yoke : SplitYoke
        The yoke.

    Returns
    -------
    float
        To a half turn; by practice's rate where the job says nothing [turn]

    Raises
    ------
    SpecError
        If the job gives both turns and a rate, or more than two turns per inch.
    """
    if yoke.turns is not None and yoke.twist is not None:
        rule = "must stand alone, without line.yoke.twist"
        raise SpecError("line.yoke.turns", f"{yoke.turns:g}", rule, "give one of them")
    rate = practice("twist.yoke_leg").value if yoke.twist is None else yoke.twist.si
    turns = yoke.turns if yoke.turns is not None else round(2.0 * rate * yoke.leg.si) / 2.0
    if turns > 2.0 / INCH * yoke.leg.si:
        rule = "must be at most 2 turns per inch of the leg"
        remedy = "check the unit: turns in each leg, or turns per inch"
        raise SpecError("line.yoke.turns", f"{turns:g}", rule, remedy)
    return turns


def with_throat(
    job: Job, length: float, edges: list[tuple[float, float]]
) -> list[tuple[float, float]]:
    """Bring the throat's serving to where the legs part.

    Parameters
    ----------
    job : Job
        The job.
    length : float
        Finished length [m]
    edges : list of (float, float)
        Edges of its servings [m]

    Returns
    -------
    list of (float, float)
        The same where it has no yoke [m]

    Raises
    ------
    SpecError
        If a yoke has no throat serving or more than one, it lies elsewhere, there is one without
        a yoke, or another serving lies over the place where the legs part.
    """
    throats = [i for i, s in enumerate(job.line.servings) if s.use == "throat"]
    if job.line.yoke is None:
        if throats:
            rule = "must be of a line that parts in two legs"
            raise SpecError(
                "line.servings.use", "throat", rule, "give line.yoke, or another use"
            )
        return edges
    if not job.line.servings:
        return edges
    if len(throats) != 1:
        raise SpecError(
            "line.servings",
            f"{len(throats)} with the use throat",
            "must have one with the use throat, which ties the place where the legs part",
            "name the serving that stops there",
        )
    index, parting = throats[0], length - job.line.yoke.leg.si
    start, stop = edges[index]
    if abs(stop - parting) > _SAME_PLACE:
        raise SpecError(
            f"line.servings '{job.line.servings[index].name}'",
            f"stops {(length - stop) / INCH:.4g} in from the far end",
            f"must stop where the legs part, {job.line.yoke.leg.text} from the far end",
            "check the serving's stop and line.yoke.leg",
        )
    moved = list(edges)
    moved[index] = (start + parting - stop, parting)
    for i, (first, last) in enumerate(moved):
        if i != index and first < parting - 1e-6 and last > parting + 1e-6:
            raise SpecError(
                f"line.servings '{job.line.servings[i].name}'",
                f"{first / INCH:.4g} to {last / INCH:.4g} in",
                f"must not lie over the place where the legs part, {parting / INCH:.4g} in",
                "serve body and legs apart",
            )
    return moved


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
        Section("zero married end", 0.0, first, strands=thicker),
        Section("body", first, last),
        Section("far married end", last, length, strands=thicker),
    )
