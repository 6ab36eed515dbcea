"""The centre serving of a recurve or longbow, placed from its nocking point where it has no edges.

Practice serves some inches over the nocking point, where fingers and nock bear, and more below it,
where the string passes the arm guard. The ranges are of the trade's general knowledge; a job
that gives start and stop is not touched.
"""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.errors import GeometryError, SpecError
from strandwright.planning.brace_wish import is_bent
from strandwright.planning.makings.reinforced import is_crossbow_string
from strandwright.planning.written import Written
from strandwright.reference import practice
from strandwright.workshop.job import Job

#: How an end that is up, or down, is called.
_UP, _DOWN = ("upper", "top"), ("lower", "bottom")


@dataclass(frozen=True)
class PlacedCentre:
    """A centre serving placed from the nocking point.

    Attributes
    ----------
    number : int
        Which of the job's servings, from 0 [-]
    start, stop : float
        On the finished line, from its zero end [m]
    nock : float
        The nocking point there [m]
    """

    number: int
    start: float
    stop: float
    nock: float


def unplaced_centre(job: Job, runs: int) -> int | None:
    """Find the centre serving that is to be placed from the nocking point.

    Parameters
    ----------
    job : Job
        The job.
    runs : int
        Runs of its shorthand, which are for the other servings without edges [-]

    Returns
    -------
    int or None
        Its number from 0; None on a bow with wheels, where it has edges or a run, or where the
        job says nothing of a nocking point.
    """
    without = sum(s.start is None or s.stop is None for s in job.line.servings)
    if without != runs + 1:
        return None
    told = _nock_mark(job) is not None or job.bow.nock_height is not None
    if not is_crossbow_string(job) and not (is_bent(job) and told):
        return None
    for number, serving in enumerate(job.line.servings):
        if serving.use == "centre" and serving.start is None and serving.stop is None:
            return number
    return None


def place_centre(
    job: Job, length: float, runs: int, shift: float = 0.0
) -> PlacedCentre | None:
    """Place the centre serving from the nocking point, a crossbow's about the middle.

    Parameters
    ----------
    job : Job
        The job.
    length : float
        Finished length of the line [m]
    runs : int
        Runs of its shorthand [-]
    shift : float
        How far the middle of the braced string lies from that of the measured one, towards the
        far end [m]

    Returns
    -------
    PlacedCentre or None
        None where there is none to be placed.

    Raises
    ------
    SpecError
        If no end of the line is called the upper or the lower one.
    GeometryError
        If it would reach past an end of the line.
    """
    number = unplaced_centre(job, runs)
    if number is None:
        return None
    if is_crossbow_string(job):
        return _about_middle(number, job, length, shift)
    over, under = (practice(f"centre_serving.{side}").value for side in ("above", "below"))
    zero_is_up = _zero_is_up(job)
    nock = nocking_point(job, length)
    assert nock is not None
    start, stop = (nock - over, nock + under) if zero_is_up else (nock - under, nock + over)
    if not 0.0 < start < stop < length:
        to, mark = Written.on(job.paper), _nock_mark(job)
        height = job.bow.nock_height
        field = "bow.nock_height" if mark is None else f"line.marks[{mark + 1}].at"
        given = height.text if mark is None and height is not None else to.fine(nock)
        rule = f"must leave {to.fine(over)} of the line over it and {to.fine(under)} under it"
        raise GeometryError(field, given, rule, "measure it again, or give the serving's edges")
    return PlacedCentre(number, start, stop, nock)


def _about_middle(number: int, job: Job, length: float, shift: float) -> PlacedCentre:
    """Serve as far to either hand of the middle of the braced string."""
    middle, half = 0.5 * length + shift, 0.5 * practice("crossbow.centre_length").value
    if not 2.0 * half < length:
        to = Written.on(job.paper)
        rule = f"must leave {to.fine(2.0 * half)} for the centre serving"
        raise GeometryError("line.finished", to.fine(length), rule, "give its edges")
    return PlacedCentre(number, middle - half, middle + half, middle)


def nocking_point(job: Job, length: float) -> float | None:
    """Find the nocking point on a line: where it is marked, else by its height on the bow.

    Parameters
    ----------
    job : Job
        The job.
    length : float
        Finished length of the line [m]

    Returns
    -------
    float or None
        From the zero end; the pivot of the grip is taken to lie by the string's middle. None where
        the job says nothing of it [m]
    """
    mark = _nock_mark(job)
    if mark is not None:
        spec = job.line.marks[mark]
        return length - spec.at.si if spec.from_far_end else spec.at.si
    height = job.bow.nock_height
    if height is None or not is_bent(job):
        return None
    return 0.5 * length + (-height.si if _zero_is_up(job) else height.si)


def centre_note(job: Job, runs: int) -> str:
    """Say how a centre serving was placed, and that the trade differs about it.

    Parameters
    ----------
    job : Job
        The job.
    runs : int
        Runs of its shorthand [-]

    Returns
    -------
    str
        Empty where none was placed.
    """
    number = unplaced_centre(job, runs)
    if number is None:
        return ""
    to = Written.on(job.paper)
    if is_crossbow_string(job):
        return (
            f"{job.line.servings[number].name} is placed about the middle of the braced string, "
            f"{to.fine(practice('crossbow.centre_length').value)} long: about that is found on "
            "compound crossbows; the maker's manual decides"
        )
    rows = [practice(f"centre_serving.{side}") for side in ("above", "below")]
    said = [
        f"{to.fine(row.value)} {side} ({to.fine(row.low or 0.0)} to {to.fine(row.high or 0.0)})"
        for row, side in zip(rows, ("over", "under"), strict=True)
    ]
    where = (
        ""
        if _nock_mark(job) is not None
        else (", which lies by its height over the string's middle")
    )
    return (
        f"{job.line.servings[number].name} is placed from the nocking point{where}: "
        f"{' and '.join(said)} it, common practice without a source; give start and stop where "
        "fingers, arm guard or sight line want it otherwise"
    )


def _nock_mark(job: Job) -> int | None:
    for number, mark in enumerate(job.line.marks):
        if "nock" in mark.name.lower():
            return number
    return None


def upper_end(job: Job) -> str | None:
    """Tell which end of the line is up on the bow, by the ends' names.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    str or None
        ``zero`` or ``far``; None where the names do not tell.
    """
    zero, far = (end.name.lower() for end in (job.line.zero_end, job.line.far_end))
    if any(word in zero for word in _UP) or any(word in far for word in _DOWN):
        return "zero"
    if any(word in zero for word in _DOWN) or any(word in far for word in _UP):
        return "far"
    return None


def _zero_is_up(job: Job) -> bool:
    up = upper_end(job)
    if up is not None:
        return up == "zero"
    raise SpecError(
        "line.zero_end.name",
        job.line.zero_end.name,
        "must say which end is up, to place the centre serving from the nocking point",
        "name it upper limb or lower limb, or give the serving's start and stop",
    )
