"""Take-off: from whatever is known of the original to the finished length, with its +-."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np

from strandwright.errors import GeometryError, InputError, SpecError
from strandwright.line.standards import (
    BOW_LENGTH_ALLOWANCE,
    MEASURING_PIN_DIAMETER,
    string_length,
)
from strandwright.planning.brace_wish import asks_for_brace, is_bent, string_within
from strandwright.planning.conversion import ReadingCondition, convert_readings
from strandwright.planning.estimate import Estimate
from strandwright.planning.line_of_job import job_shorthand, measuring_load, si
from strandwright.planning.result import OriginalLength, Target
from strandwright.planning.servings.centre import centre_note
from strandwright.planning.take_off.agreement import Agreement, agree
from strandwright.planning.take_off.original import differences
from strandwright.planning.unknowns import KELVIN_20
from strandwright.planning.written import Written
from strandwright.reference import practice
from strandwright.units import INCH, Entered
from strandwright.workshop.job import Job
from strandwright.workshop.parts import OldLabel, OldReading

if TYPE_CHECKING:
    from strandwright.planning.bow.wanted_brace import WantedLength

#: How far a label's own number is trusted: the tolerance of the trade's master, as half-range.
LABEL_HALF_RANGE = INCH / 16.0
#: Lines longer than this get the wider default tolerance [m]
LONG_LINE = 80.0 * INCH
#: A difference that no reading shows [m]
_NOTHING = 1e-9


def measuring_condition(job: Job) -> ReadingCondition:
    """Give the measuring condition of a job.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    ReadingCondition
        Measuring load over the standard's pins at 20 degC.
    """
    load = Entered(
        Fraction(measuring_load(job)), Fraction(0), "N", "measuring load", Fraction(1)
    )
    fields = ("route.measure", "measuring pin", "measuring pin")
    return ReadingCondition(load, MEASURING_PIN_DIAMETER, MEASURING_PIN_DIAMETER, fields=fields)


def _condition(number: int, reading: OldReading) -> ReadingCondition:
    place = f"original.readings[{number}]"
    zero = si(reading.zero_post, MEASURING_PIN_DIAMETER)
    far_field = "zero_post" if reading.far_post is None else "far_post"
    return ReadingCondition(
        load=reading.load,
        zero_pin=zero,
        far_pin=si(reading.far_post, zero),
        temperature=si(reading.temperature, KELVIN_20),
        fields=(f"{place}.load", f"{place}.zero_post", f"{place}.{far_field}"),
    )


def _label_estimate(label: OldLabel) -> Estimate:
    """Length that the label or the bow promises, at the measuring condition."""
    stated = label.length.standard_uncertainty
    u = 0.5 * LABEL_HALF_RANGE if stated is None else stated
    if label.says == "string length":
        return Estimate(label.length.si, u, "m")
    allowance, spread = BOW_LENGTH_ALLOWANCE, 0.0
    if label.convention == "not stated":
        row = practice("label.trade_allowance")
        allowance, spread = row.value, row.standard_uncertainty
    try:
        length = string_length(label.length.si, allowance)
    except InputError as error:
        raise GeometryError(
            "original.label.length", label.length.text, error.rule, error.remedy
        ) from error
    return Estimate(length, float(np.hypot(u, spread)), "m")


def original_length(job: Job) -> OriginalLength | None:
    """Length of the original at the measuring condition, from all its readings and its label.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    OriginalLength or None
        Weighed together; None where nothing was read [m]

    Raises
    ------
    GeometryError
        If a loop does not close round the pin it was read on, or a label leaves no length.
    LimitError
        If a line of this make-up does not hold the load it was read at.

    Notes
    -----
    Readings share tape, gauge and the make-up's uncertainty, so they are weighed with their full
    covariance; the label is independent of them.
    """
    values, covariance = np.zeros(0), np.zeros((0, 0))
    names = [f"reading {i + 1}" for i in range(len(job.original.readings))]
    if names:
        pairs = [(r.length, _condition(i, r)) for i, r in enumerate(job.original.readings, 1)]
        found = convert_readings(job, pairs, measuring_condition(job))
        values, covariance = found.lengths, found.covariance
    if job.original.label is not None:
        label = _label_estimate(job.original.label)
        names.append("the label")
        values = np.append(values, label.value)
        covariance = np.pad(covariance, (0, 1))
        covariance[-1, -1] = label.u**2
    if not names:
        return None
    together = agree(values, covariance)
    notes = _contradiction(job, names, values.tolist(), together)
    return OriginalLength(Estimate(together.value, together.u, "m"), notes)


def _contradiction(
    job: Job, names: list[str], values: list[float], together: Agreement
) -> tuple[str, ...]:
    """Say which reading does not go with the others, if they contradict each other."""
    if not together.is_questionable:
        return ()
    odd = together.furthest
    to = Written.on(job.paper)
    shown = [to.fine(value) for value in values]
    others = [i for i in range(len(names)) if i != odd]
    if len(names) == 2:
        subject = f"{names[0]} and {names[1]} of the original contradict each other"
    else:
        subject = f"{names[odd]} of the original does not go with the others"
    rest = " and ".join(shown[i] for i in others)
    return (
        f"{subject}: at the measuring condition {names[odd]} comes to {shown[odd]}, "
        f"{' and '.join(names[i] for i in others)} to {rest}; read it again, until then the "
        "\u00b1 is widened",
    )


def default_tolerance(length: float) -> float:
    """Give the tolerance asked where the job names none: 1/16 in, 1/8 in over 80 in.

    Parameters
    ----------
    length : float
        Finished length [m]

    Returns
    -------
    float
        Half-width [m]
    """
    return INCH / 8.0 if length > LONG_LINE else INCH / 16.0


def find_target(job: Job, original: OriginalLength | None = None) -> Target:
    """Find the finished length that is asked for.

    Parameters
    ----------
    job : Job
        The job.
    original : OriginalLength or None
        What the original comes to, where that is known from before.

    Returns
    -------
    Target
        The length, its uncertainty and where it comes from: the job's own figure first, then the
        readings and label of the original, then the shorthand, then a recurve's or longbow's
        length. Where such a bow is wanted to brace at another height than it did, moved to that.

    Raises
    ------
    SpecError
        If the job says nothing of a length.
    GeometryError
        If the length must come from a reading whose pin does not pass through the loops.
    LimitError
        If it must come from a reading at a load that such a line does not hold.
    """
    shorthand = job_shorthand(job)
    finished = job.line.finished
    if original is None:
        original, notes = _original_or_note(job)
    else:
        notes = list(original.notes)
    by_bow: WantedLength | None = None
    if finished is not None:
        length = Estimate(finished.si, finished.standard_uncertainty or 0.0, "m")
        source = "asked for in the job"
    elif original is not None:
        length, source = original.length, "worked out from what was read off the original"
    elif shorthand is not None:
        length = Estimate(float(shorthand.length), 0.5 * LABEL_HALF_RANGE, "m")
        source = "the shorthand's own length"
        notes.append(_assumed(job))
    elif (by_bow := _by_bow(job)) is not None:
        length, source = by_bow.length, by_bow.source
        notes += by_bow.notes
    else:
        raise SpecError(
            "line.finished",
            "nothing",
            "must be given, or come from the original",
            "give line.finished, a reading or label of the original, or a shorthand",
        )
    if asks_for_brace(job) and (original is not None or shorthand is not None):
        by_bow = _for_brace(job, length, source)
        length, source = by_bow.length, by_bow.source
        notes += by_bow.notes
    tolerance = si(job.line.tolerance, default_tolerance(length.value))
    if by_bow is not None:
        tolerance, said = _within_the_wish(job, by_bow.per_brace, tolerance)
        notes += said
    return Target(
        length=length,
        measuring_load=measuring_load(job),
        pin_diameter=MEASURING_PIN_DIAMETER,
        tolerance=tolerance,
        source=source,
        notes=(
            *_too_vague(job, length, tolerance, by_brace=by_bow is not None),
            *notes,
            *_notes(job, length, original),
            *filter(None, [centre_note(job, len(shorthand.runs) if shorthand else 0)]),
        ),
        original=original,
        per_brace=None if by_bow is None else by_bow.per_brace,
    )


def _within_the_wish(job: Job, per_brace: float, tolerance: float) -> tuple[float, list[str]]:
    """Narrow a tolerance to what the wish for a brace height allows: a wider one would miss it."""
    wished = string_within(job, per_brace)
    if wished is None or wished >= tolerance:
        return tolerance, []
    to = Written.on(job.paper)
    return wished, [
        f"proved within {to.small(wished)}, as that brace height wants it, not within "
        f"{to.fine(tolerance)}"
    ]


def _by_bow(job: Job) -> WantedLength | None:
    """Work the length out from the bow alone, where it is one whose string sets its brace."""
    bow = job.bow
    if not is_bent(job) or bow.bow_length is None:
        return None
    if bow.brace_height is None and bow.wanted.brace_height is None:
        raise SpecError(
            "bow.wanted.brace_height",
            "nothing",
            "must be given where the length is to follow from the bow's",
            "give the brace height its maker names, or line.finished",
        )
    from strandwright.planning.bow.wanted_brace import from_bow_length

    return from_bow_length(job)


def _for_brace(job: Job, length: Estimate, source: str) -> WantedLength:
    """Move a length that is known to the brace height that is wanted."""
    # Bows are looked for only where somebody asks what only they can tell.
    from strandwright.planning.bow.wanted_brace import from_bow_length, from_known_string

    label = job.original.label
    only_label = label is not None and label.says == "bow length" and not job.original.readings
    if only_label:
        moved = from_bow_length(job, length)
        assert moved is not None
        return moved
    return from_known_string(job, length, source)


def _original_or_note(job: Job) -> tuple[OriginalLength | None, list[str]]:
    """Length of the original; a note in its place where the job can do without it."""
    try:
        original = original_length(job)
    except InputError as error:
        if job.line.finished is None:
            raise
        return None, [f"what was read off the original is left out: {error}"]
    return original, [] if original is None else list(original.notes)


def _assumed(job: Job) -> str:
    """Say what a bare number is taken to mean."""
    to = Written.on(job.paper)
    return (
        f"the shorthand names no load and no pins: its length is taken as read at "
        f"{to.force(measuring_load(job))} over {to.length(MEASURING_PIN_DIAMETER)} pins, "
        f"to \u00b1 {to.small(LABEL_HALF_RANGE)}"
    )


def _too_vague(job: Job, length: Estimate, tolerance: float, *, by_brace: bool) -> list[str]:
    """Say that no work can land closer than the length asked for is known."""
    if length.u95 <= tolerance + _NOTHING:
        return []
    to = Written.on(job.paper)
    return [
        f"the length asked for is itself known only to \u00b1 {to.half_range(length.u95)}, wider "
        f"than the tolerance of {to.fine(tolerance)}: {what_decides(by_brace=by_brace)}"
    ]


def what_decides(*, by_brace: bool) -> str:
    """Say what to do about a length that is known no closer than it is to be met.

    Parameters
    ----------
    by_brace : bool
        Whether the length follows from a brace height.

    Returns
    -------
    str
        To follow what is wrong with it.
    """
    if by_brace:
        return "the brace height, read after fitting, has the last word; turns bring it home"
    return "measure the original at a known load over known pins"


def _notes(job: Job, length: Estimate, original: OriginalLength | None) -> list[str]:
    notes: list[str] = []
    if original is not None and job.line.finished is not None:
        old = original.length
        text = Written.on(job.paper).fine(old.value)
        if abs(old.value - length.value) > 2.0 * float(np.hypot(old.u, length.u)) + _NOTHING:
            notes.append(
                f"the original comes to {text}, which is not what is asked for: "
                "settle which is right before winding"
            )
        else:
            notes.append(f"the original comes to {text}, in keeping with what is asked for")
    notes += differences(job)
    if job.original.readings:
        notes.append(_worn(job))
    return notes


def _worn(job: Job) -> str:
    row = practice("label.worn_excess")
    to = Written.on(job.paper)
    low, high = (to.fine(row.value if v is None else v) for v in (row.low, row.high))
    return (
        f"a worn original may have stretched by {low} to {high} since it was made "
        "(trade pages): compare with the bow's axle-to-axle and brace height"
    )
