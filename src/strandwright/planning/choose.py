"""The choice of a make-up: what each strand, count and thread trades for what."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from html import escape

import numpy as np

from strandwright.errors import SpecError
from strandwright.fibre.bundle import bundle_diameter
from strandwright.fibre.settling import creep_strain, steady_creep_rate
from strandwright.fibre.strand_law import FloatArray
from strandwright.line.model import LineModel
from strandwright.line.serving_geometry import served_span
from strandwright.line.unknowns import Unknowns
from strandwright.numerics.propagation import Propagation, propagate
from strandwright.planning.estimate import Estimate
from strandwright.planning.fits.checks import NOCK_ALLOWANCE, verdict_of
from strandwright.planning.fits.low_stretch import is_too_stiff
from strandwright.planning.forecast import INTERACTING
from strandwright.planning.line_of_job import make_line
from strandwright.planning.makings.sections import halves_of
from strandwright.planning.mass import bare_mass, loop_thread, whole_mass
from strandwright.planning.prepare import Prepared, at_mean, prepare
from strandwright.planning.result import Strength
from strandwright.planning.servings.plan import estimate, plan_loops
from strandwright.planning.settings import wanted_turns
from strandwright.planning.strand_stock import KnownStrand, find_strand
from strandwright.planning.strength.loads import BowLoads, bow_loads
from strandwright.planning.strength.margins import derate, share_of
from strandwright.planning.strength.places import at_weakest, has_places
from strandwright.planning.strength.twist import twist_kept
from strandwright.planning.take_off.target import find_target
from strandwright.planning.unknowns import KELVIN_20, make_parameters
from strandwright.reference import practice, strands, thread, threads
from strandwright.units import INCH
from strandwright.workshop.job import Job
from strandwright.workshop.parts import ColourStrands, MakeUp

MONTH = 30.0 * 86400.0
#: A hot car, by Celsius scale 40 [K]
WARM = KELVIN_20 + 20.0
#: Resting load over derated break that a row may have to be shown [-]
SHOWN_SHARES = (0.04, 0.36)
#: Bare diameter that a row may have to be shown, about 0.07 to 0.13 in [m]
SHOWN_DIAMETERS = (0.0018, 0.0033)

#: A thread, the diameter over it, and how it fits
ThreadOption = tuple[str, Estimate, str]


@dataclass(frozen=True)
class ChoiceRow:
    """One make-up and what it comes to.

    Attributes
    ----------
    strand : str
        Strand by its name in the reference table.
    strand_count : int
        Strands [-]
    bare : Estimate
        Diameter of the bare bundle at the measuring load [m]
    centre_thread : str
        Thread of the table that comes nearest to the nock's seat, or the job's own.
    centre : Estimate
        Diameter over it [m]
    nock : str
        ``fits``, ``tight``, ``loose``, ``cannot tell``, or empty without a nock.
    end_thread : str
        Thread of the end servings.
    end : Estimate
        Diameter over it [m]
    track : str
        The same against the narrowest track, or empty without one.
    derated : Estimate
        Derated break load [N]
    resting, highest : Estimate
        Loads over it [-]
    release : Estimate or None
        The bound at release over it; None for a cable [-]
    stress : float
        Resting stress, load over mass per length [N m/kg]
    creep_month, creep_warm_month : float
        Lengthening in the first month at rest, at 20 and at 40 degC [m]
    mass : Estimate
        Mass of strands and servings [kg]
    remarks : tuple of str
        What speaks against it; empty where nothing does.
    centre_options : tuple of tuple
        Every centre thread of the table: its name, the diameter over it [m] and how it fits the
        nock, thinnest first.
    end_options : tuple of tuple
        Every end thread likewise, against the narrowest track.
    """

    strand: str
    strand_count: int
    bare: Estimate
    centre_thread: str
    centre: Estimate
    nock: str
    end_thread: str
    end: Estimate
    track: str
    derated: Estimate
    resting: Estimate
    highest: Estimate
    release: Estimate | None
    stress: float
    creep_month: float
    creep_warm_month: float
    mass: Estimate
    remarks: tuple[str, ...]
    centre_options: tuple[ThreadOption, ...] = ()
    end_options: tuple[ThreadOption, ...] = ()


@dataclass(frozen=True)
class Choice:
    """The make-ups worth comparing for one job.

    Attributes
    ----------
    rows : tuple of ChoiceRow
        By strand, then by count.
    present : int or None
        Index of the row the job has now [-]
    loads : BowLoads
        The loads it was judged by.
    rule_of_four : int
        Strands that "four times the draw weight" would ask for [-]
    rule_of_four_share : float
        What the line would then rest at, over its derated break [-]
    note : str
        Why that rule misleads, with this bow's numbers.
    """

    rows: tuple[ChoiceRow, ...]
    present: int | None
    loads: BowLoads
    rule_of_four: int
    rule_of_four_share: float
    note: str

    def _repr_html_(self) -> str:
        """Show the rows in a notebook."""
        heads = ("strand", "count", "bare", "centre", "rests", "drawn", "against it")
        lines = [heads, *(_row_cells(row) for row in self.rows)]
        cells = ("".join(f"<td>{escape(cell)}</td>" for cell in line) for line in lines)
        return f"<table>{''.join(f'<tr>{c}</tr>' for c in cells)}</table><p>{escape(self.note)}</p>"


def _row_cells(row: ChoiceRow) -> tuple[str, ...]:
    """Give a row as a notebook shows it."""
    return (
        row.strand,
        f"{row.strand_count}",
        f"{row.bare.value / INCH:.3f} in",
        f"{row.centre.value / INCH:.3f} in {row.nock}",
        f"{100.0 * row.resting.value:.0f} %",
        f"{100.0 * row.highest.value:.0f} %",
        "; ".join(row.remarks),
    )


def choose(job: Job, counts: Iterable[int] | None = None) -> Choice:
    """Show the trade-off over strands, counts and threads.

    Parameters
    ----------
    job : Job
        The job: bow, length, servings, present make-up.
    counts : iterable of int or None
        Strand counts to try; None tries the even ones from 8 to 60. Those that the line's making
        cannot share out are left out [-]

    Returns
    -------
    Choice
        Rows worth comparing.

    Raises
    ------
    SpecError
        If neither the bow's draw weight nor the line's loads are known.
    """
    length = find_target(job).length.value
    present = prepare(job, length)
    own = job.makeup.own_strand
    names = [*strands(), *([own.name] if own is not None else [])]
    tried = tuple(counts) if counts is not None else tuple(range(8, 61, 2))
    tried = tuple(n for n in tried if n % halves_of(job) == 0)
    loads = _loads(present, present.strand, job.makeup.strands)
    rows = [
        row
        for name in names
        for count in _near_shown(find_strand(name, own), tried)
        if (row := _row(_case(present, find_strand(name, own), name, count))) is not None
    ]
    now = [
        i
        for i, r in enumerate(rows)
        if (r.strand, r.strand_count) == (job.makeup.strand, job.makeup.strands)
    ]
    count, share = _rule_of_four(job, present, loads)
    return Choice(
        rows=tuple(rows),
        present=now[0] if now else None,
        loads=loads,
        rule_of_four=count,
        rule_of_four_share=share,
        note=_note(present, count, share),
    )


def with_strands(job: Job, strand: str, count: int) -> Job:
    """Give the job with another strand and count, its colours and reinforcement scaled to it.

    Parameters
    ----------
    job : Job
        The job.
    strand : str
        Strand.
    count : int
        Strands [-]

    Returns
    -------
    Job
        The changed job.
    """
    colours = _scaled_colours(job.makeup.colours, count)
    changed: dict[str, object] = {"strand": strand, "strands": count, "colours": colours}
    makeup: MakeUp = job.makeup.model_copy(update=changed)
    total = job.makeup.strands
    ends = {
        which: end.model_copy(
            update={"reinforced": 2 * max(round(0.5 * end.reinforced * count / total), 1)}
        )
        for which in ("zero_end", "far_end")
        if (end := getattr(job.line, which)).reinforced
    }
    return job.model_copy(
        update={"makeup": makeup, "line": job.line.model_copy(update=dict(ends))}
    )


def _scaled_colours(
    colours: tuple[ColourStrands, ...], count: int
) -> tuple[ColourStrands, ...]:
    if not colours:
        return ()
    total = sum(c.strands for c in colours)
    parts = [c.strands * count // total for c in colours]
    for i in range(count - sum(parts)):
        parts[i % len(parts)] += 1
    return tuple(
        c.model_copy(update={"strands": p}) for c, p in zip(colours, parts, strict=True) if p > 0
    )


def _loads(present: Prepared, strand: KnownStrand, count: int) -> BowLoads:
    soft = float(present.model.softness(at_mean(present.parameters))[0])
    stiffness = count * strand.datum("stiffness").value / soft
    loads = bow_loads(present.job, stiffness, present.model.line.length)
    if loads is None:
        raise SpecError(
            "bow.draw_weight",
            "nothing",
            "must be given, so that the choice knows what the line has to hold",
            "give the draw weight, or bow.loads.resting and bow.loads.highest",
        )
    return loads


@dataclass(frozen=True)
class _Case:
    """One strand and count on the present line: its model and what is unknown of it."""

    present: Prepared
    strand: KnownStrand
    name: str
    count: int
    model: LineModel
    q: Unknowns
    spread: Propagation


def _near_shown(strand: KnownStrand, counts: Iterable[int]) -> list[int]:
    """Counts whose diameter comes near to what is shown: the others need no model."""
    stock, packing = strand.stock, strand.datum("packing").value
    low, high = 0.98 * SHOWN_DIAMETERS[0], 1.02 * SHOWN_DIAMETERS[1]
    return [
        n
        for n in counts
        if low <= float(bundle_diameter(n, stock.linear_density, stock.density, packing)) <= high
    ]


def _model_of(present: Prepared, strand: KnownStrand, name: str, count: int) -> LineModel:
    job = with_strands(present.job, name, count)
    line = make_line(job, present.model.line.length, strand)
    return replace(present.model, line=line, stock=strand.stock)


def _case(present: Prepared, strand: KnownStrand, name: str, count: int) -> _Case:
    """Carry what is not known of a strand through the same formulas as a plan's."""
    model = _model_of(present, strand, name, count)
    parameters = make_parameters(
        present.job, strand, present.loads, present.model.line.length
    )
    rate = wanted_turns(present) / present.model.twisting_length
    sizes = lambda q: _sizes(model, q, rate)  # noqa: E731
    spread = propagate(sizes, parameters, interacting=INTERACTING)
    return _Case(present, strand, name, count, model, at_mean(parameters), spread)


