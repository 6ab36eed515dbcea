"""Fits: diameters against the bow's nock, tracks and pegs; threads solved for them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from strandwright.geometry.eye import passes_over
from strandwright.line.parts import Loop, ServingKind, ServingThread
from strandwright.line.serving_geometry import served_span
from strandwright.line.unknowns import Unknowns
from strandwright.numerics.propagation import Propagation
from strandwright.planning.estimate import Estimate
from strandwright.planning.fits.nock import strands_for, strands_text, trial_text
from strandwright.planning.fits.upper_loop import upper_loop_fits
from strandwright.planning.prepare import Prepared
from strandwright.planning.result import Fit
from strandwright.reference import Thread, threads
from strandwright.units import System, format_length_decimal
from strandwright.workshop.parts import LoopEnd, Nock, ServingSpec

#: A centre serving this much over the nock's seat is tight, this much under it loose [m]
NOCK_ALLOWANCE = 0.003 * 0.0254


@dataclass(frozen=True)
class SolvedThread:
    """A thread chosen for a wanted outside diameter.

    Attributes
    ----------
    needed : float
        Nominal diameter that would give it, at the usual flattening [m]
    name : str
        The nearest thread of the table for that use.
    outside : float
        Outside diameter with that thread [m]
    """

    needed: float
    name: str
    outside: float


# A diameter is looked up again for every place of a line that is dragged.
@lru_cache(maxsize=256)
def thread_for(
    core: float, wanted: float, use: str, flattening: float = 1.0, other_than: str = ""
) -> SolvedThread:
    """Solve the thread for a wanted outside diameter.

    Parameters
    ----------
    core : float
        Diameter inside the serving [m]
    wanted : float
        Outside diameter wanted [m]
    use : str
        ``end`` or ``centre``: which threads of the table may serve.
    flattening : float
        Factor on the table's flattening, from a trial wrap; 1 without one [-]
    other_than : str
        A thread that is not to be named again.

    Returns
    -------
    SolvedThread
        The thread; ``needed`` is zero where the core alone is too thick already.
    """
    rows = {name: t for name, t in threads().items() if use in t.use and name != other_than}

    def outside(t: Thread) -> float:
        flat = flattening * t.flattening.value
        return float(served_span(core, t.diameter.value, flat, 1.0).outside_diameter)

    name = min(rows, key=lambda n: abs(outside(rows[n]) - wanted))
    typical = rows[name]
    flat = flattening * typical.flattening.value
    return SolvedThread(max(0.5 * (wanted - core) / flat, 0.0), name, outside(typical))


def check_fits(prepared: Prepared, q: Unknowns, spread: Propagation) -> tuple[Fit, ...]:
    """Check every diameter the job gives against the line's.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    q : mapping
        Unknowns at their means, arrays of shape (1,).
    spread : Propagation
        The predicted build, for the +-.

    Returns
    -------
    tuple of Fit
        Warnings only; a fit never refuses a plan.
    """
    job, model = prepared.job, prepared.model
    units = job.paper.units
    found: list[Fit] = []
    specs = {s.name: s for s in job.line.servings}
    tracks = {t.name: t.width.si for t in job.bow.tracks}
    # A serving's own core where it is thickest: of a leg, of an end with strands laid in, the body.
    cores = [float(span.core_diameter[0]) for span in model.servings(q)]
    for i, serving in enumerate(model.line.servings):
        row = spread.index(f"outside:{i}")
        size = Estimate(float(spread.mean[row]), float(spread.second_order[row]), "m")
        core = cores[i]
        track = specs[serving.name].track
        if track in tracks:
            found.append(_in_track(serving.name, track, size, tracks[track], core, units))
        if serving.kind is ServingKind.CENTRE and job.bow.nock is not None:
            flat = float(q["flattening"][0])
            many = round(job.makeup.strands * model.section_of(i).member_strands)
            bundle = _Bundle(core, many, serving.thread, flat)
            found += _in_nock(specs[serving.name], size, job.bow.nock, bundle, units)
        if serving.kind is ServingKind.CENTRE and job.bow.latch is not None:
            found.append(_in_latch(serving.name, size, job.bow.latch.si))
    pegs = {p.name: p.diameter.si for p in job.bow.pegs}
    for loop, end in ((model.line.zero, job.line.zero_end), (model.line.far, job.line.far_end)):
        if end.peg in pegs:
            found.append(_over_peg(loop, end, pegs[end.peg], units))
    return (*found, *upper_loop_fits(job))


def verdict_of(size: Estimate, low: float, high: float) -> str:
    """Say fits, tight or loose only where the +- allows it.

    Parameters
    ----------
    size : Estimate
        The diameter [m]
    low, high : float
        Range that fits [m]

    Returns
    -------
    str
        ``fits``, ``tight``, ``loose`` or ``cannot tell``.
    """
    if size.value - size.u95 > high:
        return "tight"
    if size.value + size.u95 < low:
        return "loose"
    if low <= size.value - size.u95 and size.value + size.u95 <= high:
        return "fits"
    return "cannot tell"


def _in_track(
    name: str, track: str, size: Estimate, width: float, core: float, units: System
) -> Fit:
    verdict = verdict_of(size, 0.0, width)
    solved = thread_for(core, width, "end")
    sentence = {
        "fits": "runs freely",
        "tight": f"use a thinner thread: {solved.name} would come to "
        f"{format_length_decimal(solved.outside, units)}",
        "cannot tell": "lay a short trial wrap and try it in the track before serving",
    }[verdict]
    return Fit(name, f"track {track}", size, width, verdict, sentence)


@dataclass(frozen=True)
class _Bundle:
    """What lies under a centre serving, and what is wound over it."""

    core: float
    strands: int
    thread: ServingThread
    flat: float


def _in_nock(
    spec: ServingSpec, size: Estimate, nock: Nock, bundle: _Bundle, units: System
) -> list[Fit]:
    name, seat, core, flat = spec.name, nock.seat.si, bundle.core, bundle.flat
    solved = thread_for(core, seat, "centre", flat, other_than=spec.thread)
    if core >= seat:
        advice = "the bare bundle fills the nock already: fewer strands, or a wider nock"
    else:
        advice = (
            f"a thread of {format_length_decimal(solved.needed, units)} would seat; the nearest "
            f"other is {solved.name}, {format_length_decimal(solved.outside, units)} over it"
        )
    tried = spec.trial_in_nock
    laid = bundle.thread.diameter, flat * bundle.thread.flattening
    strands = strands_for(core, bundle.strands, laid, (seat, NOCK_ALLOWANCE))
    wrap = trial_text(core, *laid, units)
    verdict = tried or verdict_of(size, seat - NOCK_ALLOWANCE, seat + NOCK_ALLOWANCE)
    by_trial = "by the trial wrap" if tried else ""
    sentence = {
        "fits": "seats",
        "tight": f"too thick {by_trial}: {advice}{strands_text(strands, units)}",
        "loose": f"too thin {by_trial}: {advice}{strands_text(strands, units)}",
        "cannot tell": f"lay {wrap} and try the nock; {advice}",
    }[verdict]
    if tried == "fits":
        sentence = "seats, by the trial wrap"
    fits = [Fit(name, "nock seat", size, seat, verdict, sentence.replace(" :", ":"))]
    if nock.entry is not None:
        enters = verdict_of(size, nock.entry.si, 10.0 * seat)
        said = {
            "fits": "held by the entry",
            "loose": "falls out of the entry: a loose nock is a dry fire",
            "cannot tell": "try whether a light tap drops it; it must not fall by itself",
            "tight": "",
        }[enters]
        fits.append(Fit(name, "nock entry", size, nock.entry.si, enters, said))
    return fits


def _in_latch(name: str, size: Estimate, room: float) -> Fit:
    """Hold a crossbow's centre serving against the room that its latch leaves."""
    verdict = verdict_of(size, 0.0, room)
    sentence = {
        "fits": "goes under the latch",
        "tight": "too thick for the latch: fewer strands, or a thinner thread",
        "cannot tell": "lay a short trial wrap and try it, uncocked, under the open latch",
    }[verdict]
    return Fit(name, "latch", size, room, verdict, sentence)


def _over_peg(loop: Loop, end: LoopEnd, peg: float, units: System) -> Fit:
    passes = bool(np.all(passes_over(loop.perimeter, loop.leg_thickness, peg)))
    inside = (loop.perimeter - 0.5 * np.pi * loop.leg_thickness) / np.pi
    sentence = "passes over" if passes else (
        f"does not pass over {format_length_decimal(peg, units)}: make the loop larger"
    )
    size = Estimate(float(inside), 0.0, "m")
    against = f"peg {end.peg}"
    return Fit(f"{end.name} loop", against, size, peg, "fits" if passes else "tight", sentence)

