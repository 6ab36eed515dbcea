"""Capability in words: of a hundred like these, how many land within the tolerance."""

from __future__ import annotations

import math

from strandwright.planning.control.subject import Subject
from strandwright.planning.written import Written
from strandwright.statistics.control import Capability, ControlStudy, Tolerance, Verdict

#: A mean off its target by more than this of its own standard uncertainty is spoken of [-]
_OFF = 2.0
#: A share of the squared scatter that is the readings' own above this is spoken of [-]
_COARSE = 0.5
#: Scatter of all values over that of neighbours above this is spoken of [-]
_WANDERS = 1.25


def capability_sentences(study: ControlStudy, to: Written, subject: Subject) -> tuple[str, ...]:
    """Say what a bench can hold.

    Parameters
    ----------
    study : ControlStudy
        Of lengths [m]
    to : Written
        How quantities are written.
    subject : Subject
        What is watched, in words.

    Returns
    -------
    tuple of str
        Nothing where there is no tolerance.
    """
    if study.tolerance is None or study.verdict is Verdict.TOO_FEW:
        return ()
    within = _within(study.tolerance, to)
    if study.overall is None:
        return (f"How many land {within} cannot be said before that is mended.",)
    low, high = study.overall.share_limits
    said = [f"Of a hundred {subject.things} like these, {_hundred(low, high)} land {within}."]
    if study.is_provisional:
        why = "the row is short" if study.is_few else "there is something to look at first"
        said.append(f"That is provisional: {why}.")
    said += _aim(study.overall, study.tolerance, to, subject)
    if study.short is not None and study.overall.sigma > _WANDERS * study.short.sigma:
        said.append("Neighbours agree better than the row as a whole: the level wanders.")
    if study.reading_share > _COARSE:
        share = to.share(study.reading_share)
        said.append(
            f"Of the squared scatter {share} is the readings' own: read more finely before the "
            "bench is changed."
        )
    return tuple(said)


def _within(tolerance: Tolerance, to: Written) -> str:
    above, below = tolerance.high - tolerance.target, tolerance.target - tolerance.low
    if math.isclose(above, below, rel_tol=1e-6):
        return f"within {to.length(above)}"
    return f"from {to.length(below)} under to {to.length(above)} over"


def _hundred(low: float, high: float) -> str:
    """A range of a hundred, outward to whole ones; none is ever certain."""
    least, most = math.floor(100.0 * low), math.ceil(100.0 * high)
    if least >= 99:
        return "more than 99"
    if most >= 100:
        return f"{least} or more"
    return f"about {least} to {most}"


def _aim(found: Capability, tolerance: Tolerance, to: Written, subject: Subject) -> list[str]:
    off = found.mean - tolerance.target
    if abs(off) <= _OFF * found.sigma / math.sqrt(found.count):
        return []
    side, other = (subject.high, subject.lower) if off > 0.0 else (subject.low, subject.higher)
    return [
        f"On average they lie {to.small(abs(off))} {side}: aimed that much {other}, more would "
        "land."
    ]
