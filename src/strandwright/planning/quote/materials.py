"""Materials: what lines take off the shelf, strand by colour, thread by size, parts by the piece.

Every length is the plans' own: strand as the posts make it with its tails, thread as servings and
loops need it. A shop that reckons otherwise says its own allowances, see
:class:`~strandwright.workshop.terms.Terms`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from strandwright.planning.details.marks import kind_of_mark
from strandwright.planning.details.separator import separator_cut
from strandwright.planning.estimate import Estimate
from strandwright.planning.laid.cutting import strand_mass
from strandwright.planning.makings.reinforced import reinforcements
from strandwright.planning.quote.prices import Want
from strandwright.planning.result import Plan
from strandwright.planning.sets.cutting import cut_list
from strandwright.planning.sets.result import FibreCut
from strandwright.reference import practice, thread
from strandwright.workshop.terms import Terms
from strandwright.workshop.wares import WARE_KINDS, Ware

#: Kinds of mark that a part is bought for; a nocking point is tied, a button and a stop are served
_BOUGHT = frozenset({"peep", "string loop", "silencer", "weight"})


@dataclass(frozen=True)
class Material:
    """What is taken of one ware.

    Attributes
    ----------
    want : Want
        What it is.
    jobs : tuple of str
        Ids of the lines that take it.
    length : Estimate or None
        Of strand or thread off the spool, tails and post allowance with it [m]
    mass : Estimate or None
        Of the same, with its wax [kg]
    count : int
        Pieces of a part; 0 of what has a length [-]
    """

    want: Want
    jobs: tuple[str, ...]
    length: Estimate | None = None
    mass: Estimate | None = None
    count: int = 0


def materials_of(
    plans: Sequence[Plan], terms: Terms | None = None, parts: Mapping[str, int] | None = None
) -> tuple[Material, ...]:
    """Add up what lines take.

    Parameters
    ----------
    plans : sequence of Plan
        The lines, in any order.
    terms : Terms or None
        The shop's, for allowances of its own.
    parts : mapping or None
        Small parts entered by hand, with their count; they come on top of those of the jobs [-]

    Returns
    -------
    tuple of Material
        Strand, thread, parts, each by name.
    """
    terms = terms or Terms()
    rows = [row for plan in plans for row in _of_line(plan, terms)]
    jobs = tuple(plan.job.id for plan in plans)
    rows += [Material(_part(name), jobs, count=count) for name, count in (parts or {}).items()]
    grouped: dict[tuple[str, str], list[Material]] = {}
    for row in rows:
        grouped.setdefault((row.want.ware.key, row.want.lot), []).append(row)
    return tuple(sorted((_added(same) for same in grouped.values()), key=_place))


def _place(found: Material) -> tuple[int, str, str]:
    return WARE_KINDS.index(found.want.ware.kind), str(found.want), found.want.ware.key


def _of_line(plan: Plan, terms: Terms) -> Iterator[Material]:
    cut, jobs = cut_list([plan]), (plan.job.id,)
    for fibre in _strands(plan, cut.fibres, terms):
        want = _strand(plan, fibre.name, fibre.colour)
        yield Material(want, jobs, fibre.length, fibre.mass)
    yield from _laid_in(plan)
    yield from _separator(plan)
    for laid in cut.threads:
        yield _thread(laid.thread, laid.colour, laid.length, jobs)
    yield from (Material(_part(name), jobs, count=1) for name in _bought(plan))


def _strands(plan: Plan, cuts: Iterable[FibreCut], terms: Terms) -> Iterator[FibreCut]:
    """Give the strand of each colour, by the shop's own allowances where it has some."""
    plain = [_plain_named(cut) for cut in cuts]
    if plan.laid is not None or (terms.post_allowance is None and terms.tails is None):
        yield from plain
        return
    counts = {run.name: run.strands for run in plan.winding.runs}
    runs = {run.name: run for run in plan.winding.runs}
    tails = 2.0 * plan.winding.tail_cut if terms.tails is None else terms.tails.si
    for cut in plain:
        if cut.name not in runs or cut.length.value == 0.0:
            yield cut
            continue
        wound = runs[cut.name].thread_length
        once = (wound - 2.0 * plan.winding.tail_cut) / counts[cut.name]
        if terms.post_allowance is not None:
            once = plan.target.length.value + terms.post_allowance.si
        # What a colour takes besides its winding, such as a yoke's strap, stays as it is.
        length = counts[cut.name] * once + tails + (cut.length.value - wound)
        factor = length / cut.length.value
        yield replace(cut, length=_times(cut.length, factor), mass=_times(cut.mass, factor))


