"""Checks: loads heard at a jig beside known ones, and which of them count for a line."""

from __future__ import annotations

from strandwright.line.route import Order
from strandwright.units import Entered
from strandwright.workshop.happenings.bench import EarChecked
from strandwright.workshop.job import Job
from strandwright.workshop.parts import EarCheck

#: A load that is heard is never further off than this, a factor to either side [-]
FURTHEST = 1.5
#: Steps at which a line has its servings on, by the start of their names
_SERVED = ("settle", "read-proof")
#: Steps at which a line has them on where it is served before its twist
_TWISTING = ("twist-half", "read-half", "twist-full")


def check_of(job: Job, seen: EarChecked) -> EarCheck:
    """Give a check made while a job is built as its bench keeps it.

    Parameters
    ----------
    job : Job
        The job.
    seen : EarChecked
        What was heard and known at a step.

    Returns
    -------
    EarCheck
        The check, with the line it was made on and whether that was served.
    """
    served_first = job.route.order == Order.SERVE_THEN_TWIST
    served = seen.step.startswith(_SERVED) or (served_first and seen.step in _TWISTING)
    return EarCheck(heard=seen.heard, true=seen.true, line=job.id, served=served)


def is_odd(heard: Entered, true: Entered) -> bool:
    """Whether a check cannot be meant: another unit, another weight, or a mistaken octave.

    Parameters
    ----------
    heard : Entered
        The load that was heard [N]
    true : Entered
        The known one [N]

    Returns
    -------
    bool
        True where one is none, or they differ by more than all that is not known of a line.
    """
    if heard.si <= 0.0 or true.si <= 0.0:
        return True
    return not 1.0 / FURTHEST <= heard.si / true.si <= FURTHEST


def rule_of(true: Entered) -> tuple[str, str]:
    """Say what a check must be, and what to do.

    Parameters
    ----------
    true : Entered
        The known load [N]

    Returns
    -------
    rule, remedy : str
        In words.
    """
    rule = f"must be within a half more or a third less of the known load, {true.text}"
    return rule, "hear it again with that load on the line, and check the units of both"


def own_checks(job: Job, served: bool | None) -> tuple[list[EarCheck], bool]:
    """Give the checks that were made on a job's own line.

    Parameters
    ----------
    job : Job
        The job.
    served : bool or None
        Whether the line has its servings on now; None where that does not matter.

    Returns
    -------
    checks : list of EarCheck
        Those of the line as it is, or else those from before it was served.
    bare : bool
        Whether they are from before it was served and it is served now.
    """
    own = [c for c in job.bench.ear_checks if c.line == job.id]
    if served is None:
        return own, False
    alike = [c for c in own if c.served is None or c.served == served]
    if alike:
        return alike, False
    return (own, bool(own)) if served else ([], False)