def _sizes(model: LineModel, q: Unknowns, rate: float) -> Mapping[str, FloatArray]:
    """Diameters, factor for twist and thread of each serving."""
    bare = model.core_diameter(q, served=False)
    out = {
        "bare": bare,
        "core": model.core_diameter(q, served=True),
        "twist": twist_kept(model, q, np.full_like(bare, rate)),
    }
    lengths = model.layout.lengths
    for i, span in enumerate(model.servings(q)):
        served = model.section_of(i).members * float(lengths[slice(*model.layout.bounds(i))].sum())
        out[f"thread:{i}"] = served * span.thread_per_length
    return out


def _options(core: Estimate, use: str, low: float, high: float | None) -> tuple[ThreadOption, ...]:
    """Every thread of a use over a core, and how it fits a range; unsaid without one."""
    found: list[ThreadOption] = []
    for name, row in threads().items():
        if use not in row.use:
            continue
        over = _over(core, name)
        found.append((name, over, "" if high is None else verdict_of(over, low, high)))
    return tuple(sorted(found, key=lambda option: option[1].value))


def _over(core: Estimate, name: str) -> Estimate:
    row = thread(name)
    span = served_span(core.value, row.diameter.value, row.flattening.value, 1.0)
    u = math.hypot(core.u, 2.0 * row.diameter.value * row.flattening.standard_uncertainty)
    return Estimate(float(span.outside_diameter), u, "m")


