"""The original: the worn line as a job of its own, as far as it was counted and measured."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

import numpy as np

from strandwright.errors import SpecError
from strandwright.fibre.bundle import bundle_diameter
from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.planning.line_of_job import si
from strandwright.planning.prepare import Prepared
from strandwright.planning.strand_stock import known_strand
from strandwright.planning.written import Written
from strandwright.units import INCH, Entered
from strandwright.workshop.job import Job

#: Perimeter of loops nobody measured, taken from the new line: standard uncertainty [m]
LOOPS_NOT_MEASURED = INCH / 8.0
#: Strands that an original may have more or fewer where nobody counted: standard uncertainty [-]
STRANDS_NOT_COUNTED = 2.0
#: Diameter of a soft bare bundle by caliper: relative standard uncertainty, estimate [-]
SOFT_BUNDLE = 0.03
#: No bundle of strands under load packs more loosely or more densely than this [-]
LOOSEST, DENSEST = 0.4, 0.9


#: What an end is without anything laid in
_PLAIN: dict[str, object] = {"reinforced": None, "reinforced_length": None}


def as_original(job: Job) -> Job:
    """Give the job of the line that was read: the original's own make-up, the new one's else.

    Parameters
    ----------
    job : Job
        The job of the new line, with what was found of the original.

    Returns
    -------
    Job
        Strands, hand and loops are the original's where they were noted.

    Raises
    ------
    SpecError
        If fewer than two strands were counted.
    """
    original, line = job.original, job.line
    makeup: dict[str, object] = {
        "hand": original.hand or job.makeup.hand,
        "colours": (),
        "pattern": "free",
    }
    if original.strands:
        count = sum(colour.strands for colour in original.strands)
        if count < 2:
            rule = "a line has two strands or more"
            raise SpecError("original.strands", count, rule, "count again, or leave it out")
        makeup["strands"] = count
    zero, far = (
        # Whether its loops were reinforced nobody noted: it is taken as a plain skein.
        end.model_copy(update={"size": size or end.size} | _PLAIN)
        for end, size in (
            (line.zero_end, original.zero_loop),
            (line.far_end, original.far_loop),
        )
    )
    return job.model_copy(
        update={
            "makeup": job.makeup.model_copy(update=makeup),
            "line": line.model_copy(update={"zero_end": zero, "far_end": far}),
        }
    )


def laid_within(job: Job, length: float) -> Job:
    """Bring servings whose edges were written for a longer line within a shorter one.

    Parameters
    ----------
    job : Job
        The job of the original, its servings' edges perhaps those of the new line.
    length : float
        Length of the original [m]

    Returns
    -------
    Job
        What lies on the far half keeps its distance from the far end; the same where all fits.
    """
    written = [
        (i, s.start, s.stop)
        for i, s in enumerate(job.line.servings)
        if s.start is not None and s.stop is not None and not s.from_far_end
    ]
    end = max((stop.si for _, _, stop in written), default=0.0)
    if end <= length:
        return job
    over = Fraction(end) - Fraction(length)

    def moved(place: Entered) -> Entered:
        if place.si <= 0.5 * end:
            return place
        return replace(place, value=place.value - over)

    servings = list(job.line.servings)
    for i, start, stop in written:
        update = {"start": moved(start), "stop": moved(stop)}
        servings[i] = servings[i].model_copy(update=update)
    line = job.line.model_copy(update={"servings": tuple(servings)})
    return job.model_copy(update={"line": line})


def old_parameters(prepared: Prepared, near: float) -> ParameterVector:
    """Give the unknowns of an original: wider than a new line's where nobody looked.

    Parameters
    ----------
    prepared : Prepared
        The original's job (see :func:`as_original`) made ready.
    near : float
        Its length, nearly [m]

    Returns
    -------
    ParameterVector
        Those of the model, with ``relaxed``, the share of its bedding-in that it has lost again
        off the bow, and ``old_turns``.
    """
    turns, spread, source = _old_turns(prepared.job, near)
    extra = [
        Parameter("relaxed", 0.5, 1.0, "logit", "-", "no source: anywhere between none and all",
                  "bedding-in lost again off the bow"),
        Parameter("old_turns", max(turns, 1e-6), spread, "linear", "turn", source,
                  "turns in the original"),
    ]  # fmt: skip
    known = _with_spreads(prepared.parameters, _own_spreads(prepared))
    return known.joined(ParameterVector.from_parameters(extra))


def _old_turns(job: Job, near: float) -> tuple[float, float, str]:
    if job.original.turns is not None:
        return job.original.turns, 0.5, "counted while untwisting"
    if job.makeup.turns is not None:
        return job.makeup.turns, 0.2 * job.makeup.turns, "as planned; not counted"
    rate = si(job.makeup.twist, 0.5 / INCH)
    return rate * near, 0.2 * rate * near, "as planned; not counted"


def _own_spreads(prepared: Prepared) -> dict[str, tuple[float, float, str]]:
    """Working mean, standard uncertainty and source of what differs from a new line."""
    original, before = prepared.job.original, prepared.parameters
    found: dict[str, tuple[float, float, str]] = {}
    if original.zero_loop is None or original.far_loop is None:
        source = "loops of the original not measured"
        found["loop_error"] = (0.0, LOOPS_NOT_MEASURED, source)
    if not original.strands:
        row = before.index("stiffness")
        count = prepared.model.line.strand_count
        relative = float(np.hypot(before.deviations[row], STRANDS_NOT_COUNTED / count))
        source = f"{before.sources[row]}; strands of the original not counted"
        found["stiffness"] = (float(before.mean[row]), relative, source)
    if original.bare_diameter is not None:
        found["packing"] = _packing(prepared)
    return found


def _packing(prepared: Prepared) -> tuple[float, float, str]:
    """How densely the original packs, from its diameter: log of the mean, relative spread."""
    measured = prepared.job.original.bare_diameter
    assert measured is not None
    stock, count = prepared.model.stock, prepared.model.line.strand_count
    solid = float(bundle_diameter(count, stock.linear_density, stock.density, 1.0))
    packing = min(max((solid / measured.si) ** 2, LOOSEST), DENSEST)
    stated = measured.standard_uncertainty
    relative = SOFT_BUNDLE if stated is None else stated / measured.si
    density = prepared.strand.datum("linear_density").relative_uncertainty
    spread = float(np.hypot(2.0 * relative, density))
    return float(np.log(packing)), spread, "diameter of the original"


def _with_spreads(
    before: ParameterVector, changes: Mapping[str, tuple[float, float, str]]
) -> ParameterVector:
    """Replace mean, spread and source of some parameters; they are tied to no other."""
    mean, covariance = before.mean.copy(), before.covariance.copy()
    sources = list(before.sources)
    for name, (value, u, source) in changes.items():
        row = before.index(name)
        covariance[row, :] = covariance[:, row] = 0.0
        mean[row], covariance[row, row], sources[row] = value, u**2, source
    return before.with_updated(mean, covariance, sources)


def differences(job: Job) -> Sequence[str]:
    """Say where the new line differs from the original that was read.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    sequence of str
        One sentence each.
    """
    original, makeup = job.original, job.makeup
    said: list[str] = []
    count = sum(colour.strands for colour in original.strands)
    if count and count != makeup.strands:
        said.append(
            f"the original has {count} strands, the new line {makeup.strands}: "
            "it will be thicker or thinner and stretch otherwise"
        )
    if original.hand is not None and original.hand != makeup.hand:
        said.append(f"the original is twisted {original.hand}, the new line {makeup.hand}")
    for which, old, new in (
        ("zero", original.zero_loop, job.line.zero_end.size),
        ("far", original.far_loop, job.line.far_end.size),
    ):
        if old is not None and abs(old.si - new.si) > INCH / 16.0:
            said.append(
                f"the original's loop at the {which} end is {old.text}, "
                f"the new line's {new.text}"
            )
    if original.readings and (original.zero_loop is None or original.far_loop is None):
        said.append(
            "the loops of the original were not measured: those of the new line stand in, "
            "with a wider \u00b1"
        )
    if original.readings and not original.strands:
        said.append("the strands of the original were not counted: taken as in the new line")
    return [*said, *_odd_diameter(job)]


def _odd_diameter(job: Job) -> Sequence[str]:
    """Say that a diameter was read that so many strands do not have."""
    measured, stock = job.original.bare_diameter, known_strand(job).stock
    if measured is None:
        return ()
    count = as_original(job).makeup.strands
    thin, thick = (
        float(bundle_diameter(count, stock.linear_density, stock.density, packing))
        for packing in (DENSEST, LOOSEST)
    )
    if thin <= measured.si <= thick:
        return ()
    to = Written.on(job.paper)
    return (
        f"the original's diameter, {measured.text}, is not that of {count} strands of this kind, "
        f"{to.small(thin)} to {to.small(thick)}: count and measure again",
    )
