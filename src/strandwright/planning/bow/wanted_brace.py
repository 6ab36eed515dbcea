r"""The brace height wanted: how long a string a recurve or longbow needs for it.

A string of known length that braced the bow at a known height is the start, or the length that
the standard gives for the bow. From there the bows that agree with what is known are stood on
other strings until they brace at the height wanted; what that takes off or adds to the string
without load is, at the measuring load,

.. math:: \Delta L = (1 + \varepsilon)\,\Delta L_0 ,

and loops and pins are the same before and after.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from strandwright.errors import SpecError
from strandwright.fibre.bundle import bundle_diameter
from strandwright.line.standards import bow_length, string_length
from strandwright.planning.bow.braces import covering, usual_brace
from strandwright.planning.bow.known import BowQuestion, bent_question
from strandwright.planning.brace_wish import brace_within
from strandwright.planning.estimate import Estimate
from strandwright.planning.line_of_job import measuring_load
from strandwright.planning.strand_stock import known_strand
from strandwright.planning.written import Written
from strandwright.reference import practice, thread
from strandwright.units import INCH, Entered
from strandwright.workshop.job import Job

#: How far a bow's own label is trusted: half-range, as of a string's [m]
_LABEL_HALF_RANGE = INCH / 16.0
#: Heights that differ by less are one and the same [m]
_SAME = 1e-6
#: Half the difference that a slope is taken over [m]
_STEP = 1e-4


@dataclass(frozen=True)
class WantedLength:
    """The length of string that braces the bow at the height wanted.

    Attributes
    ----------
    length : Estimate
        At the measuring condition [m]
    change : Estimate
        Of the length the start had, its uncertainty that of the bows alone [m]
    per_brace : float
        Change of the string's length for a brace height higher by a little, below zero [m/m]
    start, wanted : float
        Brace height the start is known at, and the one wanted [m]
    source : str
        Where the length comes from.
    notes : tuple of str
        What to know about it.
    """

    length: Estimate
    change: Estimate
    per_brace: float
    start: float
    wanted: float
    source: str
    notes: tuple[str, ...]


def from_known_string(job: Job, known: Estimate, source: str) -> WantedLength:
    """Move the length of a string that braced the bow to the brace height wanted.

    Parameters
    ----------
    job : Job
        The job; its brace height is that on this string.
    known : Estimate
        Length of the string, at the measuring condition [m]
    source : str
        What the length comes from.

    Returns
    -------
    WantedLength
        The very length known where the height wanted is the one measured.

    Raises
    ------
    InputError
        If the brace height on that string is not known, or the bow cannot be asked.
    InputErrors
        For several figures left out.
    """
    brace = job.bow.brace_height
    if brace is None:
        raise SpecError(
            "bow.brace_height", "nothing", "must be what the bow stood at on the known string",
            "measure it before the old string comes off, or give line.finished",
        )  # fmt: skip
    row = practice("tuning.brace_height").value
    u = brace.standard_uncertainty or min(float(brace.step), row) / math.sqrt(12.0)
    moved = _moved(job, known, (brace.si, u), source)
    return replace(moved, notes=(*_other_bow(job, known, moved), *moved.notes))


def from_bow_length(job: Job, known: Estimate | None = None) -> WantedLength | None:
    """Give the string's length by the standard's allowance, at the brace height wanted.

    Parameters
    ----------
    job : Job
        The job.
    known : Estimate or None
        The string's length by the bow's label where that is known already; else the bow's
        length less the standard's 3 in [m]

    Returns
    -------
    WantedLength or None
        None where the job gives no bow length.

    Raises
    ------
    InputError
        If the bow cannot be asked.
    InputErrors
        For several figures left out.

    Notes
    -----
    The standard names the string that braces the bow as its maker means it to. That is the
    job's own brace height, or the middle of what practice gives for such bows; either way known
    no closer than practice's range.
    """
    long = job.bow.bow_length
    if known is None:
        if long is None:
            return None
        u = 0.5 * _LABEL_HALF_RANGE
        known = Estimate(string_length(long.si), long.standard_uncertainty or u, "m")
    usual = usual_brace(job)
    brace = job.bow.brace_height
    at = usual.row.value if brace is None else brace.si
    spread = math.hypot(
        usual.row.standard_uncertainty, (brace and brace.standard_uncertainty) or 0.0
    )
    source = "the bow's length less 3 in, by the standard"
    moved = _moved(job, known, (at, spread), source, always=True)
    to = Written.on(job.paper)
    vague = (
        f"which brace height goes with that length is known to \u00b1 {to.small(2.0 * spread)}, "
        f"and the string so to \u00b1 {to.small(moved.length.u95)}: an old string read at a known "
        "load, with the brace height it gave, does better"
    )
    return replace(moved, notes=(vague, *moved.notes))


def _moved(
    job: Job, known: Estimate, at: tuple[float, float], source: str, *, always: bool = False
) -> WantedLength:
    """Stand the bows at both heights; the same height needs none where it was measured."""
    given = job.bow.wanted.brace_height
    start, u_start = at
    wanted = start if given is None else given.si
    question = bow_question(job, known, start)
    curve = covering(question, start, wanted)
    to, back = (curve.longer_for(curve.brace, height)[0] for height in (wanted, start))
    grown = 1.0 + measuring_load(job) / _stiffness(job)
    longer = grown * (to - back)
    over, under = (curve.read(curve.brace, back + step) for step in (_STEP, -_STEP))
    per_brace = grown * 2.0 * _STEP / float((over - under).mean())
    change = float(longer.mean())
    doubt = practice("wheels.coefficient_doubt").standard_uncertainty
    same = abs(wanted - start) < _SAME
    by_bows = Estimate(change, float(np.hypot(longer.std(ddof=1), doubt * change)), "m")
    of_start = per_brace * u_start if always or not same else 0.0
    moved = Estimate(
        known.value + change, math.hypot(known.u, math.hypot(by_bows.u, of_start)), "m"
    )
    source = source if same else f"{source}, moved to the brace height wanted"
    notes = tuple(_notes(job, known, by_bows, per_brace, start, wanted))
    return WantedLength(moved, by_bows, per_brace, start, wanted, source, notes)


def _other_bow(job: Job, known: Estimate, moved: WantedLength) -> list[str]:
    """Say that string and bow length do not go together, as far as either is known."""
    long = job.bow.bow_length
    if long is None:
        return []
    usual, trade = usual_brace(job).row, practice("label.trade_allowance")
    by_bow = string_length(long.si) + moved.per_brace * (moved.start - usual.value)
    spread = math.hypot(trade.standard_uncertainty, moved.per_brace * usual.standard_uncertainty)
    if abs(known.value - by_bow) <= 2.0 * math.hypot(spread, known.u):
        return []
    to = Written.on(job.paper)
    by = to.estimate(Estimate(by_bow, spread, "m"))
    return [
        f"the string and the bow's length contradict each other: the string comes to "
        f"{to.fine(known.value)}, and a bow of {long.text} that braces at {to.fine(moved.start)} "
        f"has one of {by} by the standard; the string is believed: check that it is this bow's, "
        "how it was read, and what the label means"
    ]


def _notes(
    job: Job, known: Estimate, change: Estimate, per_brace: float, start: float, wanted: float
) -> list[str]:
    to = Written.on(job.paper)
    usual = usual_brace(job)
    found: list[str] = []
    if abs(wanted - start) >= _SAME:
        way = "shorter" if change.value < 0.0 else "longer"
        by = to.estimate(Estimate(abs(change.value), change.u, "m"))
        found.append(
            f"a string of {to.fine(known.value)} goes with a brace height of {to.fine(start)}; "
            f"for {to.fine(wanted)} it is {by} {way}, by bows that agree with what is known"
        )
    near = brace_within(job)
    found.append(
        f"brace height within {to.fine(near)} wants the string within "
        f"{to.small(abs(near * per_brace))}"
    )
    within = usual.low - _SAME <= wanted <= usual.high + _SAME
    found.append(
        f"practice gives {to.fine(usual.low)} to {to.fine(usual.high)} for {usual.of} "
        f"({usual.row.source}): {to.fine(wanted)} lies {'in' if within else 'outside'} that range"
        + ("" if within else "; ask the bow's maker before building for it")
    )
    return found


def bow_question(job: Job, known: Estimate, brace: float) -> BowQuestion:
    """Put what a job knows of its bow into the mechanics' words before its line is planned.

    Parameters
    ----------
    job : Job
        The job.
    known : Estimate
        Length of a string of the bow, for a bow whose own length is not given [m]
    brace : float
        Brace height on it [m]

    Returns
    -------
    BowQuestion
        What the job leaves out of bow length and draw length is taken as usual.
    """
    update: dict[str, object] = {"brace_height": _entered(brace)}
    if job.bow.bow_length is None:
        update["bow_length"] = _entered(bow_length(known.value))
    if job.bow.draw_length is None:
        update["draw_length"] = _entered(practice("bow.default.draw_length").value)
    full = job.model_copy(update={"bow": job.bow.model_copy(update=update)})
    return bent_question(full, _stiffness(job), _thickness(job))


def _entered(value: float) -> Entered:
    text = f"{value / INCH:.4g} in"
    return Entered(Fraction(value), None, "in", text, Fraction(1))


def _stiffness(job: Job) -> float:
    return known_strand(job).datum("stiffness").value * job.makeup.strands


def _thickness(job: Job) -> float:
    """Of the served string, as nearly as it matters where it lies on a tip."""
    strand = known_strand(job)
    core = float(
        bundle_diameter(
            job.makeup.strands, strand.stock.linear_density, strand.stock.density,
            strand.datum("served_packing").value,
        )
    )  # fmt: skip
    rows = [thread(s.thread) for s in job.line.servings]
    return core + max((2.0 * r.flattening.value * r.diameter.value for r in rows), default=0.0)
