"""The line of a job: its words turned into loops, servings, marks and strands in SI."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

from strandwright.errors import SpecError
from strandwright.fibre.bundle import bundle_diameter
from strandwright.line.layout import throat_distance
from strandwright.line.parts import (
    Hand,
    Line,
    Loop,
    Mark,
    Serving,
    ServingKind,
    ServingThread,
    check_line,
)
from strandwright.line.standards import MEASURING_LOAD
from strandwright.line.standards import measuring_load as standard_measuring_load
from strandwright.planning.brace_wish import is_bent
from strandwright.planning.makings.reinforced import is_crossbow_string, reinforced_in
from strandwright.planning.makings.sections import loop_part, sections_of
from strandwright.planning.makings.yoke import THROAT_OFFSET, with_throat
from strandwright.planning.servings.centre import PlacedCentre, place_centre
from strandwright.planning.strand_stock import KnownStrand, known_strand
from strandwright.reference import practice, thread
from strandwright.units import Entered
from strandwright.workshop.job import Job
from strandwright.workshop.parts import LoopEnd, ServingSpec
from strandwright.workshop.shorthand import Shorthand, parse_shorthand


def si(entered: Entered | None, default: float) -> float:
    """Value of an entry, or a default where there is none.

    Parameters
    ----------
    entered : Entered or None
        The entry.
    default : float
        Value where there is none [SI]

    Returns
    -------
    float
        The value [SI]
    """
    return default if entered is None else entered.si


def measuring_load(job: Job) -> float:
    """Measuring load: 100 lbf, or 50 lbf for bows under 40 lb, unless the job says otherwise.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    float
        Load [N]
    """
    if job.route.measure is not None:
        return job.route.measure.si
    weight = job.bow.draw_weight
    return MEASURING_LOAD if weight is None else standard_measuring_load(weight.si)


def serving_thread(spec: ServingSpec | None, name: str, field: str) -> ServingThread:
    """Give the thread of that name as the physics needs it.

    Parameters
    ----------
    spec : ServingSpec or None
        The serving, for a tension of its own.
    name : str
        Name in the reference table.
    field : str
        Field to name in an error.

    Returns
    -------
    ServingThread
        The thread.

    Raises
    ------
    SpecError
        If there is no such thread.
    """
    try:
        row = thread(name)
    except SpecError as error:
        raise error.at(field) from error
    tension = row.wrap_tension.value
    if spec is not None:
        tension = si(spec.tension, tension)
    return ServingThread(
        name=name,
        diameter=row.diameter.value,
        flattening=row.flattening.value,
        linear_density=row.linear_density.value,
        stiffness=row.stiffness.value,
        friction=row.friction.value,
        tension=tension,
    )


def job_shorthand(job: Job) -> Shorthand | None:
    """Give the line's start-stop shorthand, from the line or from the original.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    Shorthand or None
        None where the job has none.
    """
    if job.line.shorthand:
        return read_shorthand(job.line.shorthand, "line.shorthand")
    if job.original.shorthand:
        return read_shorthand(job.original.shorthand, "original.shorthand")
    return None


@lru_cache(maxsize=256)
def read_shorthand(text: str, field: str) -> Shorthand:
    """Read a shorthand; the same one comes again each time a job is planned.

    Parameters
    ----------
    text : str
        The shorthand.
    field : str
        The field's name, for the error.

    Returns
    -------
    Shorthand
        What it says.

    Raises
    ------
    InputError
        If it cannot be read.
    """
    return parse_shorthand(text, field=field)


def serving_edges(job: Job, length: float) -> list[tuple[float, float]]:
    """Give the finished edges of each serving, on a line of that length.

    Parameters
    ----------
    job : Job
        The job.
    length : float
        Finished length [m]

    Returns
    -------
    list of (float, float)
        Start and stop from the zero end, in the order of the job [m]

    Raises
    ------
    SpecError
        If a serving has no edges of its own and the shorthand none for it.
    """
    shorthand = job_shorthand(job)
    runs = shorthand.runs if shorthand is not None else ()
    placed = held_to_runs(job, length)
    waiting = iter(runs)
    edges: list[tuple[float, float]] = []
    for number, serving in enumerate(job.line.servings):
        if placed is not None and number == placed.number:
            edges.append((placed.start, placed.stop))
            continue
        if serving.start is not None and serving.stop is not None:
            ends = (serving.start.si, serving.stop.si)
            far = serving.from_far_end
            edges.append((length - ends[0], length - ends[1]) if far else ends)
            continue
        assert shorthand is not None
        run = next(waiting)
        old = float(shorthand.length)
        start, stop = float(run.start), float(run.stop)
        if run.from_far:
            edges.append((length - (old - start), length - (old - stop)))
        elif start == 0.0:
            edges.append((start, stop))
        else:
            edges.append((start * length / old, stop * length / old))
    return with_throat(job, length, edges)


def held_to_runs(job: Job, length: float) -> PlacedCentre | None:
    """Hold servings without edges to the shorthand's runs; one too many may be the centre's.

    Parameters
    ----------
    job : Job
        The job.
    length : float
        Finished length [m]

    Returns
    -------
    PlacedCentre or None
        The serving that has no run, placed from the nocking point; None where each has one.

    Raises
    ------
    SpecError
        If a serving has no edges of its own and the shorthand none for it.
    """
    shorthand = job_shorthand(job)
    runs = 0 if shorthand is None else len(shorthand.runs)
    given = sum(s.start is None or s.stop is None for s in job.line.servings)
    if given in (0, runs):
        return None
    placed = place_centre(job, length, runs, middle_shift(job))
    if placed is None:
        raise SpecError(
            "line.servings",
            f"{given} without start and stop",
            f"must match the shorthand's {runs} runs one to one, in order",
            "name every run once, or give start and stop"
            + (", or mark the nock to place the centre from it" if is_bent(job) else ""),
        )
    return placed


def middle_shift(job: Job) -> float:
    """Give how far the middle of a crossbow's braced string lies from that of the measured one.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    float
        Towards the far end; 0 where loops and pegs are alike at both ends, and for any other
        line [m]

    Notes
    -----
    The bow centres what lies between its pegs. A loop reaches another way over a peg than over the
    measuring pin; unlike loops or pegs do so unlike. Where the peg is not known, or the loop does
    not close over it, the pin stands for it. What the halves stretch unlike is told by the plan.
    """
    ends = (job.line.zero_end, job.line.far_end)
    pegs = {peg.name: peg.diameter.si for peg in job.bow.pegs}
    if not is_crossbow_string(job) or not any(end.peg in pegs for end in ends):
        return 0.0
    strand = known_strand(job)
    zero, far = loops_of(job, strand)
    pin, gains = practice("measuring.pin_diameter").value, list[float]()
    for loop, end in ((zero, ends[0]), (far, ends[1])):
        over = throat_distance(loop, pegs.get(end.peg or "", pin))
        gains.append(0.0 if math.isnan(over) else over - throat_distance(loop, pin))
    return 0.5 * (gains[1] - gains[0])


def loops_of(job: Job, strand: KnownStrand) -> tuple[Loop, Loop]:
    """Give the two loops of a job's line.

    Parameters
    ----------
    job : Job
        The job.
    strand : KnownStrand
        The strand.

    Returns
    -------
    tuple of Loop
        Zero end and far end.
    """
    stock = strand.stock
    bare, core = (
        float(bundle_diameter(strand_count(job), stock.linear_density, stock.density, packing))
        for packing in (strand.datum("packing").value, strand.datum("served_packing").value)
    )
    zero = _loop(job, job.line.zero_end, "zero_end", bare, core)
    return zero, _loop(job, job.line.far_end, "far_end", bare, core)


def strand_count(job: Job) -> int:
    """Give the strand count, checked against the colours.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    int
        Strand count [-]

    Raises
    ------
    SpecError
        If the colours do not add up to the strand count.
    """
    count = job.makeup.strands
    total = sum(c.strands for c in job.makeup.colours)
    if job.makeup.colours and total != count:
        raise SpecError(
            "makeup.colours",
            f"{' + '.join(str(c.strands) for c in job.makeup.colours)} = {total}",
            f"must add up to makeup.strands, {count}",
            f"change a colour or set strands = {total}",
        )
    return count


def _loop(job: Job, end: LoopEnd, which: str, bare: float, served_core: float) -> Loop:
    """Give one end's loop; its legs are half the strands, served or bare."""
    part = loop_part(job, which)
    bare, served_core = bare * part.across, served_core * part.across
    leg = bare * part.leg
    strand_thread = None
    if end.thread is not None:
        strand_thread = serving_thread(None, end.thread, f"line.{which}.thread")
        served = 2.0 * strand_thread.flattening * strand_thread.diameter
        leg = served_core * part.leg + served
    loop = Loop.from_size(end.name, end.size.si, leg, THROAT_OFFSET * bare, strand_thread)
    flattened = practice("loop.leg_on_pin").value
    late = reinforced_in(job, which) / job.makeup.strands
    return replace(loop, flattened=flattened, strands=part.strands, late=late)