def _plain_named(cut: FibreCut) -> FibreCut:
    """Let a yoke's strap be of the colour it is wound from."""
    return replace(cut, name=cut.name.removesuffix(", strap"))


def _laid_in(plan: Plan) -> Iterator[Material]:
    """Pieces laid in at the ends, cut off the spool of the first colour."""
    line = plan.landing.grounds.prepared.model.line
    pieces = reinforcements(plan.job, line.zero, line.far)
    if not pieces:
        return
    cut, run = math.fsum(piece.cut for piece in pieces), plan.winding.runs[0]
    want = _strand(plan, run.name, run.colour)
    length = Estimate(cut, practice("ear.tails").relative_uncertainty * cut, "m")
    yield Material(want, (plan.job.id,), length, strand_mass(plan.landing.grounds.prepared, cut))


def _separator(plan: Plan) -> Iterator[Material]:
    cut, jobs = separator_cut(plan), (plan.job.id,)
    if cut is None:
        return
    length = Estimate(cut.length, practice("ear.tails").relative_uncertainty * cut.length, "m")
    if cut.thread:
        yield _thread(cut.thread, cut.colour, length, jobs)
    else:
        mass = strand_mass(plan.landing.grounds.prepared, cut.length)
        yield Material(_strand(plan, cut.name, cut.colour), jobs, length, mass)


def _strand(plan: Plan, name: str, colour: str) -> Want:
    makeup = plan.job.makeup
    ware = Ware(kind="strand", name=makeup.strand, colour=colour.upper())
    return Want(ware, name, makeup.lot.strip())


def _part(name: str) -> Want:
    return Want(Ware(kind="part", name=name))


def _bought(plan: Plan) -> Iterator[str]:
    """Name what is bought for the marks of a line: what is tied of thread, or only marked, is not.

    A mark of no known kind is bought where it weighs something.
    """
    for mark in plan.job.line.marks:
        kind = kind_of_mark(mark)
        weighs = mark.mass is not None and mark.mass.si > 0.0
        if kind in _BOUGHT:
            yield kind
        elif weighs and kind == "other":
            yield mark.name


def _thread(name: str, colour: str, length: Estimate, jobs: tuple[str, ...]) -> Material:
    density = thread(name).linear_density
    value = density.value * length.value
    u = math.hypot(density.standard_uncertainty * length.value, density.value * length.u)
    ware = Ware(kind="thread", name=name, colour=colour.upper())
    return Material(Want(ware), jobs, length, Estimate(value, u, "kg"))


def _times(found: Estimate, factor: float) -> Estimate:
    return Estimate(found.value * factor, found.u * factor, found.unit)


def _added(rows: Sequence[Material]) -> Material:
    """Add up what is taken of one ware; the +- of lines are of one cause and add up whole."""
    return Material(
        want=min((row.want for row in rows), key=str),
        jobs=tuple(sorted({job for row in rows for job in row.jobs})),
        length=_summed([row.length for row in rows if row.length is not None]),
        mass=_summed([row.mass for row in rows if row.mass is not None]),
        count=sum(row.count for row in rows),
    )


def _summed(parts: Sequence[Estimate]) -> Estimate | None:
    if not parts:
        return None
    value, u = math.fsum(p.value for p in parts), math.fsum(p.u for p in parts)
    return Estimate(value, u, parts[0].unit)
