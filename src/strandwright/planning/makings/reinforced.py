"""Reinforced ends: pieces of strand laid in beside those of a line, round its loop and down it.

A piece runs down one side of the line, round the loop and down the other, so that each counts
twice wherever the bundle is cut; all end one after the other under the end serving::

      loop            end serving
      (o)=============================------- body: the strands of the line
         \\___________________
          \\_______________        pieces laid in, their ends one after the other
"""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.errors import SpecError
from strandwright.line.layout import throat_distance
from strandwright.line.parts import Loop
from strandwright.line.sections import Section
from strandwright.reference import practice
from strandwright.workshop.job import Job

#: The two ends, in order along the line.
ENDS = ("zero_end", "far_end")


@dataclass(frozen=True)
class Reinforcement:
    """What is laid in at one end.

    Attributes
    ----------
    which : str
        ``zero_end`` or ``far_end``.
    name : str
        What the end is called.
    strands : int
        Strands in both legs of the loop together, beside those of the line [-]
    pieces : int
        Pieces to cut, half as many [-]
    run : float
        From the loop's throat to the middle of where they end [m]
    step : float
        By which one piece ends before the next [m]
    shortest, longest : float
        Cut lengths, every piece longer than the one before by twice the step [m]
    """

    which: str
    name: str
    strands: int
    pieces: int
    run: float
    step: float
    shortest: float
    longest: float

    @property
    def cut(self) -> float:
        """Strand for all pieces together [m]."""
        return 0.5 * self.pieces * (self.shortest + self.longest)


def is_crossbow_string(job: Job) -> bool:
    """Tell whether a job's line is the string of a crossbow.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    bool
        True for one that a latch holds.
    """
    return job.bow.kind == "crossbow" and job.line.kind == "string"


def reinforced_in(job: Job, which: str) -> int:
    """Give the strands laid in at an end, beside those of the line.

    Parameters
    ----------
    job : Job
        The job.
    which : str
        ``zero_end`` or ``far_end``.

    Returns
    -------
    int
        In both legs of the loop together [-]
    """
    return getattr(job.line, which).reinforced or 0


def is_reinforced(job: Job) -> bool:
    """Tell whether strands are laid in at an end of a job's line.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    bool
        True where they are at either.
    """
    return any(reinforced_in(job, which) for which in ENDS)


def with_reinforced(job: Job, strands: int) -> Job:
    """Give the job with so many strands laid in at both ends.

    Parameters
    ----------
    job : Job
        The job.
    strands : int
        In both legs of each loop, even, >= 0 [-]

    Returns
    -------
    Job
        The job, its pieces as long as before.
    """
    ends = {
        which: getattr(job.line, which).model_copy(update={"reinforced": strands or None})
        for which in ENDS
    }
    return job.model_copy(update={"line": job.line.model_copy(update=ends)})


def run_of(job: Job, which: str) -> float:
    """Give how far the pieces run from the loop's throat.

    Parameters
    ----------
    job : Job
        The job.
    which : str
        ``zero_end`` or ``far_end``.

    Returns
    -------
    float
        To the middle of where they end [m]
    """
    told = getattr(job.line, which).reinforced_length
    return practice("reinforced.length").value if told is None else told.si


def piece_ends(job: Job, which: str) -> tuple[float, ...]:
    """Give where the pieces laid in at an end stop, one after the other.

    Parameters
    ----------
    job : Job
        The job.
    which : str
        ``zero_end`` or ``far_end``.

    Returns
    -------
    tuple of float
        From the loop's throat, the shortest first; none where nothing is laid in [m]
    """
    pieces, step = reinforced_in(job, which) // 2, practice("reinforced.step").value
    first = run_of(job, which) - 0.5 * (pieces - 1) * step
    return tuple(first + i * step for i in range(pieces))


def check_reinforced(job: Job) -> None:
    """Refuse reinforced ends that cannot be laid in so.

    Parameters
    ----------
    job : Job
        The job.

    Raises
    ------
    SpecError
        If their strands are odd, more than those of the line, or of a line made otherwise.
    """
    for which in ENDS:
        extra, field = reinforced_in(job, which), f"line.{which}.reinforced"
        if not extra:
            continue
        if job.line.laid is not None or job.line.yoke is not None:
            rule = "must be of a skein's loop, not of one laid in or of a yoke"
            raise SpecError(field, extra, rule, "leave it out there")
        if extra % 2:
            rule = "must be even: each piece runs round the loop and counts twice"
            raise SpecError(field, extra, rule, f"take {extra - 1} or {extra + 1}")
        if extra > job.makeup.strands:
            rule = f"must be at most those of the line, {job.makeup.strands}"
            raise SpecError(field, extra, rule, "half of them is what was found to be enough")
        shortest = run_of(job, which) - 0.5 * (extra // 2 - 1) * practice("reinforced.step").value
        if shortest <= 0.0:
            told = getattr(job.line, which).reinforced_length
            raise SpecError(
                f"line.{which}.reinforced_length",
                "by practice" if told is None else told.text,
                f"must let the shortest of {extra // 2} pieces, which end one after the other, "
                "run past the loop's throat",
                "let them run further, or lay in fewer",
            )


def reinforced_sections(job: Job, length: float, zero: Loop, far: Loop) -> tuple[Section, ...]:
    """Give the sections of a line with reinforced ends.

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
        In order; none where neither end is reinforced.

    Raises
    ------
    SpecError
        If the reinforced ends leave no body between them.
    """
    pin = practice("measuring.pin_diameter").value
    loops = dict(zip(ENDS, (zero, far), strict=True))
    extra = {which: reinforced_in(job, which) / job.makeup.strands for which in ENDS}
    if not any(extra.values()):
        return ()
    first, last = (
        throat_distance(loops[which], pin) + run_of(job, which) if extra[which] else 0.0
        for which in ENDS
    )
    last = length - last
    if not last > first:
        which = ENDS[0] if extra["zero_end"] else ENDS[1]
        told = getattr(job.line, which).reinforced_length
        given = "by practice" if told is None else told.text
        rule = "must leave a body between the two ends"
        raise SpecError(f"line.{which}.reinforced_length", given, rule, "lay them in shorter")
    found = [Section("body", first, last)]
    if extra["zero_end"]:
        found.insert(0, _reinforced(ENDS[0], 0.0, first, extra["zero_end"]))
    if extra["far_end"]:
        found.append(_reinforced(ENDS[1], last, length, extra["far_end"]))
    return tuple(found)


def _reinforced(which: str, start: float, stop: float, extra: float) -> Section:
    name = f"{which.removesuffix('_end')} reinforced end"
    field = f"line.{which}.reinforced_length"
    return Section(name, start, stop, 1.0 + extra, late=extra, field=field)


def reinforcements(job: Job, zero: Loop, far: Loop) -> tuple[Reinforcement, ...]:
    """Give what is to be cut and laid in at each end.

    Parameters
    ----------
    job : Job
        The job.
    zero, far : Loop
        The line's loops.

    Returns
    -------
    tuple of Reinforcement
        Zero end first; none where neither end is reinforced.
    """
    step = practice("reinforced.step").value
    found: list[Reinforcement] = []
    for which, loop in zip(ENDS, (zero, far), strict=True):
        extra = reinforced_in(job, which)
        if not extra:
            continue
        run, pieces = run_of(job, which), extra // 2
        middle, off = loop.perimeter + 2.0 * run, (pieces - 1) * step
        found.append(
            Reinforcement(which, loop.name, extra, pieces, run, step, middle - off, middle + off)
        )
    return tuple(found)
