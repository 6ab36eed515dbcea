"""Cutting: one list of strand, thread and small parts for all lines of a set."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Sequence
from typing import TypeVar

from strandwright.planning.estimate import Estimate
from strandwright.planning.prepare import make_bench
from strandwright.planning.result import Plan
from strandwright.planning.sets.result import CutList, FibreCut, SmallPart, ThreadCut
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
        spool_source=f"{row.kind}: {row.source}" if spool is None else "stated for this set",
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
    runs = ((plan, run) for plan in plans for run in plan.winding.runs)
    tails = practice("ear.tails").relative_uncertainty
    cuts: list[FibreCut] = []
    groups = _grouped(
        runs,
        lambda plan, run: (
            plan.job.makeup.strand, plan.job.makeup.lot.strip(), run.name, run.colour.upper()
        ),
    )  # fmt: skip
    for (strand, lot, name, colour), rows in groups.items():
        length = math.fsum(run.thread_length for _, run in rows)
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


def _threads(plans: Sequence[Plan]) -> tuple[ThreadCut, ...]:
    rows = [
        (plan, taken)
        for plan in plans
        for taken in (
            *((s.thread, s.colour.upper(), s.thread_length) for s in plan.servings),
            *(
                (loop.thread, LOOP_COLOUR, Estimate(loop.thread_length, 0.0, "m"))
                for loop in plan.loops
                if loop.thread
            ),
        )
    ]
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