def _job_thread(present: Prepared, use: str) -> str | None:
    return next((s.thread for s in present.job.line.servings if s.use == use), None)


def _centre(case: _Case, core: Estimate) -> tuple[ThreadOption, tuple[ThreadOption, ...]]:
    """Centre thread that comes nearest to the nock's seat, or the job's own; and all others."""
    nock = case.present.job.bow.nock
    if nock is None:
        name = _job_thread(case.present, "centre") or "braid-021"
        return (name, _over(core, name), ""), _options(core, "centre", 0.0, None)
    seat = nock.seat.si
    options = _options(core, "centre", seat - NOCK_ALLOWANCE, seat + NOCK_ALLOWANCE)
    return min(options, key=lambda option: abs(option[1].value - seat)), options


def _end(case: _Case, core: Estimate) -> tuple[ThreadOption, tuple[ThreadOption, ...]]:
    """The job's end thread against the narrowest track; and all others."""
    width = min((t.width.si for t in case.present.job.bow.tracks), default=None)
    name = _job_thread(case.present, "end") or "braid-018"
    size = _over(core, name)
    fit = "" if width is None else verdict_of(size, 0.0, width)
    return (name, size, fit), _options(core, "end", 0.0, width)


def _row(case: _Case) -> ChoiceRow | None:
    strand, count = case.strand, case.count
    bare, core = (estimate(case.spread, name, "m") for name in ("bare", "core"))
    whole = derate(strand, count, estimate(case.spread, "twist", "1"))
    derated = _at_weakest(case, whole).derated
    loads = _loads(case.present, strand, count)
    resting = share_of(loads.resting, derated)
    shown = SHOWN_SHARES[0] <= resting.value <= SHOWN_SHARES[1]
    if not (shown and SHOWN_DIAMETERS[0] <= bare.value <= SHOWN_DIAMETERS[1]):
        return None
    (centre_thread, centre, nock), centre_options = _centre(case, core)
    (end_thread, end, track), end_options = _end(case, core)
    draft = ChoiceRow(
        strand=case.name,
        strand_count=count,
        bare=bare,
        centre_thread=centre_thread,
        centre=centre,
        nock=nock,
        end_thread=end_thread,
        end=end,
        track=track,
        derated=derated,
        resting=resting,
        highest=share_of(loads.highest, derated),
        release=None if loads.release is None else share_of(loads.release, derated),
        stress=loads.resting.value / (count * strand.stock.linear_density),
        creep_month=_creep(case.present, strand, count, loads, KELVIN_20),
        creep_warm_month=_creep(case.present, strand, count, loads, WARM),
        mass=_mass(case),
        remarks=(),
        centre_options=centre_options,
        end_options=end_options,
    )
    return replace(draft, remarks=tuple(_remarks(draft, case.present.job, strand)))


