"""Given: the figures of a job's bow that bows are looked for by, asked for where left out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from strandwright.errors import InputError, InputErrors, SpecError
from strandwright.units import Entered
from strandwright.workshop.job import Job

#: What a figure is needed for, and what to do where it is missing.
_NEEDED = "is needed to find bows that agree with this one"
_REMEDY = "measure it, or read it off the limb's label"


def metres(job: Job, name: str) -> float:
    """Give a length of a job's bow that is known not to be left out.

    Parameters
    ----------
    job : Job
        The job.
    name : str
        Its key under ``bow``.

    Returns
    -------
    float
        The length [m]
    """
    entered: Entered = getattr(job.bow, name)
    return entered.si


def missing(
    job: Job, needed: Sequence[str], remedies: Mapping[str, str] | None = None
) -> list[InputError]:
    """Find the figures that are left out.

    Parameters
    ----------
    job : Job
        The job.
    needed : sequence of str
        Keys under ``bow``.
    remedies : Mapping of str to str, optional
        What to do about one, where that is not just to measure it.

    Returns
    -------
    list of InputError
        One for each, at its field.
    """
    told = remedies or {}
    return [
        SpecError(f"bow.{name}", "left out", _NEEDED, told.get(name, _REMEDY))
        for name in needed
        if getattr(job.bow, name) is None
    ]


def refuse(errors: Sequence[InputError]) -> None:
    """Raise errors, a single one as itself.

    Parameters
    ----------
    errors : sequence of InputError
        All that is wrong; nothing is raised where nothing is.

    Raises
    ------
    InputError
        For one.
    InputErrors
        For several.
    """
    if errors:
        raise errors[0] if len(errors) == 1 else InputErrors(tuple(errors))