def make_line(job: Job, length: float, strand: KnownStrand) -> Line:
    """Make the line of a job at a finished length.

    Parameters
    ----------
    job : Job
        The job.
    length : float
        Finished length at the measuring condition [m]
    strand : KnownStrand
        The strand.

    Returns
    -------
    Line
        The line, checked.

    Raises
    ------
    SpecError
        If its parts contradict each other.
    """
    count = strand_count(job)
    zero, far = loops_of(job, strand)
    sections = sections_of(job, length, zero, far)
    hand = Hand(job.makeup.hand)
    servings = [
        Serving(
            name=spec.name,
            kind=ServingKind(spec.use),
            start=start,
            stop=stop,
            thread=serving_thread(spec, spec.thread, f"line.servings[{i + 1}].thread"),
            hand=Hand(spec.hand) if spec.hand else hand,
            colour=spec.colour,
        )
        for i, (spec, (start, stop)) in enumerate(
            zip(job.line.servings, serving_edges(job, length), strict=True)
        )
    ]
    marks = [
        Mark(m.name, length - m.at.si if m.from_far_end else m.at.si, si(m.mass, 0.0))
        for m in job.line.marks
    ]
    line = Line(
        length=length,
        zero=zero,
        far=far,
        servings=tuple(sorted(servings, key=lambda s: s.start)),
        marks=tuple(sorted(marks, key=lambda m: m.position)),
        strand_count=count,
        hand=hand,
        measuring_load=measuring_load(job),
        pin_diameter=practice("measuring.pin_diameter").value,
        sections=sections,
        bundles=1 if job.line.laid is None else job.line.laid.bundles,
    )
    check_line(line)
    return line
