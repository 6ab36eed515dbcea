"""How the yoke of a job is made: its legs with their turns, its throat, or its strap."""

from __future__ import annotations

import math
from collections.abc import Iterator

from strandwright.errors import InputError, SpecError
from strandwright.line.parts import Loop
from strandwright.line.sections import Section
from strandwright.reference import practice
from strandwright.units import INCH
from strandwright.workshop.job import Job
from strandwright.workshop.makings import SplitYoke

#: Throat serving and legs may be written so far apart before they contradict each other [m]
_SAME_PLACE = INCH / 8.0
#: Half-bundle centroids of a round body lie this share of its diameter off the axis: 2/(3 pi).
THROAT_OFFSET = 0.2122


def is_halved(job: Job) -> bool:
    """Whether the far end of a job's line parts in two legs of half its strands.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    bool
        False for a plain line, and for a yoke whose legs are a strap in the far loop.
    """
    return job.line.yoke is not None and job.line.yoke.made == "halves"


def yoke_sections(job: Job, yoke: SplitYoke, length: float, far: Loop) -> tuple[Section, ...]:
    """Give the sections of a line with a yoke.

    Parameters
    ----------
    job : Job
        The job.
    yoke : SplitYoke
        Its yoke.
    length : float
        Finished length [m]
    far : Loop
        The loop of a leg.

    Returns
    -------
    tuple of Section
        A body, and two legs that keep their own turns; none with a strap, which leaves a
        straight line.

    Raises
    ------
    SpecError
        If the legs do not go into the length, or the strands cannot be halved.
    """
    leg = yoke.leg.si
    if not 0.0 < leg < length:
        rule = "must be shorter than the line"
        raise SpecError("line.yoke.leg", yoke.leg.text, rule, "measure from where the legs part")
    if yoke.made == "strap":
        leg_turns(yoke)
        return ()
    if yoke.strap is not None:
        rule = 'must stand with line.yoke.made = "strap"'
        raise SpecError("line.yoke.strap", "beside legs of half the strands", rule, "give one")
    if job.makeup.strands % 4:
        raise SpecError(
            "makeup.strands",
            job.makeup.strands,
            "must be a multiple of 4 for a split yoke: each leg is half of them, and each side of "
            "a leg's loop half of that",
            f"take {job.makeup.strands // 4 * 4} or {job.makeup.strands // 4 * 4 + 4}",
        )
    parting, turns = length - leg, leg_turns(yoke, across_leg(far))
    return (
        Section("body", 0.0, parting),
        Section(
            "legs",
            parting,
            length,
            members=2,
            turns=turns,
            takes_turns=False,
            field="line.yoke.leg",
        ),
    )


def across_leg(far: Loop) -> float:
    """Diameter of the bare bundle that ends in a loop.

    Parameters
    ----------
    far : Loop
        The loop.

    Returns
    -------
    float
        Diameter, from how far its sides' centrelines lie off the axis [m]
    """
    return far.throat_offset / THROAT_OFFSET


def correction() -> float:
    """How far apart the legs of a yoke must come for a usual correction of lean.

    Returns
    -------
    float
        Length of one less that of the other [m]
    """
    return practice("yoke.lean_correction").value


def least_leg_turns(leg: float, across: float) -> float:
    """Turns both legs need so that turns moved over set them apart by a usual correction.

    Parameters
    ----------
    leg : float
        Length of a leg, > 0 [m]
    across : float
        Diameter of its bare bundle [m]

    Returns
    -------
    float
        Turns, not rounded [turn]

    Notes
    -----
    The square of the turns takes up c = pi^2 r^2 / L, the mean over the area of a bundle whose
    strands share the load; all turns N of one leg moved over set both 4 c N^2 apart.
    """
    return math.sqrt(correction() * leg) / (math.pi * across)


def leg_turns(yoke: SplitYoke, across: float = 0.0) -> float:
    """Turns put into each leg when it is made.

    Parameters
    ----------
    yoke : SplitYoke
        The yoke.
    across : float
        Diameter of a leg's bare bundle; 0 asks for no reserve [m]

    Returns
    -------
    float
        To a half turn; where the job says nothing by practice's rate, but no fewer than a usual
        correction of lean takes [turn]

    Raises
    ------
    SpecError
        If the job gives both turns and a rate, or more than two turns per inch.
    """
    if yoke.turns is not None and yoke.twist is not None:
        rule = "must stand alone, without line.yoke.twist"
        raise SpecError("line.yoke.turns", f"{yoke.turns:g}", rule, "give one of them")
    rate = practice("twist.yoke_leg").value if yoke.twist is None else yoke.twist.si
    usual = round(2.0 * rate * yoke.leg.si) / 2.0
    if yoke.twist is None and across > 0.0:
        least = least_leg_turns(yoke.leg.si, across)
        usual = max(usual, math.ceil(2.0 * least - 1e-9) / 2.0)
    turns = usual if yoke.turns is None else yoke.turns
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
    if job.line.yoke is None or not is_halved(job):
        if throats:
            rule = "must be of a line that parts in two legs of half its strands"
            raise SpecError("line.servings.use", "throat", rule, "give line.yoke, or another use")
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


def unfit_yoke(job: Job) -> Iterator[InputError]:
    """Find what a job's yoke lacks for its plan and its steps.

    Parameters
    ----------
    job : Job
        The job.

    Yields
    ------
    InputError
        For legs of half the strands without a throat serving, readings of legs it has not, a
        span that no legs reach over.
    """
    yoke = job.line.yoke
    if job.build.legs and not is_halved(job):
        rule = "must be of a line that parts in two legs of half its strands"
        yield SpecError("build.legs", f"{len(job.build.legs)} read", rule, "take them out")
    alone = job.line.laid is None
    if alone and is_halved(job) and all(serving.use != "throat" for serving in job.line.servings):
        rule = "must have one with the use throat, which ties the place where the legs part"
        yield SpecError("line.servings", "none of the throat", rule, "serve it up to there")
    if yoke is not None and yoke.span is not None and yoke.span.si >= 2.0 * yoke.leg.si:
        rule = "must be less than both legs together reach"
        yield SpecError("line.yoke.span", yoke.span.text, rule, "check span and leg")
