"""What sits on a job's riser, in the mechanics' words: its cable guard and its string stop."""

from __future__ import annotations

from strandwright.bow.contact import ROLLER, Lane
from strandwright.bow.guard import Guard, HeldLine, held_lines
from strandwright.bow.on_riser import SLIDE, STRING_STOP, with_guard, with_string_stop
from strandwright.errors import SpecError
from strandwright.planning.bow.model import BowModel
from strandwright.planning.bow.roller import roller_sizes
from strandwright.reference import practice
from strandwright.workshop.job import Job


def guard_of(job: Job) -> Guard | None:
    """Give where a job's guard holds its cables.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    Guard or None
        None where the job names none; its height from practice where it is left out.

    Raises
    ------
    SpecError
        If the bow has no cables to hold, or the guard's keys do not go together.
    """
    own = job.bow.guard
    if own is None:
        return None
    roller_sizes(job)
    height = practice("guard.height").value if own.height is None else own.height.si
    return Guard(own.aside.si, height)


def guard_name(job: Job) -> str:
    """Name what lies on the cables.

    Parameters
    ----------
    job : Job
        With a guard.

    Returns
    -------
    str
        ``slide`` or ``roller``.
    """
    return ROLLER if job.bow.guard is not None and job.bow.guard.kind == "rollers" else SLIDE


def held_by_guard(job: Job, model: BowModel) -> tuple[HeldLine, ...]:
    """Work out what a job's guard does along the draw.

    Parameters
    ----------
    job : Job
        The job.
    model : BowModel
        Its bow.

    Returns
    -------
    tuple of HeldLine
        One for each line at the guard; none without a guard.

    Raises
    ------
    SpecError
        If the guard lies past the cables' free part or holds them too far aside.
    """
    guard = guard_of(job)
    if guard is None:
        return ()
    try:
        return held_lines(model.family.cycle, guard)
    except SpecError as error:
        raise error.at(f"bow.{error.field}") from error


def lanes_of(job: Job, model: BowModel) -> tuple[Lane, ...]:
    """Give what each line of a job's bow touches, guard and string stop included.

    Parameters
    ----------
    job : Job
        The job.
    model : BowModel
        Its bow.

    Returns
    -------
    tuple of Lane
        A guard whose height nobody measured is left out: its place on the cables is not known.

    Raises
    ------
    SpecError
        If guard or stop lie where no line runs free.
    """
    lanes, guard, stop = model.lanes, job.bow.guard, job.bow.string_stop
    if guard is not None and guard.height is not None:
        long = 0.0 if guard.kind == "rollers" else practice("guard.slide").value
        lanes = with_guard(lanes, held_by_guard(job, model), guard_name(job), long)
    if stop is not None:
        face = practice("guard.string_stop").value if stop.face is None else stop.face.si
        try:
            lanes = with_string_stop(lanes, model.family.cycle, stop.height.si, face)
        except SpecError as error:
            raise error.at(f"bow.{error.field}") from error
    return lanes


def place_doubt(job: Job, on: str) -> float:
    """Tell how well a place on a line is known because of what touches it on the riser.

    Parameters
    ----------
    job : Job
        The job.
    on : str
        What touches it.

    Returns
    -------
    float
        Standard uncertainty of the height it was given; 0 for wheels [m]
    """
    guard, stop = job.bow.guard, job.bow.string_stop
    if on in (SLIDE, ROLLER) and guard is not None:
        height = guard.height
    elif on == STRING_STOP and stop is not None:
        height = stop.height
    else:
        return 0.0
    own = None if height is None else height.standard_uncertainty
    return practice("guard.place").standard_uncertainty if own is None else own
