"""Braces: brace heights of a job's recurve or longbow on other strings, and what practice gives."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from strandwright.bow.bent_family import BentFamily, BentKnown
from strandwright.bow.brace_curve import BraceCurve, brace_curve
from strandwright.errors import SpecError
from strandwright.planning.bow.known import BowQuestion
from strandwright.planning.bow.model import model_bow
from strandwright.reference import Datum, has_practice, practice
from strandwright.units import INCH
from strandwright.workshop.job import Job

#: Strings shorter and longer than the bow's own that are looked at, nearer ones first [m]
_RANGES = ((-0.040, 0.020), (-0.055, 0.035))
#: Bow lengths that practice gives a brace height for are even, this far apart [m]
_APART = 2.0 * INCH


@lru_cache(maxsize=12)
def braces_of(question: BowQuestion, *, far: bool = False) -> BraceCurve:
    """Stand the bows that answer a question on strings of other lengths.

    Parameters
    ----------
    question : BowQuestion
        Of a bow without wheels.
    far : bool
        Whether to look at strings farther from the bow's own.

    Returns
    -------
    BraceCurve
        Of those that stand on all of them.

    Raises
    ------
    SpecError
        If hardly any bow agrees with the figures, or stands so.
    """
    family = model_bow(question).family
    assert isinstance(family, BentFamily)
    return brace_curve(family.strung, *_RANGES[far])


def covering(question: BowQuestion, *heights: float) -> BraceCurve:
    """Find the curve that reaches brace heights on nearly all of the bows.

    Parameters
    ----------
    question : BowQuestion
        Of a bow without wheels.
    *heights : float
        Brace heights [m]

    Returns
    -------
    BraceCurve
        Over no more strings than that needs.

    Raises
    ------
    SpecError
        If no such string is within reach, at ``bow.wanted.brace_height``.
    """
    for far in (False, True):
        try:
            curve = braces_of(question, far=far)
        except SpecError:
            if not far:
                raise
            break
        if all(curve.longer_for(curve.brace, height)[1].all() for height in heights):
            return curve
    known = question.known
    assert isinstance(known, BentKnown)
    off = max(heights, key=lambda height: abs(height - known.brace_height))
    raise SpecError(
        "bow.wanted.brace_height",
        f"{off / INCH:.4g} in",
        "must be a height that a string up to 2 in shorter or 1 1/4 in longer braces the bow at",
        "measure brace height and string again, or ask less of this bow",
    )


@dataclass(frozen=True)
class Usual:
    """What practice gives for the brace height of a bow.

    Attributes
    ----------
    row : Datum
        The row, with its range [m].
    of : str
        What bows it is for, such as ``a recurve of 66 in``.
    """

    row: Datum
    of: str

    @property
    def low(self) -> float:
        """Lower end of the range [m]."""
        return self.row.value if self.row.low is None else self.row.low

    @property
    def high(self) -> float:
        """Upper end of the range [m]."""
        return self.row.value if self.row.high is None else self.row.high


def usual_brace(job: Job) -> Usual:
    """Give the brace height that practice gives for a bow of that kind and length.

    Parameters
    ----------
    job : Job
        The job, of a recurve or longbow.

    Returns
    -------
    Usual
        The row of the nearest even length, or of the kind where there is none near.
    """
    kind, long = job.bow.kind, job.bow.bow_length
    if long is not None:
        inches = 2 * round(long.si / _APART)
        name = f"brace.{kind}.{inches}"
        if has_practice(name) and abs(long.si - inches * INCH) <= 0.51 * _APART:
            return Usual(practice(name), f"a {kind} of {inches} in")
    return Usual(practice(f"brace.{kind}.any"), f"a {kind}")