def _at_weakest(case: _Case, whole: Strength) -> Strength:
    """Strength of the job's own make in another strand and count."""
    job = with_strands(case.present.job, case.name, case.count)
    if not has_places(job):
        return whole
    return at_weakest(prepare(job, case.present.model.line.length), whole)


def _creep(
    present: Prepared, strand: KnownStrand, count: int, loads: BowLoads, kelvin: float
) -> float:
    """Lengthening of the first month at rest: logarithmic part, and plateau where known."""
    stock, length = strand.stock, present.model.line.length
    per_strand = loads.resting.value / count
    share = per_strand / stock.break_load
    strain = float(creep_strain(share, MONTH, strand.datum("creep_per_decade").value))
    steady = strand.row.steady_creep
    if steady is not None:
        stress = per_strand / (stock.linear_density / stock.density)
        rate = steady_creep_rate(
            stress,
            kelvin,
            reference_rate=steady.rate.value,
            reference_stress=steady.stress.value,
            reference_temperature=steady.temperature.value,
            activation_energy=steady.activation_energy.value,
            activation_volume=steady.activation_volume.value,
        )
        strain += float(rate) * MONTH
    return strain * length


def _mass(case: _Case) -> Estimate:
    """Mass of the whole line, as a plan has it."""
    model = case.model
    threads_laid: list[Estimate] = []
    for i, serving in enumerate(model.line.servings):
        used = estimate(case.spread, f"thread:{i}", "m")
        density = serving.thread.linear_density
        threads_laid.append(Estimate(used.value * density, used.u * density, "kg"))
    threads_laid += [loop_thread(loop) for loop in plan_loops(model, case.q)]
    tied = sum(mark.mass for mark in model.line.marks)
    return whole_mass(bare_mass(model, case.strand, case.q), threads_laid, tied)


def _remarks(row: ChoiceRow, job: Job, strand: KnownStrand) -> list[str]:
    warn, refuse = practice("safety.warn").value, practice("safety.refuse").value
    said: list[str] = []
    if row.resting.value > refuse:
        said.append("rests too near its break")
    elif row.resting.value > warn:
        said.append("rests high")
    if strand.stock.fibre == "aramid":
        said.append("aramid fails suddenly after about a thousand shots (encyclopaedic pages)")
    if row.highest.value > practice("safety.highest_refuse").value:
        said.append("drawn too near its break")
    if row.release is not None and row.release.value > practice("safety.release_refuse").value:
        said.append("bound at release over its break")
    if row.creep_month > 0.0254 / 16.0:
        said.append("creeps over 1/16 in in a month")
    if row.nock in ("tight", "loose"):
        said.append(f"{row.nock} in the nock")
    if row.track == "tight":
        said.append("too thick for the track")
    if is_too_stiff(job.bow, strand.stock.fibre):
        said.append("too stiff for an old or wooden bow")
    return said


def _rule_of_four(job: Job, present: Prepared, loads: BowLoads) -> tuple[int, float]:
    weight = job.bow.draw_weight
    load = present.strand.datum("break_load").value
    base = loads.highest.value if weight is None else weight.si
    if weight is None:
        base /= practice(f"bow.{job.bow.kind}.highest_tension").value
    count = max(2, 2 * math.ceil(4.0 * base / load / 2.0))
    case = _case(present, present.strand, job.makeup.strand, count)
    derated = derate(case.strand, count, estimate(case.spread, "twist", "1")).derated
    return count, loads.resting.value / derated.value


def _note(present: Prepared, count: int, share: float) -> str:
    return (
        f"'four times the draw weight' asks for {count} strands of {present.strand.stock.name}; "
        f"they would rest at {100.0 * share:.0f} % of their derated break. The rule takes the draw "
        "weight for the line's load; what sets the count is resting load and creep, and the "
        "diameter that nock and tracks need."
    )
