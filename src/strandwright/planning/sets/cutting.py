"""Cutting: one list of strand, thread and small parts for all lines of a set."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from strandwright.planning.estimate import Estimate
from strandwright.planning.prepare import make_bench
from strandwright.planning.result import Plan
from strandwright.planning.result.laid import CutList as LaidCut
from strandwright.planning.sets.result import CutList, FibreCut, SmallPart, ThreadCut
from strandwright.planning.sets.words import source_said
from strandwright.reference import practice
from strandwright.units import Entered

#: Thread of a loop, whose colour nobody states: that of a serving where none is stated
LOOP_COLOUR = "#3A3A3A"

Taken = TypeVar("Taken")
Key = TypeVar("Key", bound=Hashable)


def cut_list(plans: Sequence[Plan], spool: Entered | None = None) -> CutList:
    """Add up what the lines of a set take.

    Parameters
    ----------
    plans : sequence of Plan
        The lines, in the set's order.
    spool : Entered or None
        Strand on a full spool, where the set says it [kg]

    Returns
    -------
    CutList
        The list.

    Notes
    -----
    A strand's mass per length, and how a hand lays thread, are the same unknowns in every line:
    the +- of the lines are added as they are, not as independent ones.
    """
    row = practice("spool.mass")
    mass = row.value if spool is None else spool.si
    return CutList(
        fibres=_fibres(plans, mass),
        threads=_threads(plans),
        parts=_parts(plans),
        spool_mass=mass,
        spool_source=source_said(row) if spool is None else "stated for this set",
    )


def _grouped(
    rows: Iterable[tuple[Plan, Taken]], key: Callable[[Plan, Taken], Key]
) -> dict[Key, list[tuple[Plan, Taken]]]:
    found: dict[Key, list[tuple[Plan, Taken]]] = {}
    for plan, taken in rows:
        found.setdefault(key(plan, taken), []).append((plan, taken))
    return found


def _jobs(rows: Iterable[tuple[Plan, object]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(plan.job.id for plan, _ in rows))


def _fibres(plans: Sequence[Plan], spool: float) -> tuple[FibreCut, ...]:
    runs = ((plan, strand) for plan in plans for strand in strands_of(plan))
    tails = practice("ear.tails").relative_uncertainty
    cuts: list[FibreCut] = []
    groups = _grouped(
        runs,
        lambda plan, run: (
            plan.job.makeup.strand, plan.job.makeup.lot.strip(), run.name, run.colour.upper()
        ),
    )  # fmt: skip
    for (strand, lot, name, colour), rows in groups.items():
        length = math.fsum(run.length for _, run in rows)
        mass = math.fsum(run.mass.value for _, run in rows)
        cuts.append(
            FibreCut(
                strand=strand,
                lot=lot,
                name=name,
                colour=colour,
                jobs=_jobs(rows),
                length=Estimate(length, tails * length, "m"),
                mass=Estimate(mass, math.fsum(run.mass.u for _, run in rows), "kg"),
                spool=mass / spool,
            )
        )
    return tuple(sorted(cuts, key=lambda c: (-c.length.value, c.strand, c.lot, c.name, c.colour)))


@dataclass(frozen=True)
class Strand:
    """Strand of one colour that one line takes.

    Attributes
    ----------
    name, colour : str
        Its name and ``#rrggbb``.
    length : float
        Off the spool [m]
    mass : Estimate
        What the spool loses [kg]
    """

    name: str
    colour: str
    length: float
    mass: Estimate


def strands_of(plan: Plan) -> tuple[Strand, ...]:
    """Give the strand that a line takes, colour by colour.

    Parameters
    ----------
    plan : Plan
        The line.

    Returns
    -------
    tuple of Strand
        As it is wound; of a line laid in by hand as it is cut; a strap with its yoke cable, its
        own tails left out.
    """
    if plan.laid is not None:
        return tuple(_laid(plan.laid.cut))
    wound = [Strand(r.name, r.colour, r.thread_length, r.mass) for r in plan.winding.runs]
    strap = None if plan.yoke is None else plan.yoke.strap
    if strap is None:
        return tuple(wound)
    share = strap.cut / math.fsum(strand.length for strand in wound)
    mass = math.fsum(strand.mass.value for strand in wound) * share
    u = math.fsum(strand.mass.u for strand in wound) * share
    return (*wound, Strand(f"{wound[0].name}, strap", wound[0].colour, strap.cut,
                           Estimate(mass, u, "kg")))  # fmt: skip


def _laid(cut: LaidCut) -> Iterator[Strand]:
    """Give the colours of bundles that are cut; all strands of a bundle share its lengths."""
    for bundle in cut.bundles:
        middle = math.fsum(bundle.lengths) / len(bundle.lengths)
        for share in bundle.shares:
            length = share.strands * middle
            part = length / cut.fibre
            mass = Estimate(cut.mass.value * part, cut.mass.u * part, "kg")
            yield Strand(share.name, share.colour, length, mass)


def _threads(plans: Sequence[Plan]) -> tuple[ThreadCut, ...]:
    rows = [(plan, taken) for plan in plans for taken in _threads_of(plan)]
    cuts: list[ThreadCut] = []
    for (thread, colour), found in _grouped(rows, lambda _, taken: taken[:2]).items():
        length = Estimate(
            math.fsum(taken[2].value for _, taken in found),
            math.fsum(taken[2].u for _, taken in found),
            "m",
        )
        bobbin = min(make_bench(plan.job).bobbin for plan, _ in found)
        bobbins = math.ceil((length.value + length.u95) / bobbin)
        cuts.append(ThreadCut(thread, colour, _jobs(found), length, bobbins))
    return tuple(sorted(cuts, key=lambda c: (-c.length.value, c.thread, c.colour)))


def _threads_of(plan: Plan) -> Iterator[tuple[str, str, Estimate]]:
    """Thread of servings, of loops, and of the binding below loops that are served on arms."""
    for serving in plan.servings:
        yield serving.thread, serving.colour.upper(), serving.thread_length
    for loop in plan.loops:
        if loop.thread:
            yield loop.thread, LOOP_COLOUR, Estimate(loop.thread_length, 0.0, "m")
    for loop in () if plan.four_posts is None else plan.four_posts.loops:
        # Legs that are an end serving stand among the servings.
        if loop.legs.thread and not loop.legs.serving:
            length = Estimate(loop.legs.thread_length, 0.0, "m")
            yield loop.legs.thread, loop.legs.colour.upper(), length


def _parts(plans: Sequence[Plan]) -> tuple[SmallPart, ...]:
    """Marks that weigh something: a peep, weights, silencers."""
    rows = [
        (plan, (mark.name, mark.mass.si))
        for plan in plans
        for mark in plan.job.line.marks
        if mark.mass is not None and mark.mass.si > 0.0
    ]
    found = _grouped(rows, lambda _, part: part[0])
    return tuple(
        SmallPart(name, len(these), math.fsum(part[1] for _, part in these), _jobs(these))
        for name, these in sorted(found.items())
    )
